"""Warning signs, illness and hurt: what is not loaded any more, and no answer brings it back."""

from dataclasses import replace

import pytest

from coach.model.body import Cap, CapReason, Part
from coach.model.signs import SIGNS, AfterSign
from coach.planning.rules import RULES, Sure
from tests.planning.days import library
from tests.planning.walker import PAIR, Walker


@pytest.mark.parametrize("sign", [s.name for s in SIGNS.values() if s.after is AfterSign.PART])
def test_a_sign_of_the_fingers_ends_their_load_for_good(sign: str) -> None:
    walk = Walker().to("easy.1").tell(f"sign:fingers:{sign}")
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


@pytest.mark.parametrize("sign", [s.name for s in SIGNS.values() if s.after is AfterSign.EMERGENCY])
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


#: Every item of the published recognition list, and of those that sources in science add, by the
#: heading it stands under -> the sign of ours that covers it, in our own words.
#: Echemendia RJ et al. (2023) Br J Sports Med 57(11):692-694, seen in a transcription; items that
#: only the edition before it has, and those of CDC Heads Up (2015), among them.
RED_FLAGS = {
    "neck pain or tenderness": "neck-pain",
    "seizure, fits or convulsion": "seizure",
    "loss of vision or double vision": "double-vision",
    "loss of consciousness": "knocked-out",
    "increasing confusion or deteriorating conscious state": "confused",
    "drowsy, less responsive": "drowsy",
    "weakness or numbness or tingling in more than one arm or leg": "weak-limbs",
    "vomiting": "vomiting",
    "severe or increasing headache": "headache",
    "increasingly restless, agitated or combative": "restless",
    "visible deformity of the skull": "dented-skull",
    "one pupil larger than the other": "unequal-pupils",
    "slurred speech": "slurred",
    "can't be woken": "drowsy",
}
SYMPTOMS = {
    "headache": "headache",
    "pressure in head": "headache",
    "balance problems": "unsteady",
    "nausea or vomiting": "vomiting",
    "drowsiness": "drowsy",
    "dizziness": "faint",
    "blurred vision": "double-vision",
    "sensitive to light": "light-hurts",
    "sensitive to noise": "light-hurts",
    "fatigue or low energy": "drowsy",
    "don't feel right": "not-right",
    "more emotional": "mood",
    "more irritable": "mood",
    "sadness": "mood",
    "nervous or anxious": "mood",
    "neck pain": "neck-pain",
    "difficulty concentrating": "foggy",
    "difficulty remembering": "foggy",
    "feeling slowed down": "foggy",
    "feeling like in a fog": "foggy",
}
SEEN_BY_OTHERS = {
    "lying motionless": "knocked-out",
    "slow to get up": "head-symptom",
    "disoriented, can't answer": "confused",
    "blank or vacant look": "head-symptom",
    "stumbling, poor co-ordination": "unsteady",
    "facial injury after a blow": "head-knock",
    "clutching the head": "headache",
    "fell unprotected": "head-knock",
}


@pytest.mark.parametrize("item", RED_FLAGS)
def test_a_red_flag_of_the_head_is_an_emergency(item: str) -> None:
    assert SIGNS[RED_FLAGS[item]].after is AfterSign.EMERGENCY
    assert SIGNS[RED_FLAGS[item]].published


@pytest.mark.parametrize("item", [*SYMPTOMS, *SEEN_BY_OTHERS])
def test_a_symptom_or_visible_sign_ends_the_day(item: str) -> None:
    sign = SYMPTOMS.get(item) or SEEN_BY_OTHERS[item]
    assert SIGNS[sign].after in (AfterSign.EMERGENCY, AfterSign.HEAD)
    walk = Walker().to("easy.1").tell(f"sign:{sign}")
    assert {walk.most(part) for part in Part} == {0}
    for calm in ("feel:fine", "yes", "resume", "no", "go"):
        assert {walk.tell(calm).most(part) for part in Part} == {0}


def test_every_sign_of_the_head_is_an_item_of_the_list() -> None:
    """And nothing but the collective names of a question about several stands beside them."""
    named = {*RED_FLAGS.values(), *SYMPTOMS.values(), *SEEN_BY_OTHERS.values()} - {"faint"}
    ours = {s.name for s in SIGNS.values() if s.published and s.after is not AfterSign.PART}
    assert ours - named == {"head-danger"}


def test_first_aid_is_no_publication() -> None:
    """General first aid as health services print it, seen in copies."""
    emergencies = {
        s.name for s in SIGNS.values() if s.after is AfterSign.EMERGENCY and not s.published
    }
    assert emergencies == {
        "back-pain", "cannot-bear-weight", "chest-pain", "breathless", "faint", "bleeding",
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


@pytest.mark.parametrize("before", ["", "feel:knees:tired"])
def test_a_sign_of_no_told_part_asks_where(before: str) -> None:
    walk = Walker(PAIR).to("easy.1").tell("feel:elbows:hurting", who=2)
    walk = walk.tell(before) if before else walk
    walk.tell("sign:swelling")
    assert (walk.fired, walk.change.ask) == (["sign-somewhere"], "which-part")
    assert walk.tries(1) == 0
    assert walk.tell("part:knees", "which-part").most(Part.KNEES) == 0
    assert walk.change.day.caps[-1].reason is CapReason.SIGN
    assert walk.most(Part.FINGERS) == 3


@pytest.mark.parametrize(
    ("told", "most"),
    [("sign:numb", 0), ("feel:hurting", 0), ("feel:hurting:8", 0), ("feel:sore", 1)],
)
def test_no_answer_where_spares_every_part(told: str, most: int) -> None:
    walk = Walker().to("easy.1").tell(told).tell("silence", "which-part")
    assert walk.fired == ["part-untold"]
    assert {walk.most(part) for part in Part} == {most}
    assert walk.tries() == 0


def test_a_sign_in_an_unknown_word_counts_as_hurting() -> None:
    walk = Walker().to("easy.1").tell("sign:knees:weird-clicky-thing")
    assert (walk.fired, walk.change.ask) == (["unknown-sign"], "sign")
    assert walk.most(Part.KNEES) == 0
    assert walk.value("sign") == "weird clicky thing"
    asked = Walker().to("easy.1").tell("sign:weird-clicky-thing")
    assert (asked.fired, asked.change.ask) == (["unknown-sign-somewhere"], "which-part")
    assert asked.tell("part:knees", "which-part").fired == ["unknown-sign"]


def test_how_much_it_hurts_is_kept_until_the_part_is_told() -> None:
    walk = Walker().to("easy.1").tell("feel:hurting:8").tell("part:knees", "which-part")
    assert walk.fired == ["pain-severe"]
    assert walk.most(Part.KNEES) == 0


def test_a_sign_told_twice_is_kept_once() -> None:
    walk = Walker().to("easy.1").tell("sign:fingers:pop").tell("sign:fingers:pop")
    assert walk.change.day.signs == ((1, "pop"),)


@pytest.mark.parametrize(
    ("key", "question"),
    [("feel:fine", "gate-fingers"), ("no", "sign"), ("yes", "confirm"), ("resume", "carry-on"),
     ("longer", ""), ("harder", ""), ("go", "go-ahead"), ("tissue:skin", "tissue")],
)  # fmt: skip
def test_no_answer_lifts_what_a_sign_capped(key: str, question: str) -> None:
    walk = Walker().to("easy.1").tell("sign:fingers:pop")
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
