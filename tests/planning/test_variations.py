"""One change at a time, that fits, after two or three falls: judged from what was told alone."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.model.body import Cap, CapReason, Feel, Part
from coach.model.day import Day, Report
from coach.model.key_moves import CAUSES, KEY_MOVES, VariationEffect
from coach.model.person import AgeBand, Person
from coach.model.tries import Boulder, Went
from coach.planning import variations
from tests.planning.days import library

TABLE = library().key_moves
LEAP = Boulder("flint 4", moves=9, about="leap", key_at=5)
DAY = Day((Person(1, age=AgeBand.ADULT),), 5400.0)


def fell(move: int = 5, cause: str = "", variation: str = "", result: str = "middle") -> Went:
    return Went(1, LEAP.name, result, move, cause=cause, variation=variation)


class TestWhen:
    def test_the_second_fall_for_a_known_cause(self) -> None:
        assert not variations.due([fell(cause="timing")])
        assert variations.due([fell(cause="timing"), fell(cause="timing")])
        assert variations.due([fell(), fell(cause="timing")])

    def test_the_third_for_an_untold_one(self) -> None:
        assert not variations.due([fell(), fell()])
        assert variations.due([fell(), fell(), fell()])

    def test_a_fall_elsewhere_begins_anew(self) -> None:
        assert not variations.due([fell(cause="foot"), fell(7, cause="foot")])
        assert not variations.due([fell(), fell(), fell(7)])

    def test_a_top_and_an_untold_end_are_no_falls(self) -> None:
        topped = Went(1, LEAP.name, "topped")
        untold = Went(1, LEAP.name, "untold")
        assert not variations.due([fell(), fell(), topped])
        assert not variations.due([untold, untold, untold])
        assert not variations.due([])

    def test_falls_of_which_only_that_they_were_falls_is_known_count(self) -> None:
        below = fell(0, result="below")
        assert variations.due([below, below, below])

    def test_other_days_do_not_count(self) -> None:
        before = replace(fell(cause="timing"), today=False)
        assert not variations.due([before, before, fell(cause="timing")])

    def test_five_falls_with_no_cause_told_bring_a_change_at_the_third(self) -> None:
        falls = [fell() for _ in range(5)]
        assert [variations.due(falls[:n]) for n in range(1, 6)] == [False, False, True, True, True]


class TestWhat:
    def test_a_leap_missed_for_timing(self) -> None:
        tries = [fell(cause="timing"), fell(cause="timing")]
        assert variations.options(TABLE, LEAP, tries, DAY, 1) == ("one-swing", "from-still")

    def test_without_a_key_move_the_cause_alone_decides(self) -> None:
        plain = replace(LEAP, about="")
        tries = [fell(cause="foot"), fell(cause="foot")]
        assert variations.options(TABLE, plain, tries, DAY, 1) == ("other-foot", "eyes-on-foot")

    def test_filming_is_suggested_once(self) -> None:
        plain = replace(LEAP, about="")
        failed = [fell(variation=name) for name in ("on-the-ground", "other-hand")]
        tries = [fell(cause="plan"), *failed, fell(cause="plan")]
        assert variations.options(TABLE, plain, tries, DAY, 1) == ("film",)
        assert variations.options(TABLE, plain, tries, DAY, 1, filmed=True) == ()

    def test_a_film_is_no_change_that_helped(self) -> None:
        tries = [fell(), fell(7, variation="film")]
        assert variations.worked(tries) == ""

    def test_one_film_a_day_is_enough(self) -> None:
        assert "film" in variations.failed_today([fell(), fell(7, variation="film")])

    @pytest.mark.parametrize("about", KEY_MOVES)
    @pytest.mark.parametrize("cause", ["", "grip", "foot", "reach", "timing"])
    def test_filming_comes_after_a_change_that_failed(self, about: str, cause: str) -> None:
        here = replace(LEAP, about=about)
        tries = [fell(cause=cause)] * 3
        first = variations.options(TABLE, here, tries, DAY, 1)
        tries += [fell(cause=cause, variation=name) for name in first] + [fell(cause=cause)] * 2
        assert "film" in (*first, *variations.options(TABLE, here, tries, DAY, 1))

    @pytest.mark.parametrize("age", [AgeBand.UNKNOWN, AgeBand.UNDER_18, AgeBand.UNDER_16])
    def test_nothing_asks_more_of_the_young(self, age: AgeBand) -> None:
        day = Day((Person(1, age=age),), 5400.0)
        for about in KEY_MOVES:
            for cause in CAUSES:
                tries = [fell(cause=cause)] * 2
                found = variations.options(TABLE, replace(LEAP, about=about), tries, day, 1)
                assert not any(TABLE.variations[name].asks for name in found)


class TestAfterwards:
    def test_both_get_a_try_and_the_one_that_helped_stays(self) -> None:
        agreed, tries = ("one-swing", "from-still"), [fell(), fell()]
        assert variations.next_of(agreed, tries) == "one-swing"
        tries.append(fell(variation="one-swing"))
        assert variations.next_of(agreed, tries) == "from-still"
        tries.append(fell(7, variation="from-still"))
        assert variations.next_of(agreed, tries) == "from-still"
        assert variations.outcomes(tries) == (
            ("one-swing", variations.NO_BETTER),
            ("from-still", variations.BETTER),
        )
        assert variations.worked(tries) == "from-still"

    def test_two_that_failed_leave_nothing_agreed(self) -> None:
        agreed = ("one-swing", "from-still")
        tries = [fell(), fell(), *(fell(variation=name) for name in agreed)]
        assert variations.next_of(agreed, tries) == ""

    def test_what_nobody_told_is_no_judgement(self) -> None:
        tries = [fell(), Went(1, LEAP.name, "untold", variation="one-swing")]
        assert variations.outcomes(tries) == (("one-swing", variations.CANT_TELL),)
        assert variations.failed_today(tries) == frozenset()

    def test_easier_at_the_same_place_is_better(self) -> None:
        tries = [fell(), replace(fell(variation="one-swing"), felt="easier")]
        assert variations.worked(tries) == "one-swing"


def as_told(went: Went) -> Went:
    """The same, as the moves of one boulder of nine can be told."""
    if went.result in ("topped", "untold"):
        return replace(went, move=0)
    if went.move and went.result != "below":
        return replace(went, result=("start", "middle", "top")[(went.move - 1) // 3])
    return went


logs = st.lists(
    st.builds(
        Went,
        st.just(1),
        st.just(LEAP.name),
        st.sampled_from(["start", "middle", "top", "topped", "below", "untold"]),
        st.integers(0, 9),
        cause=st.sampled_from(["", *CAUSES]),
        variation=st.sampled_from(["", *sorted(TABLE.variations)]),
        felt=st.sampled_from(["", "harder", "same"]),
        today=st.booleans(),
    ).map(as_told),
    max_size=8,
)
held = st.lists(
    st.builds(
        Cap,
        st.just(1),
        st.sampled_from(Part),
        st.integers(0, 3),
        st.sampled_from([CapReason.SORE, CapReason.SIGN, CapReason.AGE]),
        st.just("told"),
    ),
    max_size=3,
)
felt = st.lists(
    st.builds(Report, st.just(1), st.sampled_from(Part), st.sampled_from(Feel)), max_size=3
)


def clearly_worse(log: list[Went], index: int) -> bool:
    """By moves alone: this try ended no higher than some try before it, and both are known."""
    now = log[index]
    if now.result in ("topped", "untold", "below") or not now.move:
        return False
    return any(
        one.result == "topped" or (one.result not in ("untold", "below") and one.move >= now.move)
        for one in log[:index]
    )


@settings(max_examples=400, deadline=None)
@given(logs, held, felt, st.sampled_from(["", *KEY_MOVES]), st.booleans())
def test_whatever_happened(
    log: list[Went], caps: list[Cap], reports: list[Report], about: str, filmed: bool
) -> None:
    day = replace(DAY, caps=tuple(caps), reports=tuple(reports))
    found = variations.options(TABLE, replace(LEAP, about=about), log, day, 1, filmed=filmed)

    assert len(found) == len(set(found)) <= 2
    failed = {w.variation for i, w in enumerate(log) if w.today and clearly_worse(log, i)} - {""}
    assert not failed & set(found)
    tired = {one.part for one in reports if one.feel in ("tired", "sore", "hurting")}
    low = {cap.part for cap in caps if cap.most < 3}
    for name in found:
        one = TABLE.variations[name]
        assert not set(one.asks) & (tired | low), name
        assert not (filmed and one.does is VariationEffect.FILM)
