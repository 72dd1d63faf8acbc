"""The table of key moves has no gap, and nothing of it is done against a cap, an age or pain."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.model.body import Cap, CapReason, Feel, Part
from coach.model.day import Day, Report
from coach.model.key_moves import CAUSES, KEY_MOVES, TIERS, UNTOLD
from coach.model.movement import Family
from coach.model.person import AgeBand, Person
from coach.model.plan import Drill, StepKind
from coach.model.tries import HANDS, Boulder
from coach.planning import drills, focus, make_plan, open_day, timeline
from tests.planning.days import library

TABLE = library().key_moves
MOVEMENTS = library().movements
ADULT = Person(1, age=AgeBand.ADULT)
#: Drills in which a hand leaves and lands: nobody under eighteen, nobody with sore fingers or
#: shoulders does them. Written down here by hand, from what each of them is.
DYNAMIC = {
    "two-hands-together",
    "one-hand-hop",
    "catch-and-still",
    "past-and-settle",
    "quick-steps",
}
SPARED = ("fingers", "shoulders")


def every_drill() -> set[str]:
    return {name for move in TABLE.moves.values() for tier in move.drills.values() for name in tier}


class TestNoGap:
    def test_every_key_move_of_the_trade_has_its_line(self) -> None:
        assert set(TABLE.moves) == set(KEY_MOVES)
        assert len(KEY_MOVES) == 12

    @pytest.mark.parametrize("name", KEY_MOVES)
    def test_a_line_has_a_drill_by_tier_a_focus_a_preparation_and_two_changes(
        self, name: str
    ) -> None:
        move = TABLE.moves[name]
        assert set(move.drills) == set(TIERS)
        assert all(move.drills.values())
        assert move.focus
        assert all(MOVEMENTS[one].family is Family.FOCUS for one in move.focus)
        assert all(MOVEMENTS[one].family is Family.BOARD for one in move.board)
        assert move.board
        assert len(set(move.variations)) >= 2
        for texts in (move.title, move.middle, move.prepare):
            assert texts.keys() == {"en", "de"}
            assert all(len(text.split()) <= 12 for text in texts.values())

    @pytest.mark.parametrize(("name", "cause"), list(product(KEY_MOVES, CAUSES)))
    def test_two_changes_fit_each_cause_on_each_key_move(self, name: str, cause: str) -> None:
        own = [one for one in TABLE.moves[name].variations if cause in TABLE.variations[one].fits]
        assert len({*own, *TABLE.causes[cause]}) >= 2

    def test_a_cause_and_an_untold_one_have_changes_of_their_own(self) -> None:
        assert set(TABLE.causes) == {*CAUSES, UNTOLD}
        for cause, names in TABLE.causes.items():
            assert len(names) >= 2
            if cause != UNTOLD:
                assert all(cause in TABLE.variations[name].fits for name in names), cause

    def test_every_variation_and_drill_is_used(self) -> None:
        used = {name for move in TABLE.moves.values() for name in move.variations}
        used |= {name for names in TABLE.causes.values() for name in names}
        assert used == set(TABLE.variations)
        ours = {name for name, one in MOVEMENTS.items() if one.family is Family.DRILL}
        assert ours <= every_drill()

    def test_what_is_said_before_a_try_is_under_eight_words(self) -> None:
        for one in TABLE.variations.values():
            assert all(len(cue.split()) < 8 for cue in one.cue.values()), one.name
            assert one.cue.keys() == one.title.keys() == {"en", "de"}

    def test_bad_timing_never_gets_slow_hands(self) -> None:
        # A leap that is missed too late is not caught by reaching slower.
        for name in {*TABLE.moves["leap"].variations, *TABLE.causes["timing"]}:
            said = " ".join([*TABLE.variations[name].title.values()]).lower()
            assert "slow" not in said
            assert "langsam" not in said
        assert "slow-hands" not in TABLE.moves["leap"].focus

    def test_a_drill_is_gentler_than_the_try_that_it_prepares(self) -> None:
        for name in every_drill():
            loads = MOVEMENTS[name].load
            assert max(loads.values()) <= 2, name
            for part, load in loads.items():
                assert load <= MOVEMENTS["hard-try"].load[part], (name, part)

    def test_dynamic_drills_leave_out_the_young_and_whoever_is_sore(self) -> None:
        assert every_drill() >= DYNAMIC
        for name in DYNAMIC:
            out = set(MOVEMENTS[name].leave_out)
            assert {"under-16", "under-18", "sign:fingers"} <= out, name
            for part in SPARED:
                assert {f"sore:{part}", f"hurting:{part}"} <= out, (name, part)


ages = st.sampled_from(AgeBand)
caps = st.builds(
    Cap,
    st.just(1),
    st.sampled_from(Part),
    st.integers(0, 2),
    st.sampled_from([CapReason.SORE, CapReason.SIGN]),
    st.just("told"),
)
reports = st.builds(Report, st.just(1), st.sampled_from(Part), st.sampled_from(Feel))
boulders = st.builds(
    Boulder,
    st.just("flint 4"),
    about=st.sampled_from(("", *KEY_MOVES)),
    hand=st.sampled_from(("", *HANDS)),
)


def day_of(age: AgeBand, held: list[Cap], told: list[Report]) -> Day:
    return Day((Person(1, age=age),), 5400.0, caps=tuple(held), reports=tuple(told))


class TestDrills:
    @settings(max_examples=300, deadline=None)
    @given(ages, st.lists(caps, max_size=3), st.lists(reports, max_size=3), boulders, st.booleans())
    def test_no_drill_against_a_cap_an_age_or_pain(
        self, age: AgeBand, held: list[Cap], told: list[Report], boulder: Boulder, again: bool
    ) -> None:
        day = day_of(age, held, told)
        why = Drill.KEPT if again else Drill.FIRST
        for step in drills.steps_of(day, library(), 1, boulder, "hard.1", why):
            for form in step.forms:
                for cap in held:
                    assert form.load.get(cap.part, 0) <= cap.most
                if form.movement in DYNAMIC:
                    assert age is AgeBand.ADULT
                    feels = {(one.part.value, one.feel) for one in told}
                    for part in SPARED:
                        assert (part, Feel.SORE) not in feels
                        assert (part, Feel.HURTING) not in feels
            assert drills.LEAST <= step.amount <= 4
            assert step.turn == 1
            assert drills.is_drill(step)

    @pytest.mark.parametrize("about", KEY_MOVES)
    def test_the_rest_before_the_try_is_one_to_three_minutes(self, about: str) -> None:
        boulder = Boulder("flint 4", about=about)
        steps = drills.steps_of(day_of(AgeBand.ADULT, [], []), library(), 1, boulder, "hard.1")
        assert steps
        assert 60 <= steps[-1].rest <= 180

    def test_only_the_hand_of_the_key_move_practises(self) -> None:
        day = day_of(AgeBand.ADULT, [], [])
        both = Boulder("flint 4", about="leap")
        left = Boulder("flint 4", about="leap", hand="left")
        sides = [
            [step.side for step in drills.steps_of(day, library(), 1, one, "hard.1", Drill.KEPT)]
            for one in (both, left)
        ]
        assert sides == [["left", "right"], ["left"]]

    def test_both_hands_come_first_and_the_single_one_after_two_falls(self) -> None:
        day, leap = day_of(AgeBand.ADULT, [], []), Boulder("flint 4", about="leap")
        first = drills.drill(day, library(), 1, leap)
        again = drills.drill(day, library(), 1, leap, drills.AGAIN)
        assert first is not None
        assert again is not None
        assert (first.name, again.name) == ("two-hands-together", "one-hand-hop")

    def test_nothing_is_drilled_where_nothing_was_told(self) -> None:
        day = day_of(AgeBand.ADULT, [], [])
        assert drills.drill(day, library(), 1, None) is None
        assert drills.steps_of(day, library(), 1, Boulder("flint 4"), "hard.1") == ()


class TestPlan:
    @pytest.mark.parametrize("minutes", [60, 75, 90, 120])
    @pytest.mark.parametrize("about", KEY_MOVES)
    def test_the_drill_stands_before_the_first_try_and_is_in_the_minutes(
        self, about: str, minutes: int
    ) -> None:
        lib = library("full")
        day = open_day((ADULT,), minutes, lib)
        steps = make_plan(day, 0.0, lib, {1: Boulder("flint 4", about=about)}).steps
        assert timeline.seconds_of(steps) <= minutes * 60
        kept = [i for i, step in enumerate(steps) if drills.is_kept(step)]
        drilled = [i for i, step in enumerate(steps) if drills.is_drill(step) and i not in kept]
        tries = [i for i, step in enumerate(steps) if step.kind is StepKind.TRY]
        assert bool(drilled) == bool(tries)
        if tries:
            assert drilled[-1] == tries[0] - 1
        assert bool(kept) == (len(tries) > 2)
        if kept:
            assert kept[-1] == tries[2] - 1

    def test_each_of_a_pair_drills_before_the_first_round(self) -> None:
        people = (ADULT, Person(2, age=AgeBand.ADULT))
        day = open_day(people, 90, library())
        on = {1: Boulder("flint 4", about="leap"), 2: Boulder("slate 2", about="balance")}
        steps = [s for s in make_plan(day, 0.0, library(), on).steps if s.block == "hard"]
        assert [step.turn for step in steps[:4]] == [1, 2, 1, 2]
        assert [drills.is_drill(step) for step in steps[:4]] == [True, True, False, False]

    def test_a_day_without_hard_tries_has_no_drill(self) -> None:
        lib = library("technique-day")
        day = open_day((ADULT,), 90, lib)
        steps = make_plan(day, 0.0, lib, {1: Boulder("flint 4", about="leap")}).steps
        assert not any(drills.is_drill(step) for step in steps)

    @pytest.mark.parametrize("about", KEY_MOVES)
    def test_the_focuses_of_the_key_move_are_offered_first(self, about: str) -> None:
        day = open_day((ADULT,), 90, library())
        towards = tuple(drills.focuses(library(), [Boulder("flint 4", about=about)]))
        offered = focus.offer(day, library(), 1, (), (), towards)
        assert offered == TABLE.moves[about].focus[: focus.OFFERED]

    def test_two_key_moves_take_turns_among_the_focuses(self) -> None:
        pair = [Boulder("flint 4", about="leap"), Boulder("slate 2", about="small-edges")]
        found = list(drills.focuses(library(), pair))
        assert found[:2] == [TABLE.moves["leap"].focus[0], TABLE.moves["small-edges"].focus[0]]
        assert len(found) == len(set(found))
