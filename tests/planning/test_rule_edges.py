"""Edges of the rules that no other test stands on: what fires alone, what is kept, what is ignored.

Found by mutants of the rule files (`python -m tests.bench.mutation`).
"""

from dataclasses import replace

import pytest

from coach.model.answers import parse
from coach.model.body import Cap, CapReason, Feel, Part, Tissue
from coach.model.day import Report
from coach.model.messages import message
from coach.model.movement import Family, Feet, Grip, Hang, Hold, Movement, Unit
from coach.model.person import AgeBand, Person
from coach.planning import adapt
from coach.planning.rules.stiff import gentle_for
from coach.planning.situation import Situation
from tests.planning.days import library
from tests.planning.walker import PAIR, Walker

YOUNG = (Person(1, age=AgeBand.UNDER_18),)


@pytest.mark.parametrize(
    "key",
    [
        "done:stiff",
        "done:tired",
        "done:knees:stiff",
        "done:knees:tired",
        "done:knees:sore",
        "done:skin:sore",
        "done:sore",
        "done:knees:hurting",
        "done:knees:hurting:4",
        "done:fingers:sore",
    ],
)
def test_how_something_feels_counts_only_in_an_answer_about_it(key: str) -> None:
    walk = Walker(YOUNG).to("easy.1").tell(key)
    assert walk.fired == []


@pytest.mark.parametrize("key", ["count:3", "move:4", "effort:5"])
def test_a_number_of_something_else_is_not_the_minutes_that_are_left(key: str) -> None:
    assert Walker().to("easy.1").tell(key).fired == []


def test_few_more_minutes_call_nobody_away() -> None:
    assert Walker(minutes=60).to("easy.1").tell("longer:5").fired == ["longer"]


# pain


@pytest.mark.parametrize(
    ("key", "rule", "most", "reason"),
    [
        ("feel:knees:hurting:0", "pain-slight", 0, CapReason.SORE),
        ("feel:knees:hurting:3", "pain-moderate", 0, CapReason.SORE),
        ("feel:knees:hurting:6", "pain-severe", 0, CapReason.SIGN),
        ("feel:knees:hurting", "hurting", 0, CapReason.SORE),
    ],
)
def test_a_pain_fires_one_rule_and_stays_on_the_record(
    key: str, rule: str, most: int, reason: CapReason
) -> None:
    walk = Walker().to("easy.1").tell(key)
    assert walk.fired == [rule]
    assert walk.change.day.caps[-1] == Cap(1, Part.KNEES, most, reason, "pain")
    assert (1, "no-tries") in walk.change.day.told


# signs


def test_a_sign_of_a_part_is_capped_by_its_own_name() -> None:
    walk = Walker().to("easy.1").tell("sign:fingers:pop")
    assert walk.fired == ["warning-sign"]
    assert walk.change.day.caps[-2:] == (
        Cap(1, Part.FINGERS, 0, CapReason.SIGN, "warning-sign"),
        Cap(1, Part.SKIN, 1, CapReason.SIGN, "warning-sign"),
    )
    assert (1, "no-tries") in walk.change.day.told


@pytest.mark.parametrize(
    ("sign", "rule"),
    [("fever", "ill"), ("faint", "emergency-first-aid"), ("head-knock", "head-sign")],
)
def test_a_sign_of_the_whole_is_capped_by_its_own_name(sign: str, rule: str) -> None:
    walk = Walker().to("easy.1").tell(f"sign:{sign}")
    assert walk.fired == [rule]
    assert {cap for cap in walk.change.day.caps if cap.reason is not CapReason.GATE} == {
        Cap(1, part, 0, CapReason.SIGN, "sign-of-the-whole") for part in Part
    }
    assert (1, "no-tries") in walk.change.day.told


def test_a_sign_without_a_name_is_kept_as_a_yes() -> None:
    walk = Walker().to("easy.1").tell("sign:knees")
    assert walk.change.day.signs == ((1, "yes"),)


def test_the_part_that_is_named_comes_before_the_usual_one_of_a_sign() -> None:
    walk = Walker().to("easy.1")
    answer = replace(parse("sign:swelling"), part=Part.KNEES)
    change = adapt(walk.change.day, walk.steps, walk.now, 1, answer, "sign", walk.library)
    assert change.say == message("warning-sign", part="knees")


def test_finger_pain_of_the_young_fires_one_rule_and_caps_by_its_name() -> None:
    walk = Walker(YOUNG).to("easy.1").tell("feel:fingers:sore")
    assert walk.fired == ["young-fingers"]
    assert walk.change.day.caps[-1] == Cap(1, Part.FINGERS, 0, CapReason.SIGN, "young-pain")
    assert (1, "no-tries") in walk.change.day.told


# stiff


def test_gentle_movement_for_a_stiff_part_hangs_climbs_and_stretches_nothing() -> None:
    lib = library()
    plain = next(
        m
        for m in lib.movements.values()
        if m.family is Family.MAT and Part.HIPS in m.aims and not m.static_stretch
    )
    others: dict[str, Movement] = {
        "a-hang": replace(plain, name="a-hang", hang=Hang(Hold.LARGEST, Grip.JUG, Feet.ON)),
        "boulders": replace(plain, name="boulders", unit=Unit.BOULDERS),
        "goes": replace(plain, name="goes", unit=Unit.GOES),
        "still": replace(plain, name="still", static_stretch=True),
        "heavy": replace(plain, name="heavy", load={Part.HIPS: 2}),
        "elsewhere": replace(plain, name="elsewhere", aims=frozenset({Part.BACK})),
        "board": replace(plain, name="board", family=Family.BOARD),
        "left-out": replace(plain, name="left-out", equipment=frozenset({"a thing nobody has"})),
        "plain": replace(plain, name="plain"),
    }
    walk = Walker().to("easy.1")
    day = walk.change.day
    lib = replace(lib, movements=others)
    s = Situation(day, walk.steps, 0.0, 1, parse("feel:hips:stiff"), "", lib)
    assert [m.name for m in gentle_for(Part.HIPS, s)] == ["plain"]


# skipping


def test_only_what_is_planned_again_before_hard_tries_makes_up() -> None:
    walk = Walker().to("mat.5").tell("skip")
    again = next(step for step in walk.steps if "make-up" in step.name)
    assert again.floor
    later = walk.to(again.name).tell("skip")
    assert later.fired == ["skip-make-up"]
    assert later.tries() == 0


def test_a_skipped_floor_of_a_day_without_hard_tries_comes_not_again() -> None:
    walk = Walker(told=((1, "break:holiday"),)).to("mat.5").tell("skip")
    assert walk.fired == ["skip-floor"]
    assert not any("make-up" in step.name for step in walk.steps)


# time


def test_called_away_ends_the_hard_tries_of_everybody_for_good() -> None:
    walk = Walker(PAIR).to("easy.1").tell("short-of-time:8", who=2)
    assert walk.fired == ["called-away"]
    assert {(1, "no-tries"), (2, "no-tries")} <= set(walk.change.day.told)


def test_short_of_time_after_the_end_leaves_no_time() -> None:
    walk = Walker().to("cool-down.1")
    walk.now = walk.change.day.ends_at + 100.0
    ends = walk.change.day.ends_at
    assert walk.tell("short-of-time").change.day.ends_at == ends


def test_short_of_time_counts_from_the_nearer_of_the_end_and_the_steps() -> None:
    walk = Walker().to("easy.1")
    walk.change = replace(
        walk.change, day=replace(walk.change.day, ends_at=walk.now + walk.seconds - 600.0)
    )
    left = walk.seconds - 600.0
    walk.tell("short-of-time")
    assert walk.change.day.ends_at == pytest.approx(walk.now + 0.75 * left)


# sore and tired


def test_sore_skin_is_kept_as_skin_and_capped_by_its_name() -> None:
    walk = Walker().to("easy.1").tell("feel:skin:sore")
    assert walk.fired == ["worn-skin"]
    assert walk.change.day.caps[-1] == Cap(1, Part.SKIN, 1, CapReason.SORE, "sore-skin")
    assert walk.change.day.reports[-1] == Report(1, Part.SKIN, Feel.SORE, Tissue.SKIN)


def test_tired_is_no_soreness() -> None:
    walk = Walker().to("easy.1").tell("feel:knees:tired")
    assert walk.change.day.caps[-1] == Cap(1, Part.KNEES, 2, CapReason.SORE, "tired")
    assert Walker().to("easy.1").tell("feel:tired", "how-is-it").fired == []


@pytest.mark.parametrize(
    ("tissue", "cap"),
    [
        ("skin", Cap(1, Part.SKIN, 1, CapReason.SORE, "sore-skin")),
        ("muscle", Cap(1, Part.KNEES, 1, CapReason.SORE, "sore")),
        ("joint", Cap(1, Part.KNEES, 0, CapReason.SORE, "sore-joint")),
    ],
)
def test_what_kind_of_sore_is_kept_with_its_cap(tissue: str, cap: Cap) -> None:
    walk = Walker().to("easy.1").tell("feel:knees:sore").tell(f"tissue:{tissue}", "tissue")
    assert walk.fired == [f"sore-{tissue}"]
    assert walk.change.day.reports[-1] == Report(1, Part.KNEES, Feel.SORE, Tissue(tissue))
    assert cap in walk.change.day.caps
    assert ((1, "no-tries") in walk.change.day.told) == (tissue == "joint")


@pytest.mark.parametrize(("tissue", "most"), [("muscle", 1), ("joint", 0)])
def test_a_kind_of_sore_that_is_told_alone_is_about_the_fingers(tissue: str, most: int) -> None:
    walk = Walker().to("easy.1").tell(f"tissue:{tissue}", "tissue")
    assert walk.most(Part.FINGERS) == most
    assert walk.most(Part.KNEES) == 3


@pytest.mark.parametrize("tissue", ["skin", "muscle"])
def test_a_kind_of_sore_counts_only_in_an_answer_about_it(tissue: str) -> None:
    answer = replace(parse("done"), tissue=Tissue(tissue))
    walk = Walker().to("easy.1")
    change = adapt(walk.change.day, walk.steps, walk.now, 1, answer, "", walk.library)
    assert change.fired == ()


def test_the_soreness_of_the_other_is_not_what_one_tells_the_kind_of() -> None:
    walk = Walker(PAIR).to("easy.1").tell("feel:knees:sore").tell("feel:elbows:sore", who=2)
    walk.tell("tissue:joint", "tissue")
    assert (walk.most(Part.KNEES), walk.most(Part.ELBOWS)) == (0, 3)


@pytest.mark.parametrize(("part", "question"), [("shoulders", "gate-shoulders"), ("knees", "")])
def test_a_sore_muscle_is_asked_about_again_by_the_gate_of_its_part(
    part: str, question: str
) -> None:
    walk = Walker().to("gate-shoulders").answer("feel:fine").to("easy.1")
    walk.tell(f"feel:{part}:sore").tell("tissue:muscle", "tissue")
    asked = [step.question for step in walk.steps if step.question.startswith("gate-shoulders")]
    assert asked == [question] * bool(question)


def test_sore_shuts_the_gate_of_its_part_and_no_other() -> None:
    walk = Walker().to("easy.1")
    opened = set(walk.change.day.gates)
    walk.tell("feel:shoulders:sore")
    assert opened - set(walk.change.day.gates) == {(1, "gate-shoulders")}


def test_sore_somewhere_on_the_board_spares_the_fingers_at_once() -> None:
    hang = next(step.name for step in Walker().steps if step.hangs)
    walk = Walker().to(hang).tell("feel:sore")
    assert walk.fired == ["sore-somewhere"]
    assert walk.change.ask == "which-part"
    assert walk.change.day.caps[-1] == Cap(1, Part.FINGERS, 1, CapReason.SORE, "sore")
    assert not walk.change.day.reports  # nobody said that it is the fingers


def test_sore_somewhere_on_the_mat_caps_nothing_yet() -> None:
    walk = Walker().to("mat.1")
    caps = walk.change.day.caps
    walk.tell("feel:sore")
    assert (walk.change.day.caps, walk.change.day.reports) == (caps, ())
    assert walk.change.ask == "which-part"


def test_sore_somewhere_before_the_go_ahead_asks_it_once_only() -> None:
    walk = Walker().to("middle.1").tell("feel:sore")
    assert [step.question for step in walk.steps].count("go-ahead") == 1


def test_sore_somewhere_after_the_last_try_has_nothing_to_ask_before() -> None:
    walk = Walker().to("hard.1.1")
    while walk.tries():
        walk.past()
    walk.tell("feel:sore")
    assert "go-ahead" not in [step.question for step in walk.steps]
    assert 1 not in walk.change.day.go


def test_a_sign_with_a_part_of_its_own_is_not_about_the_part_told_last() -> None:
    walk = Walker().to("easy.1").tell("feel:knees:sore").tell("sign:bowstring", "sign")
    assert (walk.most(Part.FINGERS), walk.most(Part.KNEES)) == (0, 1)


def test_sore_somewhere_off_the_board_says_nothing_of_the_fingers() -> None:
    walk = Walker().to("easy.1").tell("feel:sore")
    assert walk.most(Part.FINGERS) == 3
    assert walk.change.day.reports[-1:] != (Report(1, Part.FINGERS, Feel.SORE),)


def test_the_kind_of_a_soreness_is_of_the_one_who_told_it() -> None:
    walk = Walker(PAIR).to("easy.1").tell("feel:knees:sore", who=2)
    walk.tell("tissue:joint", "tissue", who=1)
    assert (walk.most(Part.KNEES, who=1), walk.most(Part.FINGERS, who=1)) == (3, 0)


def test_sore_somewhere_can_be_told_before_there_is_a_plan() -> None:
    walk = Walker(hurting="feel:sore")
    assert walk.most(Part.FINGERS) == 3


def test_a_stiff_part_is_not_asked_for() -> None:
    walk = Walker().to("mat.5").tell("feel:hips:stiff")
    assert (walk.fired, walk.change.ask) == (["stiff"], "")
