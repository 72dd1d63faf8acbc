"""Twenty-five changes by hand, each of which could hurt somebody or lose what was told.

`python -m tests.bench.mutation.named [WORD ...]` makes each of them in a copy of the program (only
those whose name holds one of the words) and runs the tests that stand beside it; it says which test
fails first. 1 where one lives. The first six lived once.
"""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.mutation.packages import ROOT

#: What a copy of the program needs for its tests.
PARTS = ("coach", "tests", "routines", "voices", "docs", "pyproject.toml", "README.md")
#: Seconds after which the tests of a change that does not end are stopped: it is seen.
PATIENCE = 300


@dataclass(frozen=True, slots=True)
class Change:
    """One change of one file, and the tests that should see it."""

    name: str
    file: str
    before: str
    after: str
    tests: tuple[str, ...]


def _change(name: str, file: str, before: str, after: str, *tests: str) -> Change:
    return Change(name, f"coach/{file}.py", before, after, tuple(f"tests/{one}" for one in tests))


CHANGES: tuple[Change, ...] = (
    _change(
        "an unsurely heard 'let in' counts at once",
        "group/leader",
        "and (moves or raises)",
        "and moves",
        "group/test_leading.py",
    ),
    _change(
        "any key lets the next hang go with the ear gone",
        "session/admission",
        "if event.source is Source.KEY and nature.goes_on:",
        "if event.source is Source.KEY:",
        "session/test_deaf.py",
    ),
    _change(
        "what 'ready' takes from the rest of another vanishes",
        "session/rests",
        "own_rests.ready_at(draft, own_rests.next_turn(draft), draft.now)",
        "[own_rests.ready_at(draft, who, draft.now) for who in draft.s.people]",
        "session/test_rests_only.py",
        "session/test_tries.py",
    ),
    _change(
        "the warm-up goes as easily as anything else",
        "planning/fitting",
        "            worth *= 10\n",
        "            pass\n",
        "planning/test_fitting.py",
    ),
    _change(
        "a look reaches back before its window",
        "hearing/listener",
        "            begin = max(begin, round(opened * HEARING_RATE))\n",
        "            pass\n",
        "hearing/test_looks.py",
    ),
    _change(
        "a phone's pause counts while it stands still",
        "web/presses",
        'return message("web-paused-already") if stands else None',
        "return None",
        "web/test_presses.py",
    ),
    _change(
        "an unsurely heard raise counts at once",
        "session/admission",
        "if answer.tendency is Tendency.RAISING and answer.key not in s.listening.confirmed:",
        "if False:",
        "session/test_scenarios.py",
        "session/test_conversation.py",
    ),
    _change(
        "the danger words need a window",
        "session/admission",
        "    if key in ANYTIME:\n        return True\n",
        "",
        "session/test_scenarios.py",
    ),
    _change(
        "of two people a sore finger is the first one's",
        "session/speakers",
        "return UNKNOWN if about is About.BODY and not asked_later else told",
        "return told",
        "session/test_rests_only.py",
    ),
    _change(
        "a late answer counts though something was told since",
        "session/admission",
        "if busy or still or draft.day != missed.after:",
        "if busy or still:",
        "session/test_conversation.py",
    ),
    _change(
        "a phase is entered that the chart does not list",
        "session/draft",
        "if phase is not self.s.phase and phase not in self._leads_to:",
        "if False:",
        "session/test_machine.py",
        "session/test_changing.py",
    ),
    _change(
        "a question is asked three times",
        "session/asked_questions",
        "\nTIMES = 2\n",
        "\nTIMES = 3\n",
        "session/test_conversation.py",
        "session/test_scenarios.py",
    ),
    _change(
        "who stands still is never sent home",
        "session/waits",
        "STANDING = (360.0, 900.0, 1800.0)",
        "STANDING = (360.0, 900.0, 18000.0)",
        "session/test_liveness.py",
    ),
    _change(
        "a skipped warm-up leaves the ceiling where it is",
        "planning/rules/skipping",
        '        draft.cap(part, 2, CapReason.COLD, "skip-floor")\n',
        "        pass\n",
        "planning/test_corners.py",
        "planning/test_rule_edges.py",
    ),
    _change(
        "a sore part leaves its gate open",
        "planning/rules/sore",
        "    _shut_gate_of(part, draft)\n",
        "",
        "planning/test_sore.py",
        "planning/test_gates.py",
    ),
    _change(
        "a gate opens though the part was told sore",
        "planning/rules/gating",
        "return about is not None and s.capped(about, CapReason.SORE) and not _rested(s)",
        "return False",
        "planning/test_gates.py",
        "planning/test_sore.py",
    ),
    _change(
        "'go' counts though a gate is shut",
        "planning/rules/gating",
        "return _go(s) and bool(missing(s))",
        "return False",
        "planning/test_gates.py",
    ),
    _change(
        "a hurt part keeps gentle work",
        "planning/rules/warning_signs",
        'draft.cap(draft.part, 0, CapReason.SIGN, "warning-sign")',
        'draft.cap(draft.part, 1, CapReason.SIGN, "warning-sign")',
        "planning/test_signs.py",
    ),
    _change(
        "the rules of pain are not asked about a feel",
        "planning/rules/__init__",
        "_about(pain.RULES, Meaning.FEEL)",
        "_about(pain.RULES)",
        "planning/test_rules.py",
    ),
    _change(
        "an untold age counts as grown up",
        "planning/age_limits",
        "if person.age is AgeBand.ADULT:",
        "if person.age in (AgeBand.ADULT, AgeBand.UNKNOWN):",
        "planning/test_ages.py",
    ),
    _change(
        "a try may follow after half of the least rest",
        "planning/recovery",
        "return max(max(wanted or PLANNED, LEAST) - others, 0.0)",
        "return max((wanted or PLANNED) / 2 - others, 0.0)",
        "planning/test_recovery.py",
        "planning/test_corners_of_rests.py",
    ),
    _change(
        "what is heard is carried out before it is kept",
        "runtime/runner",
        "        self.keeper.commit(event, facts, self.wall())\n        ended = False\n",
        "        ended = False\n        for effect in effects:\n"
        "            if not isinstance(effect, Record | WakeAt | End):\n"
        "                self.world.carry_out(effect)\n"
        "        self.keeper.commit(event, facts, self.wall())\n        effects = ()\n",
        "runtime/test_runner.py",
    ),
    _change(
        "what hurts leaves the step running",
        "session/pauses",
        '        step_end.leave(draft, "cut")\n',
        "        pass\n",
        "session/test_injury.py",
    ),
    _change(
        "a leader's press can't be taken back",
        "web/presses",
        "    if by.role is Role.LEADER and what in _MOVES_ALL:\n            self._count".replace(
            "    if", "        if", 1
        ),
        "        if False:\n            self._count",
        "web/test_presses.py",
    ),
    _change(
        "a device begins to draw while time is passed on",
        "audio/speaker",
        "        if self._passes:\n",
        "        if False:\n",
        "audio/test_callbacks.py",
    ),
)


@contextmanager
def copied() -> Iterator[Path]:
    """A copy of the program and its tests."""
    with TemporaryDirectory() as folder:
        home = Path(folder)
        for part in PARTS:
            if (ROOT / part).is_dir():
                hidden = shutil.ignore_patterns("__pycache__", "*.png", "*.svg")
                shutil.copytree(ROOT / part, home / part, ignore=hidden)
            else:
                shutil.copy(ROOT / part, home / part)
        yield home


def failing(home: Path, tests: Sequence[str]) -> str:
    """The first of some tests that fails; '' where none does. ValueError if they can't be run."""
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-x", "-n0", "-m", "not sound",
             "-p", "no:cacheprovider", "--tb=no", *tests],
            cwd=home, env={**os.environ, "PYTHONPATH": str(home)}, timeout=PATIENCE, check=False,
            capture_output=True, text=True,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return "no end"
    if done.returncode not in (0, 1):
        raise ValueError(done.stdout[-800:] + done.stderr[-400:])
    found = re.search(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)
    return found.group(1) if found is not None else ""


def killer(home: Path, change: Change) -> str:
    """The first test that fails with a change, and only with it; '' where the change lives.

    ValueError if the change does not fit.
    """
    file = home / change.file
    text = file.read_text(encoding="utf-8")
    if text.count(change.before) != 1:
        raise ValueError(f"{change.file} does not hold once: {change.before!r}")
    file.write_text(text.replace(change.before, change.after), encoding="utf-8")
    try:
        found = failing(home, change.tests)
    finally:
        file.write_text(text, encoding="utf-8")
    if "::" in found and failing(home, [found]):
        raise ValueError(f"{found} fails as things are")
    return found


def main(wanted: Sequence[str]) -> int:
    """Try them, and print what sees each."""
    chosen = [one for one in CHANGES if not wanted or any(word in one.name for word in wanted)]
    alive = 0
    with copied() as home:
        for change in chosen:
            by = killer(home, change)
            alive += not by
            print(f"{'killed' if by else 'LIVES '} {change.name}: {by}", flush=True)
    print(f"killed {len(chosen) - alive} of {len(chosen)}")
    return int(alive > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
