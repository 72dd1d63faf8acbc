"""Sore, tired, stiff and hurting: before, during and after the board, and for any part."""

import pytest

from coach.model.body import CapReason, Feel, Part, Tissue
from coach.model.day import Report
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.questions import QUESTIONS
from coach.planning import recovery, timeline
from coach.planning.rules.pain import MODERATE, SLIGHT
from tests import poses
from tests.planning.walker import PAIR, Walker


@pytest.mark.parametrize("where", ["mat.5", "board.1", "board.8", "easy.2", "hard.3.1"])
def test_sore_fingers_get_gentle_work_and_no_hard_tries(where: str) -> None:
    walk = Walker().to(where).tell("feel:fingers:sore")
    assert walk.most(Part.FINGERS) == 1
    assert walk.tries() == 0
    assert (walk.say, walk.change.ask) == ("sore", "tissue")
    assert walk.value("part") == "fingers"
    assert all(form.load.get(Part.FINGERS, 0) <= 1 for step in walk.steps for form in step.forms)
    assert walk.change.day.reports[-1] == Report(1, Part.FINGERS, Feel.SORE)
    assert walk.fired == ["sore"]


def test_sore_fingers_before_the_board_take_its_easier_forms() -> None:
    walk = Walker().to("mat.5").tell("feel:fingers:sore")
    assert "edge-check" not in walk.forms("board")
    assert "edge-check-feet-on" in walk.forms("board")
    assert walk.forms("middle") == {"easy-boulders"}


def test_sore_fingers_end_the_try_that_runs_and_the_time_goes_to_easy_boulders() -> None:
    walk = Walker().to("hard.2.1")
    before, tries = walk.seconds, walk.tries()
    walk.tell("feel:fingers:sore")
    assert walk.change.cut
    assert walk.value("lost") == tries
    more = [step for step in walk.steps if step.name.startswith("easy.more")]
    assert [step.amount for step in more] == [5, 5]
    cool_down = next(s for s in walk.steps if s.block == "cool-down")
    assert walk.steps.index(more[0]) < walk.steps.index(cool_down)
    assert walk.seconds <= before


def test_sore_fingers_after_the_board_shut_their_gate_again() -> None:
    walk = Walker().to("easy.1")
    assert (1, "gate-fingers") in walk.change.day.gates
    walk.tell("feel:fingers:sore")
    assert (1, "gate-fingers") not in walk.change.day.gates
    assert (1, "gate-shoulders") in walk.change.day.gates


@pytest.mark.parametrize("part", [part for part in Part if part is not Part.SKIN])
def test_any_other_sore_part_is_treated_alike(part: Part) -> None:
    walk = Walker().to("easy.1").tell(f"feel:{part}:sore")
    assert walk.most(part) == 1
    assert walk.change.ask == "tissue"
    assert walk.fired == ["sore"]


def test_worn_skin_takes_larger_holds_and_is_not_asked_about() -> None:
    walk = Walker().to("easy.1").tell("feel:skin:sore")
    assert (walk.say, walk.change.ask) == ("worn-skin", "")
    assert (walk.most(Part.SKIN), walk.most(Part.FINGERS)) == (1, 3)
    assert walk.tries() == 0
    assert walk.change.day.reports[-1] == Report(1, Part.SKIN, Feel.SORE, Tissue.SKIN)


def sore_at_the_board() -> Walker:
    return Walker().to("board.8").tell("feel:fingers:sore")


def test_sore_skin_spares_the_skin_as_well() -> None:
    walk = sore_at_the_board().tell("tissue:skin", "tissue")
    assert (walk.most(Part.SKIN), walk.most(Part.FINGERS)) == (1, 1)
    assert (walk.say, walk.value("part"), walk.change.ask) == ("sore-skin", "fingers", "")
    assert walk.change.day.reports[-1].tissue is Tissue.SKIN


def test_a_sore_muscle_is_checked_again_after_rest() -> None:
    walk = sore_at_the_board().tell("tissue:muscle", "tissue")
    assert (walk.say, walk.value("part"), walk.change.ask) == ("sore-muscle", "fingers", "")
    assert walk.most(Part.FINGERS) == 1
    assert walk.change.day.reports[-1].tissue is Tissue.MUSCLE
    asked = [step for step in walk.steps if step.question == "gate-fingers-now"]
    assert len(asked) == 1
    before = walk.steps[: walk.steps.index(asked[0])]
    assert timeline.seconds_of(before, walk.now) >= recovery.RECHECK - 60
    lifted = walk.to("gate-fingers-now").answer("feel:fine")
    assert lifted.say == "gate-open"
    assert lifted.most(Part.FINGERS) == 3
    assert "middle-boulders" in lifted.forms("middle")


def test_a_repeated_check_that_is_not_clear_lifts_nothing() -> None:
    for key in ("feel:tired", "feel:stiff", "silence"):
        walk = sore_at_the_board().tell("tissue:muscle", "tissue")
        walk.to("gate-fingers-now").answer(key)
        assert walk.most(Part.FINGERS) == 1


def test_fine_right_after_sore_is_a_contradiction_and_the_careful_one_counts() -> None:
    walk = sore_at_the_board().to("gate-fingers").answer("feel:fine")
    assert (walk.say, walk.value("part")) == ("contradiction", "fingers")
    assert walk.most(Part.FINGERS) == 1
    assert (1, "gate-fingers") not in walk.change.day.gates
    rested = sore_at_the_board().tell("tissue:muscle", "tissue")
    soon = rested.tell("feel:fine", "gate-fingers-now")
    assert soon.say == "contradiction"


def test_no_check_again_where_nothing_harder_follows() -> None:
    walk = Walker().to("cool-down.1").tell("feel:fingers:sore").tell("tissue:muscle", "tissue")
    assert not [step for step in walk.steps if step.question]


def test_soreness_of_a_part_without_a_gate_is_not_asked_again() -> None:
    walk = Walker().to("easy.1").tell("feel:knees:sore")
    asked = [step.question for step in walk.steps]
    walk.tell("tissue:muscle", "tissue")
    assert [step.question for step in walk.steps] == asked
    assert walk.most(Part.KNEES) == 1


@pytest.mark.parametrize("key", ["tissue:joint"])
def test_a_sore_joint_is_spared_and_asked_for_signs(key: str) -> None:
    walk = sore_at_the_board().tell(key, "tissue")
    assert (walk.say, walk.value("part"), walk.change.ask) == ("sore-joint", "fingers", "sign")
    assert walk.most(Part.FINGERS) == 0
    assert walk.tries() == 0
    assert walk.change.day.reports[-1].tissue is Tissue.JOINT
    assert QUESTIONS["tissue"].silence == key


def test_a_tissue_told_of_nothing_is_about_the_fingers() -> None:
    walk = Walker().to("easy.1").tell("tissue:joint")
    assert walk.most(Part.FINGERS) == 0


def test_a_tissue_is_about_the_part_told_last() -> None:
    walk = Walker(PAIR).to("easy.1")
    walk.tell("feel:elbows:sore").tell("feel:knees:sore").tell("feel:hips:sore", who=2)
    walk.tell("tissue:joint", "tissue")
    assert walk.most(Part.KNEES) == 0
    assert walk.most(Part.ELBOWS) == 1
    assert walk.most(Part.HIPS, who=2) == 1


def test_a_tired_part_gets_nothing_of_the_hardest() -> None:
    walk = Walker().to("easy.1")
    tries = walk.tries()
    walk.tell("feel:shoulders:tired")
    assert (walk.say, walk.value("part"), walk.value("lost")) == ("tired", "shoulders", tries)
    assert walk.most(Part.SHOULDERS) == 2
    assert walk.tries() == 0
    assert walk.forms("middle") == {"middle-boulders"}
    assert walk.change.day.reports[-1] == Report(1, Part.SHOULDERS, Feel.TIRED)


def test_a_tired_part_that_hard_tries_load_little_costs_no_try() -> None:
    walk = Walker().to("easy.1")
    tries = walk.tries()
    assert walk.tell("feel:ankles:tired").tries() == tries


def test_tired_all_over_halves_the_hard_tries() -> None:
    walk = Walker(PAIR)
    first, second = walk.tries(1), walk.tries(2)
    walk.tell("feel:tired")
    assert (walk.say, walk.value("tries")) == ("tired-all", first // 2)
    assert (walk.tries(1), walk.tries(2)) == (first // 2, second)
    assert (1, "tired") in walk.change.day.told


def test_sore_without_a_part_is_asked_where() -> None:
    walk = Walker().to("easy.1").tell("feel:sore")
    assert (walk.say, walk.change.ask) == ("sore-where", "which-part")
    assert walk.most(Part.FINGERS) == 3
    walk.tell("part:elbows", "which-part")
    assert (walk.say, walk.value("part")) == ("sore", "elbows")
    assert walk.most(Part.ELBOWS) == 1
    assert walk.change.day.pending == ()


def test_hurting_without_a_part_keeps_its_feel() -> None:
    walk = Walker().to("easy.1").tell("feel:hurting").tell("part:knees", "which-part")
    assert walk.say == "hurting"
    assert walk.most(Part.KNEES) == 0


def test_sore_on_the_board_caps_the_fingers_until_it_is_told_where() -> None:
    walk = Walker().to("board.8").tell("feel:sore")
    assert walk.most(Part.FINGERS) == 1
    assert walk.change.ask == "which-part"


def test_sore_somewhere_after_go_asks_for_the_go_ahead_again() -> None:
    walk = Walker(PAIR).to("hard.1.1")
    assert set(walk.change.day.go) == {1, 2}
    walk.tell("feel:sore")
    assert set(walk.change.day.go) == {2}
    asked = [step for step in walk.steps if step.question == "go-ahead"]
    assert [form.who for form in asked[0].forms] == [1]
    mine = next(step for step in walk.steps if step.turn == 1)
    assert walk.steps.index(asked[0]) < walk.steps.index(mine)
    assert mine.forms[0].movement != "hard-try"


def test_a_part_told_first_is_asked_how_it_is() -> None:
    walk = Walker().to("easy.1").tell("part:hips")
    assert (walk.say, walk.change.ask) == ("", "how-is-it")
    walk.tell("feel:sore", "how-is-it")
    assert walk.most(Part.HIPS) == 1


def test_tired_told_of_a_part_first_is_about_that_part() -> None:
    walk = Walker().to("easy.1").tell("part:hips").tell("feel:tired", "how-is-it")
    assert walk.most(Part.HIPS) == 2
    assert walk.fired == ["tired"]


@pytest.mark.parametrize("part", [Part.HIPS, Part.WRISTS, Part.SHOULDERS])
def test_stiff_gets_more_gentle_movement_there(part: Part) -> None:
    walk = Walker().to("board.1")
    before = {step.name for step in walk.steps}
    walk.tell(f"feel:{part}:stiff")
    added = [step for step in walk.steps if step.name not in before]
    assert (walk.say, walk.value("part")) == ("stiff", part.value)
    assert {step.name.split(".")[1].split("-")[1] for step in added} == {"1", "2"}
    for step in added:
        movement = walk.library.movements[step.forms[0].movement]
        assert part in movement.load
        assert max(movement.load.values()) <= 1
        assert not movement.static_stretch
        assert movement.hang is None
    assert walk.steps[0].name == "board.1"
    assert walk.steps[1] is added[0] or walk.steps[1].name == added[0].name
    assert walk.change.day.reports[-1] == Report(1, part, Feel.STIFF)
    assert walk.tries() > 0


def test_stiff_at_a_gate_moves_first_and_asks_again() -> None:
    walk = Walker().to("gate-shoulders").answer("feel:stiff")
    assert walk.steps[0].block == "mat"
    again = next(step for step in walk.steps if step.question == "gate-shoulders")
    assert walk.steps.index(again) > 0
    assert (1, "gate-shoulders") not in walk.change.day.gates
    walk.to("gate-shoulders").answer("feel:fine")
    assert (1, "gate-shoulders") in walk.change.day.gates


def test_a_stiff_body_is_asked_where_and_then_its_gate_again() -> None:
    walk = Walker().to("gate-body").answer("feel:stiff")
    assert (walk.say, walk.change.ask) == ("stiff-where", "which-part")
    walk.tell("part:hips", "which-part")
    assert walk.say == "stiff"
    assert [step.block for step in walk.steps[:2]] == ["mat", "mat"]
    assert next(s.question for s in walk.steps if s.question) == "gate-body"


def test_stiffness_of_one_of_two_moves_only_that_one() -> None:
    walk = Walker(PAIR).to("board.1.1").tell("feel:hips:stiff", who=2)
    added = [s for s in walk.steps if s.name.startswith("mat.hips")]
    assert all(step.form(1) is not None for step in added)
    assert {form.movement for step in added for form in step.forms if form.who == 1} == {""}


def test_a_hurting_part_gets_no_load_and_is_asked_for_signs() -> None:
    walk = Walker().to("easy.1").tell("feel:elbows:hurting")
    assert (walk.say, walk.value("part"), walk.change.ask) == ("hurting", "elbows", "sign")
    assert walk.most(Part.ELBOWS) == 0
    assert walk.tries() == 0
    assert walk.change.day.reports[-1] == Report(1, Part.ELBOWS, Feel.HURTING)


@pytest.mark.parametrize(
    ("number", "rule", "most", "reason", "ask"),
    [
        (0, "pain-slight", 0, CapReason.SORE, ""),
        (2, "pain-slight", 0, CapReason.SORE, ""),
        (3, "pain-moderate", 0, CapReason.SORE, "sign"),
        (5, "pain-moderate", 0, CapReason.SORE, "sign"),
        (6, "pain-severe", 0, CapReason.SIGN, "carry-on"),
        (10, "pain-severe", 0, CapReason.SIGN, "carry-on"),
    ],
)
def test_the_zone_of_a_pain_decides(
    number: int, rule: str, most: int, reason: CapReason, ask: str
) -> None:
    """The stricter of two published forms (zone numbers from memory, unconfirmed)."""
    assert (SLIGHT, MODERATE) == (2, 5)
    walk = Walker().to("easy.1").tell(f"feel:knees:hurting:{number}")
    assert walk.fired == [rule]
    assert (walk.most(Part.KNEES), walk.change.ask) == (most, ask)
    assert walk.value("part") == "knees"
    assert walk.change.day.caps[-1].reason is reason
    assert walk.tries() == 0
    assert walk.change.day.reports[-1] == Report(1, Part.KNEES, Feel.HURTING)


@pytest.mark.parametrize("feel", ["sore", "hurting"])
@pytest.mark.parametrize("age", [AgeBand.UNDER_16, AgeBand.UNDER_18])
def test_any_finger_pain_of_the_young_stops_the_fingers(age: AgeBand, feel: str) -> None:
    """Jones et al. 2022, Curr Sports Med Rep 21(12):436-442: investigate promptly."""
    walk = Walker((Person(1, age=age),)).to("easy.1").tell(f"feel:fingers:{feel}")
    assert (walk.say, walk.change.ask) == ("young-fingers", "carry-on")
    assert walk.most(Part.FINGERS) == 0
    assert walk.change.day.caps[-1].reason is CapReason.SIGN
    assert walk.tries() == 0
    assert walk.change.day.reports[-1] == Report(1, Part.FINGERS, Feel(feel))


@pytest.mark.parametrize("part", ["wrists", "elbows", "shoulders"])
def test_pain_where_bones_grow_stops_the_limb_of_the_young(part: str) -> None:
    """Growth plates of climbers: Caine et al. 2021, Sports Med; the parts as medical notes."""
    walk = Walker((Person(1, age=AgeBand.UNDER_18),)).to("easy.1").tell(f"feel:{part}:hurting")
    assert (walk.say, walk.change.ask) == ("young-limb", "carry-on")
    assert walk.most(Part(part)) == 0
    assert walk.change.day.caps[-1].reason is CapReason.SIGN


@pytest.mark.parametrize(
    "key", ["feel:fingers:sore", "feel:fingers:hurting", "feel:wrists:hurting"]
)
def test_whoever_told_no_age_is_told_why_the_careful_rule_holds(key: str) -> None:
    walk = Walker((Person(1),)).to("easy.1").tell(key)
    assert (walk.say, walk.change.ask) == ("age-unknown-pain", "sign")
    said = walk.change.fired[0].because
    assert said.key == "why-age-unknown-pain"
    assert walk.most(Part(key.split(":")[1])) == 0
    assert walk.change.day.caps[-1].reason is CapReason.SORE


@pytest.mark.parametrize("key", ["feel:fingers:tired", "feel:knees:sore"])
def test_other_feelings_of_the_young_are_as_everybodys(key: str) -> None:
    walk = Walker((Person(1, age=AgeBand.UNDER_18),)).to("easy.1").tell(key)
    assert walk.fired in (["tired"], ["sore"])


def test_soreness_of_one_of_two_leaves_the_other_alone() -> None:
    walk = Walker(PAIR).to("hard.1.1")
    tries = walk.tries(2)
    rests = gaps(walk)
    walk.tell("feel:fingers:sore")
    assert (walk.tries(1), walk.tries(2)) == (0, tries)
    assert walk.most(Part.FINGERS, who=2) == 3
    assert min(gaps(walk)) >= min(rests)


def gaps(walk: Walker, who: int = 2) -> list[float]:
    """Seconds between neighbouring tries of one person."""
    found, since = [], None
    for step in walk.steps:
        if step.kind is StepKind.TRY and step.turn == who:
            if since is not None:
                found.append(since)
            since = step.rest
        elif since is not None and step.kind is not StepKind.ASK:
            since += step.seconds + step.rest
    return found


def test_soreness_told_at_the_check_in_shapes_the_plan() -> None:
    walk = Walker(hurting="feel:fingers:sore")
    assert walk.say == "plan-without-tries"
    assert walk.forms("middle") == {"easy-boulders"}
    assert "edge-check" not in walk.forms("board")


def test_hurting_fingers_mean_no_hang() -> None:
    walk = Walker(hurting="feel:fingers:hurting")
    assert not any(step.hangs for step in walk.steps)


@pytest.mark.parametrize("part", sorted(set(Part) - {Part.HEAD, Part.SKIN}))
def test_stiff_moves_that_part_for_one_to_two_minutes(part: Part) -> None:
    """What moves it is judged by poses; with what comes before each, it takes so long."""
    walk = Walker().to("mat.5")
    before = {step.name for step in walk.steps}
    walk.tell(f"feel:{part}:stiff")
    added = [step for step in walk.steps if step.name not in before and step.forms[0].movement]
    assert 60 <= sum(step.lead + step.seconds for step in added) <= 120
    assert all(poses.uses(step.forms[0].movement, part) for step in added)


@pytest.mark.parametrize("part", [Part.HEAD, Part.SKIN])
def test_what_no_movement_moves_gets_the_gentler_form_at_once(part: Part) -> None:
    walk = Walker().to("mat.5").tell(f"feel:{part}:stiff")
    assert (walk.fired, walk.most(part)) == (["stiff-again"], 1)


def test_stiff_is_moved_twice_and_then_gets_the_gentler_form() -> None:
    walk = Walker().to("mat.5")
    for _ in range(2):
        assert walk.tell("feel:hips:stiff").fired == ["stiff"]
    walk.tell("feel:hips:stiff")
    assert (walk.fired, walk.most(Part.HIPS)) == (["stiff-again"], 1)
    before = walk.steps
    assert walk.tell("feel:hips:stiff").steps == before


def test_a_gate_is_not_asked_for_ever_about_what_stays_stiff() -> None:
    walk = Walker().to("gate-shoulders")
    asked = 0
    while walk.steps and walk.steps[0].question == "gate-shoulders":
        walk.answer("feel:stiff")
        asked += 1
        while walk.steps and walk.steps[0].question != "gate-shoulders":
            walk.past()
    assert asked == 3


@pytest.mark.parametrize("part", list(Part))
def test_stiff_told_before_is_moved_before_the_body_is_asked_about(part: Part) -> None:
    walk = Walker(hurting=f"feel:{part}:stiff")
    plain = [step.name for step in Walker().steps]
    added = [step for step in walk.steps if step.name not in plain and step.name.startswith("mat.")]
    moved = [step for step in added if f"mat.{part}" in step.name]
    assert bool(moved) is ("stiff-before" in walk.fired) is (part not in (Part.HEAD, Part.SKIN))
    if moved:
        assert 60.0 <= sum(step.lead + step.seconds for step in moved) <= 120.0
        first = next(i for i, step in enumerate(walk.steps) if step.question)
        assert walk.steps.index(moved[0]) < first
