"""Whole days that the real core ran, kept as a person in the hall would tell them.

Each file of `tests/days/kept/` is one day: what was said, heard, told and kept, and behind each
line a digest of all else that happened up to it: every effect, every value on the screen. The last
line is a digest of the session as it ended. `test_kept.py` runs them again; a line that differs is
no fault by itself: read it as the climber, and if it is what you want, write the days anew by
`python -m tests.days.keeping`. What is right is for `tests/days/judges.py` to say, on these too.

Most are kept briefly, by a line of forty: what stands behind 'briefly' is another name, under which
the day has every line: `relive("known-good-28")` tells all of `briefly-known-good-28`.
Of random walks there is a line each: `python -m tests.days.keeping walk SEED [well]` tells all.

The name of a file is its recipe: sort, kind, seed. `python -m tests.bench.kept_days` chooses them.
"""

import difflib
import hashlib
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache, lru_cache
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

from coach.files.words import load_language
from coach.model.day import Library
from coach.model.start import Options
from coach.session.effects import Effect
from coach.session.events import Event
from coach.session.looking import look
from coach.session.state import Session
from tests.bench import transcripts
from tests.days import led, living, pages, planned, spoken, tables, told_before
from tests.days.browsed import Browsers
from tests.days.climbers import ENDING
from tests.days.hall import Hall, Line
from tests.days.judges import JUDGES, LivedDay

FOLDER = Path(__file__).parent / "kept"
#: Letters of a digest.
LETTERS = 6
#: Lines of a day of which one stands where it is kept briefly.
APART = 40
#: Lines of a difference that are shown.
SHOWN = 30


def plain(value: Any) -> str:
    """A value in words that are the same on any machine: sets in order, no addresses."""
    kind: Any = type(value)
    if kind is float:
        return f"{value:.3f}"
    if kind in (str, int, bool, type(None)):
        return repr(value)
    if isinstance(value, Enum):
        return str(value.value)
    if is_dataclass(value):
        return f"{kind.__name__}({','.join(plain(getattr(value, one)) for one in _names(kind))})"
    if isinstance(value, Mapping):
        return f"{{{','.join(sorted(f'{plain(one)}:{plain(value[one])}' for one in value))}}}"
    if isinstance(value, set | frozenset):
        return f"{{{','.join(sorted(map(plain, value)))}}}"
    if isinstance(value, tuple | list):
        return f"({','.join(map(plain, value))})"
    raise TypeError(f"{kind.__name__} has no plain words")


@lru_cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(one.name for one in fields(kind) if one.name != "library")


#: A day's slope is long and seldom changes.
_slope = lru_cache(maxsize=64)(plain)


def plain_view(view: Any) -> str:
    """What a screen draws, in plain words."""
    kind: Any = type(view)
    names = [one for one in _names(kind) if one != "slope"]
    return ",".join([*(plain(getattr(view, one)) for one in names), _slope(view.slope)])


class Keeping:
    """Writes a day down as it is lived."""

    def __init__(self, *, browsed: bool = False) -> None:
        self.browsers = Browsers() if browsed else None
        self.lines: list[str] = []
        self._all = hashlib.sha256()
        self._log = 0

    def __call__(self, hall: Hall, view: Any, event: Event, effects: tuple[Effect, ...]) -> None:
        """One turn of the loop, and what a person in the hall noticed of it."""
        turn = (plain(event), plain_view(view), *map(plain, effects))
        self._all.update("\n".join(turn).encode())
        if self.browsers is not None:
            self._all.update(plain(self.browsers.turn(hall, view)).encode())
        new, self._log = hall.log[self._log :], len(hall.log)
        told = [_told(line) for line in new if line.kind != "kept"]
        told.extend(_facts([line for line in new if line.kind == "kept"]))
        if told:
            self.lines += [*told[:-1], f"{told[-1]}  #{self._all.hexdigest()[:LETTERS]}"]

    def end(self, session: Any) -> str:
        """The whole text of the day."""
        self._all.update(plain(session).encode())
        return "\n".join([*self.lines, f"end #{self._all.hexdigest()[:LETTERS]}", ""])


def _told(line: Line, text: str = "") -> str:
    return f"{int(line.at) // 60:3}:{line.at % 60:04.1f} {line.kind:5} {text or line.text}"


def _facts(lines: list[Line]) -> Iterator[str]:
    """Facts by name, whose they are, and what they hold but for zeros; those alike in one line."""
    alike: dict[str, tuple[Line, list[str]]] = {}
    for line in lines:
        fact = line.what
        kind: Any = type(fact)
        held = [getattr(fact, one) for one in _names(kind) if one not in ("at", "who")]
        words = [f"{one:g}" if type(one) is float else plain(one).strip("'") for one in held if one]
        people = alike.setdefault(f"{line.text} {' '.join(words)}", (line, []))[1]
        people.append(str(getattr(fact, "who", 0)))
    for text, (line, people) in alike.items():
        yield _told(line, f"{'+'.join(people)} {text}".rstrip())


def _lived(
    live: Callable[..., LivedDay], seed: int, kind: str, *, browsed: bool = False, **more: Any
) -> tuple[str, LivedDay]:
    keeping = Keeping(browsed=browsed)
    day = live(seed, *([kind] if kind else []), also=keeping, **more)
    return keeping.end(day.session), day


def _briefly(text: str, day: LivedDay | None) -> tuple[str, LivedDay | None]:
    """The same day by a line here and there: each digest is of all that happened up to it."""
    *lines, end = text.splitlines()
    return "\n".join([*lines[APART - 1 :: APART], end, ""]), day


def _walks(first: int, *, well: bool) -> str:
    """Ten sessions in which anything is said at any time: how each ended, and a digest of it.

    Those who are `well` say nothing that ends their tries or the day.
    """
    lines = []
    for seed in range(10 * first, 10 * first + 10):
        all_of_it = hashlib.sha256()

        def seen(session: Session, so_far: Any = all_of_it) -> None:
            so_far.update(plain_view(look(session)).encode())

        how, told = _walk(seed, seen, well=well)
        all_of_it.update("\n".join(told).encode())
        lines.append(f"{seed} {how} {len(told)} #{all_of_it.hexdigest()[:LETTERS]}\n")
    return "".join(lines)


def _walk(seed: int, seen: Callable[[Session], None], *, well: bool) -> tuple[str, list[str]]:
    more: dict[str, Any] = {"settle": _well, "never": ENDING} if well else {}
    return transcripts.played(seed, *_anything(), seen, **more)


def _well(dice: Random, library: Library) -> Options:
    return told_before.who_are_well(dice, library, told_before.drawn(dice, library))


@cache
def _anything() -> tuple[dict[str, Library], tuple[str, ...]]:
    found = transcripts.libraries()
    return found, tuple(sorted(load_language("en", found["full"].movements).answers))


#: Sort of day -> the text of the day of a kind and a seed, and the day for its judges.
SORTS: dict[str, Callable[[int, str], tuple[str, LivedDay | None]]] = {
    "plain": lambda seed, kind: _lived(living.live, seed, kind),
    "faults": lambda seed, kind: _lived(living.live, seed, kind, faults=True),
    "known": lambda seed, kind: _lived(told_before.live, seed, kind),
    "german": lambda seed, kind: _lived(told_before.live, seed, kind, tongue="de"),
    "browsed": lambda seed, kind: _lived(told_before.live, seed, kind, browsed=True),
    "group": lambda seed, kind: _lived(led.live, seed, kind),
    "briefly": lambda seed, kind: _briefly(*relive(f"{kind.replace(' ', '-')}-{seed}")),
    "walks": lambda seed, kind: (_walks(seed, well=kind == "well"), None),
    "script": lambda _, kind: (spoken.script(kind), None),
    "heard": lambda _, kind: (spoken.heard(kind), None),
    "table": lambda _, kind: (tables.table(kind, plain), None),
    "page": lambda _, kind: (pages.page(kind.replace(" ", "-")), None),
    "planned": lambda seed, _: (planned.walk(seed, plain), None),
}


def relive(name: str) -> tuple[str, LivedDay | None]:
    """The text of the day with a name such as 'plain-silent-later-12', and the day."""
    found = re.fullmatch(r"([a-z]+)-([a-z-]*?)-?(\d*)", name)
    if found is None or found[1] not in SORTS:
        raise ValueError(f"{name!r} names no day")
    return SORTS[found[1]](int(found[3] or 0), found[2].replace("-", " "))


#: Who judges a group: its own watch, while it runs, and whoever replays it.
OF_A_GROUP = ("replays",)


def faults(name: str, day: LivedDay | None) -> dict[str, list[str]]:
    """What is wrong with a day by its judges, in words; a plan alone was not lived."""
    if day is None:
        return {}
    judges = OF_A_GROUP if "group-" in name else [*JUDGES]
    found = {one: told for one in judges if (told := JUDGES[one](day))}
    return {"stopped": [day.stopped]} if day.stopped else found


def changed(before: str, after: str) -> str:
    """The first lines by which two texts differ; '' where they don't.

    Where only a digest differs, what no line tells has changed: an effect, a value on the screen.
    """
    if before == after:
        return ""
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), "kept", "now", n=2)
    return "\n".join(islice(lines, SHOWN))


def forget() -> None:
    """Let what the program keeps between two sessions be made anew."""
    for name, module in [*sys.modules.items()]:
        if name.startswith("coach."):
            for value in [*vars(module).values()]:
                getattr(value, "cache_clear", lambda: None)()


def names() -> list[str]:
    """The days that are kept."""
    return sorted(path.stem for path in FOLDER.glob("*.txt"))


def main(wanted: list[str]) -> None:
    """Write the days with these names, or all that are there, anew; or tell of one walk."""
    if wanted[:1] == ["walk"]:
        how, told = _walk(int(wanted[1]), lambda _: None, well=wanted[2:] == ["well"])
        print("\n".join([*told, how]))
        return
    for name in wanted or names():
        (FOLDER / f"{name}.txt").write_text(relive(name)[0], encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
