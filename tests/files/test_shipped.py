"""What every shipped movement, routine, place and voice keeps: words, loads, cautions, core."""

import re
from itertools import pairwise, product

import pytest

from coach.files.floors import seconds
from coach.files.library import load_library
from coach.files.movements import load_movements
from coach.files.places import list_places, load_place
from coach.files.routines import list_routines, load_routine
from coach.files.voices import list_voices, load_voice
from coach.model.body import Part
from coach.model.movement import Family, Feet, Grip, Hang, Hold, Movement, Unit
from coach.model.person import AgeBand, Person
from coach.model.routine import BlockKind
from coach.planning import age_limits, make_plan, open_day, timeline
from coach.speech.engines import ENGINES

MOVEMENTS = load_movements()
ALL = sorted(MOVEMENTS.values(), key=lambda movement: movement.name)
ON_THE_BOARD = [movement for movement in ALL if movement.hang]
#: Lying, kneeling or coming to rest: there a cue may be longer.
AT_REST = {Family.MAT, Family.COOL_DOWN}
#: What a climber answers; said by us, it could be taken for an answer.
COMMANDS = {"stop", "pause", "done", "skip", "go", "resume", "next", "back", "ready"}
COMMANDS |= {"again", "finish", "another", "enough", "yes", "no", "down", "topped", "hurt", "sore"}
#: 'Hold' is what is on the wall; for keeping still the word is 'stay'.
KEEPING_STILL = re.compile(
    r"(^|[.;:,] )hold\b|\bhold (still|on|for|there|here)\b|\bholding\b", re.IGNORECASE
)
OPPOSED_BY_NAME = re.compile(r"full.?crimp|campus", re.IGNORECASE)


def name_of(movement: Movement) -> str:
    return movement.name


def load(movement: Movement, part: Part) -> int:
    return movement.load.get(part, 0)


@pytest.mark.parametrize("movement", ALL, ids=name_of)
class TestWords:
    """What is said and shown of a movement."""

    def test_there_is_a_title_a_cue_and_a_form_in_the_same_languages(
        self, movement: Movement
    ) -> None:
        assert movement.title.keys() == movement.cue.keys() == movement.form.keys()
        assert "en" in movement.cue

    def test_a_cue_is_short(self, movement: Movement) -> None:
        most = 14 if movement.family in AT_REST else 9
        assert len(movement.cue["en"].split()) <= most, movement.cue["en"]
        assert 1 <= len(movement.title["en"].split()) <= 4

    def test_no_cue_or_title_says_a_command(self, movement: Movement) -> None:
        spoken = f"{movement.cue['en']} {movement.title['en']}".lower()
        assert not COMMANDS & set(re.findall(r"[a-z]+", spoken)), spoken

    def test_hold_is_a_thing_on_the_wall(self, movement: Movement) -> None:
        for text in (movement.cue["en"], movement.form["en"], movement.title["en"]):
            assert not KEEPING_STILL.search(text), text

    def test_no_full_crimp_and_no_campus(self, movement: Movement) -> None:
        said = " ".join([movement.name, movement.cue["en"], movement.form["en"]])
        assert not OPPOSED_BY_NAME.search(said)


def test_no_two_titles_or_cues_are_the_same() -> None:
    for texts in ([m.title["en"] for m in ALL], [m.cue["en"] for m in ALL]):
        assert len(texts) == len(set(texts))


def pairs() -> list[tuple[Movement, Movement]]:
    """All pairs of hangs that do the same thing: keep still, or repeat."""
    return [
        (one, other)
        for one, other in product(ON_THE_BOARD, ON_THE_BOARD)
        if one is not other and (one.unit is Unit.REPEATS) == (other.unit is Unit.REPEATS)
    ]


class TestOrderOfLoads:
    """The order that loads keep; their numbers are the designers' judgement."""

    def test_feet_on_loads_no_part_more_than_feet_off(self) -> None:
        compared = 0
        for on, off in pairs():
            assert on.hang
            assert off.hang
            same = on.hang.hold is off.hang.hold and on.hang.grip is off.hang.grip
            if same and (on.hang.feet, off.hang.feet) == (Feet.ON, Feet.OFF):
                compared += 1
                assert all(load(on, part) <= load(off, part) for part in Part), (on, off)
        assert compared >= 4

    def test_a_larger_hold_loads_the_fingers_and_skin_no_more_than_a_smaller(self) -> None:
        order = [Hold.LARGEST, Hold.LARGER_EDGE, Hold.USUAL_EDGE]
        compared = 0
        for larger, smaller in pairs():
            assert larger.hang
            assert smaller.hang
            if larger.hang.feet is not smaller.hang.feet:
                continue
            if Hold.UNEVEN in (larger.hang.hold, smaller.hang.hold):
                continue
            if order.index(larger.hang.hold) < order.index(smaller.hang.hold):
                compared += 1
                for part in (Part.FINGERS, Part.SKIN):
                    assert load(larger, part) <= load(smaller, part), (larger, smaller)
        assert compared >= 4

    def test_two_hands_load_the_shoulders_and_elbows_no_more_than_one(self) -> None:
        compared = 0
        for two, one in pairs():
            assert two.hang
            assert one.hang
            if (two.hang.hold, one.hang.hold) != (Hold.LARGEST, Hold.UNEVEN):
                continue
            if two.hang.feet is one.hang.feet:
                compared += 1
                for part in (Part.SHOULDERS, Part.ELBOWS, Part.FINGERS):
                    assert load(two, part) <= load(one, part), (two, one)
        assert compared >= 2

    def test_a_still_reach_loads_no_part_more_than_a_catch(self) -> None:
        reach = MOVEMENTS["still-reach"]
        catches = [MOVEMENTS[name] for name in ("soft-catch", "two-hands-together", "far-catch")]
        for catch in catches:
            assert all(load(reach, part) <= load(catch, part) for part in Part), catch.name

    def test_tiers_load_in_their_order(self) -> None:
        tiers = ("easy-traverse", "easy-boulders", "middle-boulders", "hard-try")
        for low, high in pairwise(tiers):
            assert all(load(MOVEMENTS[low], p) <= load(MOVEMENTS[high], p) for p in Part)

    def test_a_focus_loads_what_an_easy_boulder_loads(self) -> None:
        for movement in ALL:
            if movement.family is Family.FOCUS:
                assert movement.load == MOVEMENTS["easy-boulders"].load

    def test_every_way_down_ends_gently_and_never_loads_more(self) -> None:
        for movement in ALL:
            at, seen = movement, {movement.name}
            while at.easier:
                easier = MOVEMENTS[at.easier]
                assert all(load(easier, part) <= load(at, part) for part in Part)
                assert easier.name not in seen
                seen.add(easier.name)
                at = easier
            assert all(amount <= 1 for amount in at.load.values()), (movement.name, at.name)


class TestCautions:
    """Published cautions, as far as tags on movements carry them."""

    def test_the_catalogue_names_the_ages_that_the_one_rule_leaves_out(self) -> None:
        # Under 16 no intensive finger training: Morrison AB, Schoeffl VR (2007) Br J Sports Med
        # 41:852-861. Under 18 no feet-off or dynamic campusing (UIAA Medical Commission by the
        # BMC's guidance); the largest holds with the feet on alone are our stricter choice.
        for movement in ON_THE_BOARD:
            for age in (AgeBand.UNDER_16, AgeBand.UNDER_18):
                named = age.value in movement.leave_out
                assert named is not age_limits.allows(Person(1, age=age), movement), movement.name

    def test_a_sign_in_the_fingers_means_no_hang(self) -> None:
        for movement in ON_THE_BOARD:
            assert "sign:fingers" in movement.leave_out, movement.name

    def test_grips_are_jug_open_and_half_crimp_only(self) -> None:
        assert {grip.value for grip in Grip} == {"jug", "open", "half-crimp"}

    def test_a_static_stretch_stays_under_a_minute_a_muscle(self) -> None:
        # Behm and others (2016), Appl Physiol Nutr Metab 41(1):1-11: 60 s and more costs most.
        for movement in ALL:
            if movement.static_stretch:
                assert movement.most * movement.seconds_each < 60, movement.name

    def test_an_uneven_hang_is_five_to_ten_seconds_about_three_goes(self) -> None:
        # Common practice.
        uneven = MOVEMENTS["uneven-hang"]
        assert uneven.hang == Hang(Hold.UNEVEN, Grip.HALF_CRIMP, Feet.OFF)
        assert (uneven.unit, uneven.least, uneven.most, uneven.sides) == (Unit.SECONDS, 5, 10, 2)
        items = [i for b in load_routine("full", MOVEMENTS).blocks for i in b.items]
        assert next(i.sets for i in items if i.movement == "uneven-hang") == 3

    def test_the_edge_check_has_a_larger_and_a_feet_on_form(self) -> None:
        check = MOVEMENTS["edge-check"]
        forms = {MOVEMENTS[name].hang for name in (check.easier, *check.also_easier) if name}
        assert {hang.hold for hang in forms if hang} == {Hold.LARGER_EDGE, Hold.USUAL_EDGE}
        assert {hang.feet for hang in forms if hang} == {Feet.ON, Feet.OFF}


@pytest.mark.parametrize("name", list_routines())
def test_every_routine_loads_with_every_place(name: str) -> None:
    for place in [None, *list_places()]:
        library = load_library(name, place)
        assert library.routine.name == name
        assert library.movements == MOVEMENTS


@pytest.mark.parametrize("age", list(AgeBand))
@pytest.mark.parametrize("place", list_places())
@pytest.mark.parametrize("name", list_routines())
def test_every_routine_can_be_planned_in_its_shortest_time(
    name: str, place: str, age: AgeBand
) -> None:
    library = load_library(name, place)
    for minutes in (library.routine.least_minutes, library.routine.minutes):
        day = open_day((Person(1, age=age),), minutes, library)
        plan = make_plan(day, 0.0, library)
        assert timeline.seconds_of(plan.steps) <= minutes * 60


def core(name: str) -> list[tuple[str, int | None, int]]:
    """Movement, amount and sets of the constant core, in order."""
    return [
        (item.movement, item.amount, item.sets)
        for block in load_routine(name, MOVEMENTS).blocks
        for item in block.items
        if item.core
    ]


@pytest.mark.parametrize("name", [name for name in list_routines() if name != "rests"])
def test_every_coached_routine_has_a_constant_core_of_a_few_minutes(name: str) -> None:
    routine = load_routine(name, MOVEMENTS)
    items = [item for block in routine.blocks for item in block.items if item.core]
    assert 120 <= sum(seconds(item, item.sets, MOVEMENTS) for item in items) <= 900
    assert routine.blocks[0].items[0].core


def test_full_sessions_of_every_length_share_their_core() -> None:
    lengths = {name: load_routine(name, MOVEMENTS).minutes for name in list_routines()}
    full = [name for name in lengths if name.startswith("full")]
    assert sorted(lengths[name] for name in full) == [90, 150]
    assert len({tuple(core(name)) for name in full}) == 1


@pytest.mark.parametrize(
    ("name", "without"),
    [
        ("easy-day", {BlockKind.MIDDLE, BlockKind.HARD, BlockKind.BOARD}),
        ("first-days", {BlockKind.MIDDLE, BlockKind.HARD}),
        ("technique-day", {BlockKind.HARD}),
        ("group", {BlockKind.MIDDLE, BlockKind.HARD}),
        ("at-home", {BlockKind.BOARD, BlockKind.EASY, BlockKind.MIDDLE, BlockKind.HARD}),
    ],
)
def test_what_gentle_routines_leave_out(name: str, without: set[BlockKind]) -> None:
    assert not without & {block.kind for block in load_routine(name, MOVEMENTS).blocks}


def test_at_home_needs_no_gear() -> None:
    for block in load_routine("at-home", MOVEMENTS).blocks:
        for item in block.items:
            assert MOVEMENTS[item.movement].equipment <= {"mat"}, item.movement


def test_first_days_and_groups_keep_their_feet_on() -> None:
    for name in ("first-days", "group"):
        for block in load_routine(name, MOVEMENTS).blocks:
            for item in block.items:
                hang = MOVEMENTS[item.movement].hang
                assert hang is None or hang.feet is Feet.ON, item.movement


def test_every_place_and_voice_loads() -> None:
    assert {"tarnwick", "any-hall"} <= set(list_places())
    for name in list_places():
        place = load_place(name)
        assert place.name == name
    assert {"steady", "brisk"} <= set(list_voices())
    for name in list_voices():
        assert load_voice(name).engine in ENGINES


def test_middle_boulders_have_a_floor_of_five_before_hard_tries() -> None:
    # Common practice: 10 to 15 easy, 5 to 10 middle, never fewer than 5.
    boulders = {
        block.name: sum((item.amount or 1) * item.least_sets for item in block.items)
        for block in load_routine("full", MOVEMENTS).blocks
    }
    assert boulders["easy"] >= 10
    assert boulders["middle"] >= 5
