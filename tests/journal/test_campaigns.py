"""A small share of the campaigns on the record; `python -m tests.bench.record` runs them whole."""

from collections import Counter
from pathlib import Path

import pytest

from tests.bench.record import damage, full, kills
from tests.journal import trace


def wrong(counts: Counter[str]) -> Counter[str]:
    return Counter({name: times for name, times in counts.items() if name.startswith("WRONG")})


def test_a_kill_in_any_step_loses_nothing_acknowledged(tmp_path: Path) -> None:
    steps = [kills.NAMES.index(name) for name in ("session", "migration", "merge", "forget")]
    counts = kills.kills(tmp_path, steps)
    assert not wrong(counts)
    assert counts["kills"] == len(steps)


@pytest.mark.skipif(not trace.AVAILABLE, reason="strace is not installed")
def test_a_disk_that_is_full_loses_nothing_acknowledged(tmp_path: Path) -> None:
    writes = [("session", 4), ("migration", 60), ("merge", 25), ("delete", 9)]
    counts = full.Full(writes)(tmp_path, range(len(writes)))
    assert not wrong(counts)
    assert counts["writes"] == len(writes)
    assert counts["refused"] >= 2


def test_harm_is_found_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(damage, "SESSIONS", 3)
    for harmed, name in ((damage.flips, "flips"), (damage.cuts, "cuts")):
        folder = tmp_path / name
        folder.mkdir()
        counts = harmed(folder, range(4))
        assert not wrong(counts)
        assert counts["found out"] + counts["harmless"] == 4
        assert counts["found out"]


def test_the_judge_sees_what_is_lost_or_half_done(tmp_path: Path) -> None:
    """A step that acknowledges before it has done its work is found out."""
    from tests.bench.record import after, work

    work.prepare(tmp_path / "begins")
    begins = tmp_path / "begins" / "base"
    noted = after.course("merge", begins, tmp_path / "course")
    assert list(after.faults("merge", begins, 1, noted)) == ["lost"]
