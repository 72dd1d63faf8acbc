"""Check values of the comparative chart: Draper et al. 2015, Sports Technology 8(3-4):88-94."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.errors import UsageError
from coach.model.person import Person
from coach.model.place import Circuit, Place
from coach.planning.grades import GRADES, ROUTES, Scale, Sex, grade, group, span
from coach.planning.pyramid import check_best, index_of, misplaced, tiers
from tests.planning.days import library


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("V6", 20, 20), ("7A", 20, 20), ("V4", 18, 18), ("6B+", 18, 18), ("5", 14, 14),
        ("6A", 15, 16), ("6A+", 16, 17), ("6C+", 19, 20), ("7B", 22, 22),
        ("7C", 24, 25), ("7C+", 25, 25), ("8C+", 32, 32),
        ("VB", 9, 9), ("V0-", 11, 11), ("V0", 12, 12), ("V0+", 13, 13), ("V1", 14, 14),
        ("V2", 15, 16), ("V3", 16, 17), ("V8", 22, 23), ("V16", 32, 32),
    ],
)  # fmt: skip
def test_grades_stand_where_the_chart_has_them(name: str, least: int, most: int) -> None:
    assert (grade(name).least, grade(name).most) == (least, most)


@pytest.mark.parametrize(
    ("number", "sex", "level"),
    [
        (17, Sex.MALE, 2), (18, Sex.MALE, 3), (14, Sex.FEMALE, 2), (15, Sex.FEMALE, 3),
        (27, Sex.MALE, 4), (27, Sex.FEMALE, 5), (1, Sex.MALE, 1), (32, Sex.FEMALE, 5),
    ],
)  # fmt: skip
def test_ability_groups_are_the_papers_own(number: int, sex: Sex, level: int) -> None:
    assert group(number, sex) == level


@pytest.mark.parametrize(
    ("name", "least", "most"), [("7a", 17, 17), ("VII", 13, 14), ("VIII", 17, 17), ("XII", 32, 32)]
)
def test_route_grades_are_known_only_to_be_refused(name: str, least: int, most: int) -> None:
    assert ROUTES[name] == (least, most)
    with pytest.raises(UsageError, match="route grade"):
        grade(name)


def test_a_route_seven_a_is_three_numbers_easier_than_a_boulder_seven_a() -> None:
    assert ROUTES["7a"] == (17, 17)
    assert (grade("7A").least, grade("7A").most) == (20, 20)


@pytest.mark.parametrize("name", ["V17", "9A", "6D", "7A++", ""])
def test_an_unknown_grade_names_the_nearest(name: str) -> None:
    with pytest.raises(UsageError, match="no boulder grade") as error:
        grade(name)
    assert error.value.do.removeprefix("the nearest is ") in GRADES


@pytest.mark.parametrize(("name", "nearest"), [("6D", "6"), ("7A++", "7A+"), ("V17", "V")])
def test_the_nearest_grade_begins_alike(name: str, nearest: str) -> None:
    with pytest.raises(UsageError) as error:
        grade(name)
    assert error.value.do.startswith(f"the nearest is {nearest}")


@pytest.mark.parametrize("scale", Scale)
def test_grades_of_one_scale_rise(scale: Scale) -> None:
    row = [item for item in GRADES.values() if item.scale is scale]
    assert all(a.least <= b.least and a.most <= b.most for a, b in pairwise(row))


@pytest.mark.parametrize("number", [0, 33])
def test_a_number_outside_the_chart_is_refused(number: int) -> None:
    with pytest.raises(UsageError, match="not in the chart"):
        group(number, Sex.MALE)


def test_small_letters_and_spaces_do_not_matter_for_v() -> None:
    assert grade(" v4 ") == grade("V4")
    assert span(["V2", "V4"]) == (15, 18)
    assert span([]) is None


def test_tiers_of_a_graded_hall() -> None:
    person = Person(1, comfortable="sandstone", best="6C")
    found = tiers(person, library().place)
    assert found is not None
    assert (found.easy, found.middle, found.hard) == (
        ("pumice", "sandstone"), ("marble",), ("slate",),
    )  # fmt: skip


def test_unmapped_circuits_work_by_order_alone() -> None:
    place = Place("shed", tuple(Circuit(name) for name in ("pumice", "flint", "gneiss", "jade")))
    by_circuit = tiers(Person(1, comfortable="flint", best="jade"), place)
    by_grade = tiers(Person(1, comfortable="flint", best="V5"), place)
    assert by_circuit == by_grade
    assert by_circuit is not None
    assert by_circuit.hard == ("jade",)
    assert tiers(Person(1, best="V5"), place) is None
    assert tiers(Person(1), place) is None


@pytest.mark.parametrize(
    ("spans", "wrong"),
    [
        ([(), ("3", "4"), (), ("4", "V2"), ("6A", "6A")], None),
        ([("6A", "5")], (0, 1)),
        ([("VB", "V2"), (), ("3", "4"), ("2", "5")], (3, 0)),
    ],
)
def test_circuits_and_their_grades_go_from_easy_to_hard(
    spans: list[tuple[str, ...]], wrong: tuple[int, int] | None
) -> None:
    found = misplaced([Circuit(f"c{n}", names) for n, names in enumerate(spans)])
    assert (found and found[:2]) == wrong


def test_a_best_boulder_is_a_circuit_a_grade_or_untold() -> None:
    for best in ("", "marble", "V4", "6C+"):
        check_best(best, library().place)
    with pytest.raises(UsageError, match="no boulder grade"):
        check_best("marbel", library().place)


def test_an_unknown_circuit_names_the_nearest() -> None:
    with pytest.raises(UsageError, match="no circuit 'marbel'") as error:
        index_of("marbel", library().place)
    assert "'marble'" in error.value.do


@given(
    st.integers(1, 9).flatmap(
        lambda count: st.tuples(
            st.just(count), st.none() | st.integers(0, count - 1), st.none() | st.integers(0, 40)
        )
    ),
    st.booleans(),
)
def test_no_tier_is_harder_than_the_next(
    case: tuple[int, int | None, int | None], mapped: bool
) -> None:
    count, comfortable, best = case
    names = [f"c{number}" for number in range(count)]
    font = [name for name, item in GRADES.items() if item.scale is Scale.FONT]
    circuits = tuple(
        Circuit(name, (font[2 * i], font[2 * i + 1]) if mapped else ())
        for i, name in enumerate(names)
    )
    person = Person(1, comfortable=names[comfortable] if comfortable is not None else "")
    if best is not None:
        person = replace(person, best=list(GRADES)[best])
    found = tiers(person, Place("any", circuits))
    if found is None:
        return
    order = [max(map(names.index, tier)) for tier in (found.easy, found.middle, found.hard)]
    assert order == sorted(order)
    if comfortable is not None:
        assert order[0] <= comfortable
        assert order[2] <= comfortable + 2
