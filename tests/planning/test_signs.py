"""Warning signs, illness and hurt: what is not loaded any more, and no answer brings it back."""

from dataclasses import replace

import pytest

from coach.model.body import Cap, CapReason, Part
from coach.model.signs import SIGNS, After
from coach.planning.rules import RULES, Sure
from tests.planning.days import library
from tests.planning.walker import PAIR, Walker


@pytest.mark.parametrize("sign", [s.name for s in SIGNS.values() if s.after is After.PART])
def test_a_sign_of_the_fingers_ends_their_load_for_good(sign: str) -> None:
    walk = Walker().to("easy.1").tell(f"sign:{sign}")
    assert (walk.say, walk.value("part"), walk.change.ask) == (
        "warning-sign",
        "fingers",
        "carry-on",
    )
    assert (walk.most(Part.FINGERS), walk.most(Part.SKIN)) == (0, 1)
    assert walk.tries() == 0
    assert walk.change.day.signs == ((1, sign),)
    assert not any(step.hangs for step in walk.steps)
    assert {cap.reason for cap in walk.change.day.caps if cap.most < 2} == {CapReason.SIGN}


def test_a_pop_without_pain_is_a_sign_as_well() -> None:
    walk = Walker().to("easy.1").tell("feel:fingers:hurting:0").tell("sign:pop")
    assert walk.most(Part.FINGERS) == 0


@pytest.mark.parametrize("sign", [s.name for s in SIGNS.values() if s.after is After.EMERGENCY])
def test_an_emergency_ends_every_load(sign: str) -> None:
    walk = Walker(PAIR).to("hard.1.1").tell(f"sign:{sign}", who=2)
    listed = SIGNS[sign].published
    assert walk.fired == ["emergency-sign" if listed else "emergency-first-aid"]
    assert walk.say == "emergency-sign"
    assert walk.change.ask == "carry-on"
    assert {walk.most(part, who=2) for part in Part} == {0}
    assert walk.most(Part.FINGERS, who=1) == 3
    assert walk.tries(2) == 0
    assert walk.change.day.signs == ((2, sign),)


def test_the_list_of_signs_holds_those_of_the_concussion_tool() -> None:
    """Concussion Recognition Tool: Echemendia et al. 2023, Br J Sports Med 57:689."""
    emergencies = {s.name: s.published for s in SIGNS.values() if s.after is After.EMERGENCY}
    assert {name for name, published in emergencies.items() if published} == {
        "neck-pain", "double-vision", "weak-limbs", "headache", "seizure", "knocked-out",
        "drowsy", "vomiting",
    }  # fmt: skip


def test_what_first_aid_adds_is_no_publication() -> None:
    """General first aid, from memory, unconfirmed."""
    emergencies = {s.name: s.published for s in SIGNS.values() if s.after is After.EMERGENCY}
    assert {name for name, published in emergencies.items() if not published} == {
        "confused", "cannot-bear-weight", "chest-pain", "faint",
    }  # fmt: skip
    (rule,) = [rule for rule in RULES if rule.name == "emergency-first-aid"]
    assert rule.sure is Sure.COMMON_PRACTICE


def test_a_fever_ends_the_day() -> None:
    walk = Walker().to("mat.5").tell("sign:fever")
    assert (walk.fired, walk.change.ask) == (["ill"], "carry-on")
    assert {walk.most(part) for part in Part} == {0}
    assert walk.tries() == 0
    assert walk.change.day.signs == ((1, "fever"),)


def test_yes_to_a_sign_is_about_the_part_told_last() -> None:
    walk = Walker().to("easy.1").tell("feel:elbows:hurting").tell("sign:yes", "sign")
    assert walk.value("part") == "elbows"
    assert walk.most(Part.ELBOWS) == 0
    assert (walk.most(Part.FINGERS), walk.most(Part.SKIN)) == (3, 3)
    sore = Walker().to("easy.1").tell("feel:knees:sore").tell("sign:yes", "sign")
    assert sore.value("part") == "knees"
    tired = Walker().to("easy.1").tell("feel:knees:tired").tell("sign:yes", "sign")
    assert tired.value("part") == "fingers"


def test_a_sign_that_names_its_part_is_about_that_part() -> None:
    walk = Walker(PAIR).to("easy.1").tell("feel:elbows:hurting", who=2).tell("sign:yes", "sign")
    assert walk.value("part") == "fingers"


def test_a_sign_told_twice_is_kept_once() -> None:
    walk = Walker().to("easy.1").tell("sign:pop").tell("sign:pop")
    assert walk.change.day.signs == ((1, "pop"),)


@pytest.mark.parametrize(
    ("key", "question"),
    [("feel:fine", "gate-fingers"), ("no", "sign"), ("yes", "confirm"), ("resume", "carry-on"),
     ("longer", ""), ("harder", ""), ("go", "go-ahead"), ("tissue:skin", "tissue")],
)  # fmt: skip
def test_no_answer_lifts_what_a_sign_capped(key: str, question: str) -> None:
    walk = Walker().to("easy.1").tell("sign:pop")
    walk.now += 4000
    assert walk.tell(key, question).most(Part.FINGERS) == 0


def test_a_hurt_part_gets_no_load() -> None:
    walk = Walker(PAIR).to("hard.1.1").tell("hurt:ankles")
    assert (walk.say, walk.change.ask) == ("hurt", "after-hurt")
    assert (walk.most(Part.ANKLES), walk.most(Part.FINGERS)) == (0, 3)
    assert (walk.tries(1), walk.tries(2) > 0) == (0, True)
    assert walk.change.day.caps[-1] == Cap(1, Part.ANKLES, 0, CapReason.SIGN, "hurt")
    assert (1, "hurt") in walk.change.day.told


def test_whoever_is_hurt_has_no_hard_tries_even_where_these_spare_the_part() -> None:
    lib = library()
    spared = {part: load for part, load in lib.movements["hard-try"].load.items() if part != "hips"}
    light = replace(lib.movements["hard-try"], load=spared)
    walk = Walker(library=replace(lib, movements={**lib.movements, "hard-try": light}))
    assert walk.tries() > 0
    assert walk.to("easy.1").tell("hurt:hips").tries() == 0


def test_hurt_somewhere_ends_every_load() -> None:
    walk = Walker().to("easy.1").tell("hurt")
    assert {walk.most(part) for part in Part} == {0}
    assert all(not any(form.load.values()) for step in walk.steps for form in step.forms)


def test_a_sign_of_an_earlier_day_stands_until_it_is_cleared() -> None:
    standing = (Cap(1, Part.FINGERS, 0, CapReason.SIGN, "warning-sign"),)
    walk = Walker(standing=standing)
    assert walk.fired[0] == "uncleared-sign"
    assert walk.change.fired[0].because.value("part") == "fingers"
    assert walk.tries() == 0
    assert not any(step.hangs for step in walk.steps)
    other = Walker(PAIR, standing=standing)
    assert (other.tries(1), other.tries(2) > 0) == (0, True)


def test_an_uncleared_sign_is_named_by_its_part() -> None:
    standing = (Cap(1, Part.KNEES, 0, CapReason.SIGN, "hurt"),)
    assert Walker(standing=standing).change.fired[0].because.value("part") == "knees"
    sore = (Cap(1, Part.KNEES, 1, CapReason.SORE, "sore"),)
    assert "uncleared-sign" not in Walker(standing=sore).fired
