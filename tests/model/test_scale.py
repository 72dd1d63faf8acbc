"""How a scale's reading is written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.scale import READING, believed, claim, has_unit, kilograms


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("42.5", 42.5),
        (" 42,5 kg ", 42.5),
        ("42KG", 42.0),
        ("-3", -3.0),
        ("0", 0.0),
        ("abc", None),
        ("", None),
        ("kg", None),
        ("1e3", None),
        ("inf", None),
        ("4.2.5", None),
        ("42 lb", None),
    ],
)
def test_a_reading_is_a_number_with_or_without_its_unit(text: str, reading: float | None) -> None:
    assert kilograms(text) == reading


def test_only_with_its_unit_it_can_be_no_figure_of_an_answer() -> None:
    assert has_unit("4 kg")
    assert not has_unit("4")
    assert not has_unit("kg")


@pytest.mark.parametrize(("reading", "taken"), [(0.9, False), (1, True), (200, True), (201, False)])
def test_the_range_that_is_taken(reading: float, taken: bool) -> None:
    assert believed(reading) is taken


@given(grams=st.integers(1000, 200_000))
def test_a_claim_holds_every_gram_of_its_reading(grams: int) -> None:
    assert kilograms(claim(grams / 1000).removeprefix(READING)) == pytest.approx(grams / 1000)
