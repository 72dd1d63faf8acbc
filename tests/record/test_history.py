"""The list, the story, two side by side."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from coach.model.body import CapReason, Feel, Part, Tissue
from coach.model.facts import (
    BoulderNamed,
    CapLifted,
    CapSet,
    CauseTold,
    Climbed,
    Decided,
    EffortFelt,
    Fact,
    Felt,
    Filmed,
    GateAnswered,
    NoteMade,
    Planned,
    Rested,
    RuleFired,
    ScaleRead,
    SignTold,
    StepEnded,
    Tried,
    WentForIt,
    Won,
)
from coach.record.amounts import count, duration, listed, median
from coach.record.history import compare, line, numbered
from coach.record.story import story
from tests.journal.made import any_fact
from tests.record.days import check, ended, entry


def step(movement: str, outcome: str = "done", block: str = "mat", kind: str = "stay") -> StepEnded:
    amount = 1.0 if outcome == "done" else 0.0
    return StepEnded(60.0, 1, f"{block}.1", movement, kind, block, amount, 40.0, 40.0, outcome)


def told(*facts: Fact, **changes: object) -> list[str]:
    one = replace(entry(1, *facts), **changes)  # type: ignore[arg-type]
    titles = {"cat-arch": "Cat arch", "walk": ""}
    return [sentence.text for sentence in story(one, facts, titles)][1:]


def test_the_list_says_what_stood_out() -> None:
    facts = [
        Climbed(1.0, 1, "easy", 12, 60.0),
        Tried(1.0, 1, "slate 4", 1, "topped", 9.0),
        SignTold(1.0, 1, "pop", None),
        ended(87, 6),
    ]
    assert line(entry(1, *facts)) == (
        "100",
        "Tue 2026-03-03 18:00",
        "full",
        "87 min",
        "Old Sluice",
        "12 boulders, 1 hard try, 1 top, effort 6, warning sign",
    )
    assert line(entry(1, how=None))[-1] == "not closed"
    assert line(entry(1, how="cut"))[-1] == "its end was lost"
    assert line(entry(1, how="hurt"))[-1] == "hurt"


def test_the_story_opens_with_when_and_where() -> None:
    first = story(entry(1, others=2), [], {})[0]
    assert first.text == (
        "Tuesday 3 March 2026, 18:00, Old Sluice: full, 90 min planned, with 2 others."
    )
    assert story(entry(1), [], {})[0].text.endswith("90 min planned.")


def test_steps_of_a_block_are_one_sentence() -> None:
    text = told(
        step("cat-arch"),
        step("cat-arch"),
        step("squat", "skipped"),
        step("bow", "left-out"),
        step("lean", "cut"),
        step("hang", block="board"),
        step("walk", block="pulse"),
    )
    assert text == [
        "Mat: 3 min of Cat arch; 1 skipped; 1 cut; 1 left out.",
        "Board: 40 s of hang.",
        "Pulse: 40 s.",
    ]


def test_every_kind_of_fact_in_words() -> None:
    text = told(
        Planned(0.0, 0, 5400.0, 1, "check-in"),
        Felt(1.0, 1, Part.FINGERS, Feel.SORE, Tissue.SKIN),
        Felt(1.0, 1, Part.BACK, Feel.FINE),
        check(reading=48.5),
        replace(check(), edge=""),
        ScaleRead(1.0, 1, 42.5),
        GateAnswered(1.0, 1, "gate-body", "silence"),
        GateAnswered(1.0, 1, "gate-body", "feel:fine"),
        CapSet(1.0, 1, Part.FINGERS, 1, CapReason.SORE, "sore"),
        CapSet(1.0, 1, Part.SKIN, 1, CapReason.SORE, "sore"),
        CapSet(1.0, 1, Part.SKIN, 0, CapReason.SIGN, "warning-sign"),
        CapLifted(2.0, 1, Part.FINGERS, CapReason.GATE, "feel:fine"),
        *(CapLifted(3.0, 1, part, CapReason.COLD, "mat.1-make-up") for part in Part),
        RuleFired(1.0, 0, "running-late", "our choice"),
        SignTold(1.0, 1, "pop", Part.FINGERS),
        SignTold(1.0, 1, "faint", None),
        Decided(1.0, 1, True),
        Decided(1.0, 1, False),
        step("try", kind="try", block="hard"),
        Tried(1.0, 1, "slate 4", 1, "topped", 9.0),
        Tried(1.0, 1, "slate 4", 2, "middle", 9.0),
        Tried(1.0, 1, "slate 4", 3, "untold", 9.0),
        Rested(1.0, 0, 200.0, 180.0, "hard.1.1"),
        Rested(1.0, 0, 20.0, 20.0, "board.1"),
        Climbed(1.0, 1, "easy", 1, 60.0),
        ended(87, 6),
        ended(87, None),
    )
    assert text == [
        "Plan (check-in): 90 min with 1 hard try.",
        "Fingers: sore (skin).",
        "Back: fine.",
        "Edge check, medium edge, feet off: fine, 48.5 kg.",
        "Edge check, usual edge, feet off: fine.",
        "Scale at the edge check: 42.5 kg.",
        "No answer to the body check: it stayed shut.",
        "Fingers and skin at most 1 of 3 from here (sore).",
        "Skin at most 0 of 3 from here (warning sign).",
        "Fingers as usual again (fine).",
        "Everything as usual again (the warm-up was made up).",
        "Rule running late (our choice).",
        "Warning sign: pop, fingers.",
        "Warning sign: faint.",
        "Go-ahead: go.",
        "Go-ahead: not today.",
        "Try 1, slate 4: topped.",
        "Try 2, slate 4: ended at the middle.",
        "Try 3, slate 4: how it ended was not told.",
        "Rested 3 min (3 min suggested).",
        "1 boulder easy.",
        "Over after 87 min (done). Effort 6.",
        "Over after 87 min (done).",
    ]


def test_the_story_says_when_the_end_was_lost() -> None:
    assert told(how=None) == ["(not closed)"]
    assert told(how="hurt") == ["(hurt)"]


def test_others_are_not_in_the_story() -> None:
    assert told(Climbed(1.0, 2, "easy", 1, 60.0)) == []


@given(st.lists(any_fact, max_size=12))
def test_any_facts_make_a_story_and_a_comparison(facts: list[Fact]) -> None:
    one = entry(1, *facts)
    assert story(one, facts, {})
    assert all(mine == theirs for _, mine, theirs in compare(one, one))


def test_two_sessions_side_by_side() -> None:
    first = entry(0, Climbed(1.0, 1, "easy", 12, 60.0), check(reading=48.5), ended(87, 6))
    second = entry(
        7,
        Climbed(1.0, 1, "easy", 10, 60.0),
        check(),
        Tried(1.0, 1, "slate 4", 1, "topped", 9.0),
        Felt(1.0, 1, Part.FINGERS, Feel.TIRED),
        Decided(1.0, 1, True),
        RuleFired(1.0, 0, "running-late", "our choice"),
        step("cat-arch"),
        ended(60, None),
    )
    rows = {name: (one, other) for name, one, other in compare(first, second)}
    assert rows["length"] == ("87 min", "60 min")
    assert rows["easy boulders"] == ("12", "10")
    assert rows["effort"] == ("6", "-")
    assert rows["hard tries"] == ("-", "1")
    assert rows["went for it"] == ("-", "1 of 1")
    assert rows["fingers"] == ("-", "tired")
    assert rows["medium edge, feet off"] == ("fine, 48.5 kg", "fine")
    assert rows["rule running late"] == ("-", "1 time")
    assert rows["mobility"] == ("-", "40 s")


def test_a_session_is_found_by_its_number() -> None:
    assert numbered([entry(1), entry(2)], 200) == entry(2)
    assert numbered([entry(1)], 7) is None


def test_words() -> None:
    assert [duration(x) for x in (45, 89, 90, 5400, 6000, 3 * 3600 + 300)] == [
        "45 s",
        "89 s",
        "2 min",
        "90 min",
        "1 h 40",
        "3 h 05",
    ]
    assert [count(1, "try", "tries"), count(2, "try", "tries"), count(0, "top")] == [
        "1 try",
        "2 tries",
        "0 tops",
    ]
    assert [listed([]), listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
    assert [median([]), median([3.0]), median([4.0, 1.0])] == [None, 3.0, 2.5]


def test_what_became_of_tries_is_told() -> None:
    facts = [
        BoulderNamed(1.0, 1, "flint 4", "slab", 9),
        BoulderNamed(1.0, 1, "slate"),
        Tried(2.0, 1, "flint 4", 1, "middle", 9.0, 4),
        Tried(3.0, 1, "flint 4", 2, "below", 9.0),
        CauseTold(3.0, 1, "flint 4", "head", "on-the-ground"),
        EffortFelt(3.0, 1, "flint 4", "same"),
        EffortFelt(3.0, 1, "flint 4", "harder"),
        WentForIt(4.0, 1, "flint 4", False),
        WentForIt(5.0, 1, "flint 4", True),
        Won(5.0, 1, "flint 4", "went-for-it"),
        Won(6.0, 1, "flint 4", "further", 2),
        NoteMade(7.0, 1, "flint 4", "20260303183000-1", 4.2),
        Filmed(8.0, 1, "flint 4", 2, "18:40"),
        Filmed(8.0, 1, "slate", 3, ""),
    ]
    assert told(*facts) == [
        "On flint 4 (slab and 9 moves).",
        "On slate.",
        "Try 1, flint 4: ended at the middle, move 4.",
        "Try 2, flint 4: not topped.",
        "Ended by head, flint 4; offered: on the ground.",
        "Flint 4: as hard as the try before.",
        "Flint 4: harder than the try before.",
        "Held back, flint 4.",
        "Flint 4: gone for.",
        "Flint 4: 2 moves further than before.",
        "Note about flint 4: 20260303183000-1, 4 s.",
        "Filmed: try 2, flint 4, 18:40.",
        "Filmed: try 3, slate.",
    ]
    rows = compare(entry(1, *facts), entry(2))
    assert ("tries gone for", "1 of 2 asked about", "-") in rows
