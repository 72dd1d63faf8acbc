"""A route never asks for more than was usual, says what comes first, and is told once."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.aim import Aim, AimKind
from coach.model.body import Part
from coach.model.facts import Finished, StepEnded, Tried
from coach.model.messages import message
from coach.model.person import AgeBand
from coach.model.tries import Boulder, Went
from coach.record.at_start import AtStart, at_start
from coach.record.entry import Entry
from coach.record.route import REVIEWED, Looked, review_due, route
from coach.record.trial import Trial
from tests.record.days import MONDAY, entry, on
from tests.session.stage import LANGUAGE

CIRCUITS = ("chalk", "slate", "flint", "basalt")
HANG = StepEnded(9.0, 1, "board.1", "", "stay", "board", 10.0, 180.0, 180.0, "done", "")
FIVE = Aim("1", AimKind.GRADE, "flint", "2026-12-01", count=5, since="2026-03-02")
TWICE = Aim("2", AimKind.DOSE, "hangs", times=2, since="2026-03-02")


def top(name: str, result: str = "topped") -> Tried:
    return Tried(1.0, 1, name, 1, result, 9.0)


def day(number: float, *facts: object, minutes: float = 75) -> Entry:
    return entry(number, *facts, Finished(99.0, 0, minutes * 60, 5, "done"))  # type: ignore[arg-type]


def looked(entries: list[Entry], days: int, **more: object) -> Looked:
    today = MONDAY.date() + timedelta(days=days)
    return Looked(entries, today, CIRCUITS, **{"age": AgeBand.ADULT, **more})  # type: ignore[arg-type]


def test_different_boulders_count_and_each_once() -> None:
    days = [day(0, top("flint 1")), day(3, top("flint 1"), top("flint 2")), day(5, top("slate 9"))]
    made = route(FIVE, looked(days, 7))
    assert made.stands == "2 of 5 topped (flint 1 and flint 2)"
    assert LANGUAGE.text(made.review[0]) == "flint: 2 of 5 topped."
    assert not made.done
    assert route(Aim("1", AimKind.GRADE, "flint", since="2026-03-02"), looked(days, 7)).done


def test_what_lacks_is_what_the_record_shows() -> None:
    boulders = {f"flint {n}": Boulder(f"flint {n}", s, about="leap") for n, s in
                enumerate(("slab", "wall", "roof"))}  # fmt: skip
    went = [Went(1, f"flint {n}", "middle") for n in (0, 1, 2, 0)]
    days = [day(0, top("flint 1", "middle"))]
    made = route(FIVE, looked(days, 7, boulders=boulders, went=went))
    told = "\n".join(made.lacks)
    assert "boulders of slate, the circuit below: 0 topped in 12 weeks" in told
    assert "leap: 4 of 4 tries fell" in told
    assert "never tried: overhang, corner, arete and traverse" in told


def test_what_is_far_or_unsafe_is_said_with_what_comes_first() -> None:
    days = [day(0, top("chalk 1"))]
    far = route(Aim("1", AimKind.GRADE, "basalt"), looked(days, 7))
    assert far.first.startswith("one of slate")
    assert far.weeks == ()
    hurt = route(FIVE, looked(days, 7, hurt=(Part.FINGERS,)))
    assert LANGUAGE.text(hurt.review[1]) == "Your fingers first; that aim can wait."
    for age in (AgeBand.UNDER_16, AgeBand.UNDER_18, AgeBand.UNKNOWN):
        young = route(TWICE, looked(days, 7, age=age))
        assert LANGUAGE.text(young.review[1]) == "No hangs before eighteen; climbing is enough."
        assert young.weeks == ()
        assert young.lacks == ()
        assert ("your age is not known" in young.first) == (age is AgeBand.UNKNOWN)
    many = [day(7 * n, HANG) for n in range(5)]
    eager = Aim("2", AimKind.DOSE, "hangs", times=5)
    assert "half as much again" in route(eager, looked(many, 30)).first


sessions = st.lists(
    st.tuples(st.integers(0, 55), st.integers(0, 6), st.integers(20, 120)), max_size=16
)


@given(sessions, st.sampled_from([FIVE, TWICE, Aim("3", AimKind.BOULDER, "slate 4")]))
def test_no_week_is_fuller_than_the_fullest_of_the_last_eight(
    told: list[tuple[int, int, int]], aim: Aim
) -> None:
    days = [
        day(n + i / 100, *(top("slate 4", "middle") for _ in range(tries)), minutes=minutes)
        for i, (n, tries, minutes) in enumerate(sorted(told))
    ]
    made = route(aim, looked(days, 56))
    weeks: dict[date, list[Entry]] = {}
    for one in days:
        weeks.setdefault(one.day - timedelta(days=one.day.weekday()), []).append(one)
    most = max((len(week) for week in weeks.values()), default=0)
    tries = max((sum(e.digest.hard_tries for e in w) for w in weeks.values()), default=0)
    minutes = max((sum(e.digest.seconds for e in w) / 60 for w in weeks.values()), default=0)
    for line in made.weeks:
        parts = line.split(": ", 1)[1].split(", ")
        assert int(parts[0].split()[0]) <= max(most, 1)
        assert int(parts[1].split()[0]) <= round(minutes)
        assert int(parts[2].split()[0]) <= tries
    assert [len(LANGUAGE.text(one).split()) <= 12 for one in made.review] == [True] * 3


def test_a_review_comes_every_four_weeks_and_once() -> None:
    set_on = MONDAY.date()
    said: list[int] = []
    days: list[Entry] = []
    for n in range(0, 120, 3):
        today = set_on + timedelta(days=n)
        if review_due(FIVE, days, today):
            said.append(n)
        days.append(day(n))
    assert len(said) == 119 // REVIEWED
    assert all(0 <= n - REVIEWED * (i + 1) < 3 for i, n in enumerate(said))


def told(aims: list[Aim], trials: list[Trial], days: list[Entry], n: int) -> AtStart:
    today = MONDAY.date() + timedelta(days=n)
    return at_start(aims, trials, days, today, lambda aim: route(aim, looked(days, n)))


def test_at_most_one_thing_of_the_year_is_said() -> None:
    days: list[Entry] = []
    trials = [Trial("rest", "240", on(40.5))]
    counts: list[int] = []
    for n in range(0, 120, 2):
        made = told([FIVE], trials, days, n)
        counts.append(len(made.review) + (made.aim is not None))
        assert not (made.review and made.aim)
        days.append(day(n, top("flint 1", "middle"), top("flint 2", "top")))
    assert counts.count(3) == 119 // REVIEWED
    # a trial of four sessions is told once; an aim in the first session of each other week
    assert counts.count(0) > counts.count(1)
    said = [LANGUAGE.text(one) for one in told([], trials, days[:25], 50).review]
    assert said == ["The trial of your rest: no clear difference."]
    assert told([], trials, days[:26], 52) == told([], trials, days[:24], 48) == AtStart()


@pytest.mark.parametrize(("kind", "what"), [("rest", "your rest"), ("tries", "fewer tries")])
def test_an_outcome_has_its_words(kind: str, what: str) -> None:
    for found in ("none", "higher", "lower"):
        said = LANGUAGE.text(message(f"trial-{found}", what=f"trial-of-{kind}"))
        assert said.startswith(f"The trial of {what}: ")
        assert len(said.split()) <= 12


def steady(weeks: int, tries: int = 4) -> list[Entry]:
    """Mondays and Thursdays of 75 minutes with some tries each, none of them a top."""
    fell = [top(f"flint {n}", "middle") for n in range(tries)]
    return [day(7 * week + n, *fell) for week in range(weeks) for n in (0, 3)]


def test_four_weeks_are_as_full_as_the_usual_one_and_the_last_is_easier() -> None:
    """Eight weeks without an easier one are two rounds of three to one: the fourth is the next."""
    made = route(FIVE, looked(steady(8), 56))
    days = ("27 Apr", "04 May", "11 May")
    lacks = "boulders of slate, the circuit below"
    usual = f"2 sessions, 150 min in all, 8 hard tries at most, look at: {lacks}."
    assert made.weeks[:3] == tuple(f"Week of {one}: {usual}" for one in days)
    # seven tenths of the minutes and half of the tries
    less = "2 sessions, 105 min in all, 4 hard tries at most."
    assert made.weeks[3] == f"Week of 18 May (easier): {less}"
    assert made.review[2] == message("review-weeks", easier=4)
    never = route(FIVE, looked(steady(8), 56, build=None))
    assert not any("easier" in week for week in never.weeks)
    assert never.review[2] == message("review-weeks", easier=0)


def test_a_week_that_has_only_begun_is_no_usual_one() -> None:
    days = [*(day(n) for n in (0, 2, 4)), day(7)]
    some_day = Aim("1", AimKind.GRADE, "flint", count=5, since="2026-03-02")
    assert "3 sessions, 225 min" in route(some_day, looked(days, 8)).weeks[0]
    assert "1 session, 75 min" in route(some_day, looked(days[:1], 2)).weeks[0]


@pytest.mark.parametrize(("by", "late"), [("2026-05-03", False), ("2026-05-02", True)])
def test_a_day_is_too_early_where_there_are_more_boulders_than_sessions(
    by: str, late: bool
) -> None:
    """Two sessions a week: in a week there is one for each of two, a day less is too little."""
    two = Aim("1", AimKind.GRADE, "flint", by, count=2, since="2026-03-02")
    made = route(two, looked(steady(8), 55))
    assert ("a later day: 2 boulders in that time are many." in made.first) == late


def test_two_told_styles_are_too_few_to_miss_one() -> None:
    def lacks(*styles: str) -> str:
        boulders = {f"flint {n}": Boulder(f"flint {n}", s) for n, s in enumerate(styles)}
        went = [Went(1, name, "middle") for name in boulders]
        return "\n".join(route(FIVE, looked(steady(1), 7, boulders=boulders, went=went)).lacks)

    assert "never tried" not in lacks("slab", "wall", "")
    assert "never tried" in lacks("slab", "wall", "roof")
