"""What the record tells of today reaches what a session begins with."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from coach.journal import Journal
from coach.model.body import Feel
from coach.model.facts import EdgeChecked
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.model.usual_edge import EdgeSetup
from coach.session.events import TimePassed
from coach.setup.earlier_days import of_record
from tests.journal.made import start

ADA = Person(1, "Ada", AgeBand.ADULT)
BEGAN = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


def test_eight_readings_of_one_hang_are_ones_own_usual(tmp_path: Path) -> None:
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        for n in range(8):
            at = BEGAN + timedelta(days=2 * n)
            session = journal.begin(start(at.isoformat(), people=(ADA,)))
            check = EdgeChecked(5.0, 1, "medium", "edge-check", "off", Feel.FINE, 40.0 + n)
            journal.commit(session, TimePassed(5.0), [check], at)
            journal.close_session(session, "done")
            found = of_record(Options(people=(ADA,)), journal, date(2026, 3, 20)).usual
            assert bool(found) is (n == 7)
    ((who, usual),) = found
    assert who == 1
    # of 40 to 47, the newest weighing most, as many weigh below 44 as above it
    assert usual.setup == EdgeSetup("medium", "edge-check", "off")
    assert (usual.checks, usual.median) == (8, 44.0)
