"""What is suggested, and why; never from load."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.aim import Aim, AimKind
from coach.model.body import Feel, Part
from coach.model.facts import Fact, Felt, Filmed, StepEnded, Tried
from coach.record.aim_progress import aim_lines
from coach.record.digest import Digest
from coach.record.entry import Entry
from coach.record.standing import Stands
from coach.record.suggest import FULL, GENTLE, RETURN, Grounds, Suggestion, suggest
from tests.record.days import ended, entry

TRY = Tried(1.0, 1, "slate 4", 1, "middle", 9.0)


def day(number: int) -> date:
    """A day of March 2026; the entries count from Monday the 2nd."""
    return date(2026, 3, number)


def reasons(known: Grounds) -> str:
    return "\n".join(reason.text for reason in suggest(known).reasons)


def test_an_empty_record_knows_nothing() -> None:
    made = suggest(Grounds([], day(2)))
    assert made.unknown[0] == "There is no session yet: the check-in decides."
    assert made.minutes is None
    assert made.reasons == []


def test_the_usual_length() -> None:
    three = [entry(n, ended(minutes)) for n, minutes in enumerate((83, 92, 88))]
    assert suggest(Grounds(three, day(10))).minutes == 90
    assert suggest(Grounds(three[:2], day(10))).minutes is None
    cut = [replace(one, how=None) for one in three]
    assert suggest(Grounds(cut, day(10))).minutes is None


def test_a_day_between_hard_days() -> None:
    made = suggest(Grounds([entry(0, TRY)], day(3)))
    assert made.hard_from == day(4)
    assert made.kind == GENTLE
    assert suggest(Grounds([entry(0, TRY)], day(4))).hard_from == day(4)
    assert suggest(Grounds([entry(0)], day(3))).hard_from == day(3)


def test_after_a_break_the_first_day_is_easy() -> None:
    made = suggest(Grounds([entry(0)], day(16)))
    assert made.kind == RETURN
    assert "hard tries" in made.leave_out
    assert made.hard_from == day(18)
    assert suggest(Grounds([entry(0)], day(15))).kind != RETURN
    assert reasons(Grounds([entry(0)], day(16))).count("since the last session") == 1


def test_a_session_of_a_clock_that_stood_wrong_closes_no_years() -> None:
    hard = [entry(0, TRY), entry(1500, TRY)]
    made = suggest(Grounds(hard, day(10)))
    assert made.hard_from == day(12)
    assert (
        suggest(Grounds([entry(1500, Felt(1.0, 1, Part.FINGERS, Feel.SORE))], day(10))).kind
        == GENTLE
    )


def test_sore_last_time() -> None:
    sore = Felt(1.0, 1, Part.FINGERS, Feel.SORE)
    made = suggest(Grounds([entry(0, sore)], day(3)))
    assert made.kind == GENTLE
    assert made.leave_out == ["load on the fingers", "small edges"]
    assert made.hard_from == day(5)
    assert "Fingers sore last time" in reasons(Grounds([entry(0, sore)], day(3)))
    back = Felt(1.0, 1, Part.BACK, Feel.HURTING)
    assert suggest(Grounds([entry(0, back, TRY)], day(3))).leave_out == ["load on the back"]
    assert suggest(Grounds([entry(0, sore)], day(20))).kind == RETURN


def test_a_sign_that_stands_ends_hard_tries() -> None:
    signs = (Stands(day(1), Part.FINGERS, "pop"), Stands(day(1), None, "faint"))
    made = suggest(Grounds([entry(0)], day(20), signs))
    assert made.hard_from is None
    assert made.kind == GENTLE
    assert "any load on the fingers" in made.leave_out
    assert made.reasons[0].text == (
        "Fingers, a warning sign (pop), told on 01 March 2026. It stands until a clinician has "
        "cleared it: then type 'coach people cleared fingers'."
    )
    later = suggest(Grounds([entry(0, TRY)], day(2), signs))
    assert later.hard_from is None


def test_the_least_practised_focus() -> None:
    lately = replace(entry(0), digest=Digest(focuses={"quiet-feet": 60.0, "long-arms": 900.0}))
    known = Grounds([lately], day(3), focuses=("long-arms", "quiet-feet"))
    assert suggest(known).focus == "quiet-feet"
    never = suggest(Grounds([lately], day(3), focuses=("long-arms", "still-hips")))
    assert never.focus == "still-hips"
    told = [one for one in never.reasons if one.text.startswith("Still hips")]
    assert [(one.text.endswith("(not at all)."), one.sure) for one in told] == [
        (True, "our choice")
    ]
    assert "Quiet feet: least practised of all in four weeks (60 s)." in reasons(known)
    favoured = replace(known, aims=(Aim("1", AimKind.FOCUS, "long-arms"),))
    assert suggest(favoured).focus == "long-arms"
    assert "of the ones you favour" in reasons(favoured)
    long_ago = replace(known, today=date(2026, 5, 1))
    assert "(not at all)" in reasons(long_ago)
    unknown = replace(known, aims=(Aim("1", AimKind.FOCUS, "flying"),))
    assert suggest(unknown).focus == ""


feels = st.sampled_from([Feel.FINE, Feel.SORE, Feel.HURTING])
some_facts = st.lists(st.one_of(st.just(TRY), feels.map(lambda f: Felt(1.0, 1, Part.FINGERS, f))))
records = st.lists(st.tuples(st.integers(0, 40), some_facts), max_size=6)


def made_of(record: list[tuple[int, list[Fact]]], efforts: list[int | None]) -> list[Entry]:
    ordered = sorted(record, key=lambda item: item[0])
    return [
        entry(days, *facts, ended(60, efforts[n % len(efforts)]))
        for n, (days, facts) in enumerate(ordered)
    ]


@given(records, st.lists(st.one_of(st.none(), st.integers(0, 10)), min_size=1, max_size=4))
def test_effort_may_only_ask_for_less(
    record: list[tuple[int, list[Fact]]], efforts: list[int | None]
) -> None:
    today = date(2026, 4, 15)
    made = suggest(Grounds(made_of(record, efforts), today))
    plain = suggest(Grounds(made_of(record, [None]), today))
    assert (made.minutes or 0) <= (plain.minutes or 0)
    assert made.hard_from == plain.hard_from
    assert set(plain.leave_out) <= set(made.leave_out)
    if plain.most_tries is not None:
        assert made.most_tries is not None
        assert made.most_tries <= plain.most_tries


@given(records, st.booleans())
def test_a_sign_never_makes_a_day_harder(record: list[tuple[int, list[Fact]]], any_: bool) -> None:
    today = date(2026, 4, 15)
    plain = suggest(Grounds(made_of(record, [5]), today))
    signed = suggest(Grounds(made_of(record, [5]), today, (Stands(today, Part.FINGERS, "pop"),)))
    assert signed.hard_from is None
    assert set(plain.leave_out) <= set(signed.leave_out)
    assert all(reason.sure for reason in signed.reasons)


def test_films_of_the_last_session_are_asked_for() -> None:
    films = (Filmed(1.0, 1, "slate 4", 3, "18:42"), Filmed(2.0, 1, "boulder 1", 5, ""))
    assert suggest(Grounds([], day(2), films=films)).watch == [
        "the film of try 3, slate 4, 18:42",
        "the film of try 5, boulder 1",
    ]


def test_aims_are_told_as_facts() -> None:
    hang = StepEnded(9.0, 1, "board.1", "x", "stay", "board", 1.0, 600.0, 600.0, "done")
    entries = [entry(-3, hang), entry(0, hang, TRY), entry(1, replace(TRY, boulder="b"))]
    topped = [*entries, entry(2, Tried(1.0, 1, "slate 4", 1, "topped", 9.0))]
    aims = [
        Aim("1", AimKind.DOSE, "hangs", minutes=25),
        Aim("2", AimKind.FOCUS, "quiet-feet"),
        Aim("3", AimKind.BOULDER, "slate 4", by="2026-06-01"),
        Aim("4", AimKind.BOULDER, "slate 9"),
        Aim("5", AimKind.GRADE, "7A"),
    ]
    assert aim_lines(aims, entries, day(4)) == [
        "hangs: 10 of 25 min this week",
        "favour quiet feet",
        "boulder slate 4 by 01 Jun 2026: 1 try so far",
        "boulder slate 9",
        "grade 7A",
    ]
    assert aim_lines(aims[2:3], topped, day(5))[0].endswith(": topped")


def test_a_part_that_was_sore_three_days_of_five_makes_a_day_easy_without_it() -> None:
    """Days far apart, the last long past: nothing else speaks against a full session."""
    sore = Digest(felt={Part.KNEES: Feel.SORE})
    days = [replace(entry(n * 4), digest=sore if n > 1 else Digest()) for n in range(5)]
    made = suggest(Grounds(days, day(21)))
    assert made.kind == GENTLE
    assert "load on the knees" in made.leave_out
    fresh = suggest(Grounds([replace(one, digest=Digest()) for one in days], day(21)))
    assert fresh.kind == FULL


def test_the_usual_length_is_that_of_the_last_five_that_were_finished() -> None:
    days = [entry(n, ended(minutes)) for n, minutes in enumerate((200, 200, 60, 60, 60, 90, 90))]
    assert suggest(Grounds(days, day(20))).minutes == 60
    cut = [replace(one, how="ended") for one in days[-3:]]
    assert suggest(Grounds([*days[:-2], *cut[1:]], day(20))).minutes == 60
    assert suggest(Grounds([*days[:-3], *cut], day(20))).minutes is None


@pytest.mark.parametrize(("ago", "counts"), [(28, True), (29, False)])
def test_a_focus_is_forgotten_after_four_weeks(ago: int, counts: bool) -> None:
    old = replace(entry(0), digest=Digest(focuses={"long-arms": 60.0}))
    known = Grounds([old], day(2) + timedelta(days=ago), focuses=("long-arms", "quiet-feet"))
    made = suggest(replace(known, focuses=("long-arms",)))
    assert ("(60 s)" in reasons(replace(known, focuses=("long-arms",)))) == counts
    assert made.focus == "long-arms"
    assert suggest(known).focus == ("quiet-feet" if counts else "long-arms")


def tries(days: float, *results: tuple[str, str]) -> Entry:
    return replace(entry(days), digest=Digest(tried=results))


@pytest.mark.parametrize(
    ("days", "waits", "far"),
    [
        # the last one that was not topped, on any day, however high it went last
        ([tries(0, ("slate 4", "top")), tries(2, ("slate 4", "start"))], "slate 4", "top"),
        ([tries(0, ("slate 4", "topped")), tries(2, ("slate 4", "start"))], "", ""),
        ([tries(0, ("a 1", "top"), ("b 2", "middle"), ("a 1", "start"))], "a 1", "top"),
        ([tries(0, ("a 1", "top"), ("b 2", "middle"))], "b 2", "middle"),
        ([tries(0, ("a 1", "top")), tries(2, ("b 2", "topped"))], "a 1", "top"),
        ([tries(0, ("a 1", "untold"))], "a 1", ""),
        # one without a name may be another one, and one of 85 days ago may be gone
        ([tries(0, ("a 1", "top")), tries(2, ("boulder 1", "top"))], "a 1", "top"),
        ([tries(-60, ("a 1", "top"))], "a 1", "top"),
        ([tries(-61, ("a 1", "top"))], "", ""),
    ],
)
def test_the_boulder_that_waits(days: list[Entry], waits: str, far: str) -> None:
    today = day(26)  # 24 days after the first Monday: 84 after the sixtieth day before it
    made = suggest(Grounds(days, today))
    assert made.boulder == waits
    told = [reason.text for reason in made.reasons if " waits" in reason.text]
    best = f", best so far the {far}" if far else ""
    assert told == ([f"{waits} waits{best}."] if waits else [])
    stands = (Stands(day(1), Part.WRISTS, "", Feel.HURTING),)
    assert suggest(Grounds(days, today, stands)).boulder == ""


def test_what_a_week_still_lacks_is_counted_from_monday() -> None:
    def hung(days: float, minutes: float) -> Entry:
        return replace(entry(days), digest=Digest(doses={"hangs": 60.0 * minutes}))

    times = (Aim("1", AimKind.DOSE, "hangs", times=3),)
    minutes = (Aim("1", AimKind.DOSE, "hangs", minutes=10),)
    week = [hung(-1, 9), hung(0, 4), hung(2, 3)]  # Sunday, Monday, Wednesday
    assert suggest(Grounds(week, day(6), aims=times)).doses == ["hangs 1 time this week"]
    assert suggest(Grounds(week[:2], day(6), aims=times)).doses == ["hangs 2 times this week"]
    assert suggest(Grounds([*week, hung(3, 1)], day(6), aims=times)).doses == []
    assert suggest(Grounds(week, day(6), aims=minutes)).doses == ["3 min of hangs this week"]
    assert suggest(Grounds([*week, hung(3, 2)], day(6), aims=minutes)).doses == [
        "1 min of hangs this week"
    ]
    assert suggest(Grounds([*week, hung(3, 2.1)], day(6), aims=minutes)).doses == []


def test_an_easier_week_halves_the_usual_tries_and_shortens_the_session() -> None:
    """Five weeks of Mondays and Thursdays, ninety minutes and six tries each, then two away."""
    some = tuple(("slate 4", "top") for _ in range(6))
    days = [
        replace(one, digest=replace(one.digest, tried=some if n else some[:2]))
        for n, one in enumerate(entry(7 * w + d, ended(90)) for w in range(5) for d in (0, 3))
    ]
    today = days[-1].day + timedelta(days=14)
    made = suggest(Grounds(days, today))
    assert (made.minutes, made.most_tries) == (65, 3)
    assert "14 days since the last session: easy first." in reasons(Grounds(days, today))
    assert "A week of less, not a week off." in reasons(Grounds(days, today))
    idle = [replace(one, digest=replace(one.digest, tried=())) for one in days]
    assert suggest(Grounds(idle, today)).most_tries is None
    one_try = [replace(one, digest=replace(one.digest, tried=some[:1])) for one in days]
    assert suggest(Grounds(one_try, today)).most_tries == 1
    short = [replace(one, digest=replace(one.digest, seconds=1500.0)) for one in days]
    assert suggest(Grounds(short, today)).minutes == 20


def test_the_line_starts_what_was_proposed() -> None:
    made = Suggestion(minutes=75, routine="full", place="Old Sluice", boulder="slate 4")
    made.hard_from = day(3)
    line = "coach start full --minutes 75 --place 'Old Sluice' --boulder 'slate 4'"
    assert made.command(day(3)) == line
    assert made.command(day(2)) == line.split(" --boulder", maxsplit=1)[0] + " --today 'tries: 0'"
    made.most_tries = 12
    assert made.command(day(3)) == f"{line} --today 'tries: 9'"
    made.leave_out.append("hard tries")
    assert made.tries(day(3)) == 0
    assert Suggestion().command(day(3)) == "coach start --today 'tries: 0'"


def test_days_after_today_are_told_of() -> None:
    made = suggest(Grounds([entry(0), entry(5), entry(9)], day(3)))
    assert made.unknown[0] == (
        "2 sessions dated after today: taken for today's. "
        "'coach history fix 500 --date' corrects the day."
    )
    assert not any("dated" in one for one in suggest(Grounds([entry(1)], day(3))).unknown)


@pytest.mark.parametrize(
    ("part", "feel", "ago", "left_out"),
    [
        (Part.FINGERS, Feel.SORE, 13, ["load on the fingers", "small edges"]),
        (Part.SKIN, Feel.HURTING, 13, ["load on the skin", "small edges"]),
        (Part.KNEES, Feel.SORE, 13, ["load on the knees"]),
        (Part.KNEES, Feel.TIRED, 13, []),
        # after two weeks it is a first day back, whatever was sore
        (Part.KNEES, Feel.SORE, 14, ["hard tries"]),
    ],
)
def test_what_was_sore_last_time_is_left_out(
    part: Part, feel: Feel, ago: int, left_out: list[str]
) -> None:
    known = Grounds([entry(0, Felt(1.0, 1, part, feel))], day(2) + timedelta(days=ago))
    assert suggest(known).leave_out == left_out
