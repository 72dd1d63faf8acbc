"""What a new session takes from the record of earlier ones."""

from datetime import UTC, datetime
from pathlib import Path

from coach import planning
from coach.cli.arguments import Choices
from coach.cli.begun import begin
from coach.cli.setup import settle
from coach.files.paths import paths
from coach.journal import Journal
from coach.journal.aims import add_aim
from coach.model.aim import Aim, AimKind
from coach.planning import focus
from tests.record.rehearsed import rehearse_into

NOW = datetime(2026, 3, 5, 18, 0, tzinfo=UTC)


def test_the_next_session_offers_the_focuses_practised_least(home: Path, tmp_path: Path) -> None:
    setup = settle(Choices(age=("adult",)), paths(), NOW)
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        assert begin(journal, setup, NOW).session.options.practised == ()
        rehearse_into(journal)
        add_aim(journal, Aim("a", AimKind.FOCUS, "soft-grip"))
        add_aim(journal, Aim("b", AimKind.GRADE, "6C"))
        session = begin(journal, setup, NOW).session

    practised = [name for _, name in session.options.practised]
    assert practised == ["breathe-out", "climb-and-reverse", "free-leg"]
    assert session.options.favoured == ("soft-grip",)
    today = planning.open_day(session.options.people, 90, session.library)
    offered = focus.offer(today, session.library, 1, practised, session.options.favoured)
    assert offered == ("soft-grip", "heel-first", "hips-close")
