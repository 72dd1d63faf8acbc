"""A year's page against the same year counted by hand."""

from dataclasses import replace
from datetime import date

from coach.model.aim import Aim, AimKind
from coach.model.body import Feel, Part
from coach.record.digest import Digest
from coach.record.entry import Entry
from coach.record.periods import PeriodLength
from coach.record.trends import PanelSource
from coach.record.year import WeekLine, year
from tests.record.days import entry

#: Two tries at one boulder, the second of which came to its top.
TOPPED = (("slate 4", "start"), ("slate 4", "topped"))


def made(days: float, minutes: float = 60.0, **told: object) -> Entry:
    return replace(entry(days), digest=Digest(seconds=60 * minutes, **told))  # type: ignore[arg-type]


ENTRIES = [
    made(-90, doses={"hangs": 60.0}, felt={Part.KNEES: Feel.SORE}),
    made(0, doses={"hangs": 600.0}, felt={Part.SKIN: Feel.SORE}, focuses={"quiet-feet": 120.0}),
    made(7, doses={"hangs": 300.0}, felt={Part.SKIN: Feel.HURTING, Part.NECK: Feel.FINE}),
    made(14, tried=TOPPED),
    made(21, 40.0, felt={Part.ELBOWS: Feel.SORE}),
    made(28),
]
TODAY = date(2026, 3, 31)
AIMS = (
    Aim("1", AimKind.DOSE, "hangs", times=1), Aim("2", AimKind.DOSE, "hangs", minutes=6.0),
    Aim("3", AimKind.FOCUS, "quiet-feet"), Aim("4", AimKind.BOULDER, "slate 9"),
    Aim("5", AimKind.FOCUS, "still-hips", since="2027-01-01"),
)  # fmt: skip


def test_the_weeks_of_a_year_are_as_they_were() -> None:
    """Forty minutes beside three weeks of sixty is under seven tenths; this week goes on."""
    found = year(ENTRIES, TODAY, 2026)
    monday = [date(2026, 3, 2), date(2026, 3, 9), date(2026, 3, 16), date(2026, 3, 23),
              date(2026, 3, 30)]  # fmt: skip
    assert found.weeks == (
        WeekLine(monday[0], 1, 60, 0, ("skin",), ""), WeekLine(monday[1], 1, 60, 0, ("skin",), ""),
        WeekLine(monday[2], 1, 60, 2, (), ""), WeekLine(monday[3], 1, 40, 0, ("elbows",), "easier"),
        WeekLine(monday[4], 1, 60, 0, (), "so far"),
    )  # fmt: skip
    assert found.title == "2026 so far"
    assert found.summary == "5 sessions, 4 h 40, 2 hard tries, 1 top."
    assert year(ENTRIES, date(2027, 1, 2), 2026).title == "2026"
    assert year([], TODAY, 2026).summary == "No session."


def test_its_sections_tell_what_was_done_and_what_was_sore() -> None:
    found = {one.title: one.lines for one in year(ENTRIES, TODAY, 2026, AIMS).sections}
    assert found["Aims"] == (
        "hangs 1 time a week: in 2 of 5 weeks with a session",
        "hangs 6 min a week: in 1 of 5 weeks with a session",
        "favour quiet feet: 2 min",
        "slate 9: not yet",
    )
    assert found["Small doses"] == (
        "hangs: 15 min in 2 sessions", "focuses most practised: quiet feet 2 min",
    )  # fmt: skip
    assert found["Sore or hurting"] == ("skin: 2 sessions, hurting in 1 (Mar)",
                                        "elbows: 1 session (Mar)")  # fmt: skip
    assert found["Firsts"] == ("16 Mar: first of slate, slate 4",)
    (before,) = found["Years before"]
    assert "2025" in before


def test_where_no_length_is_told_a_panel_takes_the_one_that_suits_its_days() -> None:
    assert PanelSource(ENTRIES, PeriodLength.DAY, TODAY).by is PeriodLength.DAY
    spans = [PanelSource(some, None, TODAY).by for some in (ENTRIES[-1:], ENTRIES, [])]
    assert spans[0] is spans[2]
    assert spans[1] is not spans[0]
