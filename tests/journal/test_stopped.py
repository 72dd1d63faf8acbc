"""Long work shows how far it is, and Ctrl-C at any moment leaves nothing half done."""

import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

from coach.cli import commands, diagnostics, export, progress_bar, trends
from coach.cli import journal as journal_commands
from coach.errors import ExitCode
from coach.journal import Journal, journal_checks
from tests.journal.content import content
from tests.record import real


@pytest.fixture
def both(tmp_path: Path) -> tuple[Path, Path]:
    """Two journals of some sessions each."""
    paths = tmp_path / "one" / "journal.db", tmp_path / "two" / "journal.db"
    for path, seeds in zip(paths, (range(20, 23), range(23, 26)), strict=True):
        with Journal.open(path, write=True) as journal:
            for seed in seeds:
                real.put(journal, real.day(seed, "rests"), real.FIRST, f"uid-{seed}")
    return paths


def held(path: Path) -> bytes:
    with Journal.open(path, write=False) as journal:
        return content(journal)


def lines_of(both: tuple[Path, Path], out: Path) -> dict[str, tuple[str, ...]]:
    """Every long command."""
    one, two = map(str, both)
    at = ("--journal", one)
    return {
        "verify": ("journal", "verify", *at),
        "backup": ("journal", "backup", str(out / "copy.db"), *at),
        "import": ("journal", "import", str(out / "two.jsonl"), *at),
        "merge": ("journal", "merge", two, *at),
        "restore": ("journal", "restore", two, "--journal", str(out / "back.db")),
        "rescue": ("journal", "rescue", one, str(out / "saved.db")),
        "jsonl": ("export", str(out / "one.jsonl"), *at),
        "csv": ("export", str(out / "tables"), "--format", "csv", *at),
        "charts": ("trends", "stairs", "rests", "--out", str(out / "trends.png"), *at),
    }


WORK = ("verify", "backup", "import", "merge", "restore", "rescue", "jsonl", "csv", "charts")


def stopped_after(number: int) -> Callable[..., Any]:
    """Lets so many things through and is then interrupted."""

    def shown(work: Iterable[Any], total: int, label: str = "") -> Iterator[Any]:
        for done, one in enumerate(work):
            if done == number:
                raise KeyboardInterrupt
            yield one
        raise KeyboardInterrupt

    return shown


@pytest.mark.parametrize("name", WORK)
@pytest.mark.parametrize("number", [0, 1])
def test_stopped_work_leaves_nothing(
    both: tuple[Path, Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    number: int,
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "two.jsonl").write_bytes(held(both[1]))
    before, there = held(both[0]), sorted(out.iterdir())
    files = sorted(both[0].parent.iterdir())
    for module in (journal_commands, export):
        monkeypatch.setattr(module, "shown", stopped_after(number))
    for module in (journal_commands, trends):
        monkeypatch.setattr(module, "showing", lambda label: stopped_after(number))

    def interrupted(done: int, whole: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("coach.journal.backup._progress", lambda told: lambda *_: interrupted(0, 0))
    code = diagnostics.guarded(commands, list(lines_of(both, out)[name]))
    assert code is ExitCode.INTERRUPTED
    assert sorted(out.iterdir()) == there
    assert held(both[0]) == before
    assert sorted(both[0].parent.iterdir()) == files


@pytest.mark.parametrize("name", WORK)
def test_a_terminal_is_shown_how_far_it_is(
    both: tuple[Path, Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    name: str,
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "two.jsonl").write_bytes(held(both[1]))
    monkeypatch.setattr(journal_checks, "SHARE", 1)
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert diagnostics.guarded(commands, list(lines_of(both, out)[name])) is ExitCode.OK
    told = capsys.readouterr().err
    label = {
        "verify": "Verifying", "backup": "Copying", "import": "Importing", "merge": "Merging",
        "restore": "Restoring", "rescue": "Saving", "jsonl": "Writing", "csv": "Writing",
        "charts": "Drawing",
    }[name]  # fmt: skip
    assert label in told


def test_what_takes_long_is_told_with_its_cost(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = iter(range(0, 10_000, 2))
    monkeypatch.setattr("coach.cli.progress_bar.time.monotonic", lambda: float(next(clock)))
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert list(progress_bar.shown(range(50), 50, "Merging")) == list(range(50))
    assert capsys.readouterr().err.count("This takes about 100 s. Ctrl-C stops it.") == 1
