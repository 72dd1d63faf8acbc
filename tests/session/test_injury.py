"""The script for somebody who is hurt, played through: every branch, and silence in each."""

from datetime import date

import pytest

from coach.model.answers import parse
from coach.model.body import Feel, Part
from coach.model.facts import Felt, Finished, SignTold, StepEnded
from coach.model.plan import StepKind
from coach.model.questions import INJURY
from coach.model.signs import HEAD_QUESTIONS, SIGNS, AfterSign, advice
from coach.record.standing import JournalPlace, Told, standing
from coach.session.effects import Say
from coach.session.events import Source
from coach.session.state import Phase
from tests import poses
from tests.session.stage import LANGUAGE, Play

DAY = date(2026, 3, 3)
YES_NO = [one.name for one in HEAD_QUESTIONS]
#: What was answered before each question of the script is asked.
WAY: dict[str, list[tuple[str, str]]] = {
    "fall-head": [],
    "which-part": [("fall-head", "no")],
    "fall-sign": [("fall-head", "no"), ("which-part", "part:wrists")],
    "after-hurt": [("fall-head", "no"), ("which-part", "part:wrists"), ("fall-sign", "no")],
    "fall-over": [("fall-head", "sign:neck-pain")],
    **{
        name: [("fall-head", "sign:head-knock"), *((before, "no") for before in YES_NO[:place])]
        for place, name in enumerate(YES_NO)
    },
}


def at(question: str, **more: object) -> Play:
    """A session in which somebody is hurt, as far as a question of the script."""
    play = Play(**more)  # type: ignore[arg-type]
    play.until(Phase.WORK, StepKind.STAY)
    play.say("hurt")
    for before, key in WAY[question]:
        play.until(Phase.HURT, question=before)
        play.say(key)
    play.until(Phase.HURT, question=question)
    return play


def test_every_question_of_the_script_is_on_a_way() -> None:
    assert set(WAY) == INJURY | {"which-part"}


@pytest.mark.parametrize("question", sorted(WAY))
def test_silence_is_asked_again_then_saved_and_goes_nowhere(question: str) -> None:
    play = at(question)
    before, since = len(play.said), play.now
    steps = play.session.course.steps
    while play.session.phase is Phase.HURT:
        assert play.session.course.steps == steps
        play.next()
    assert play.session.phase is Phase.OVER
    assert 600.0 < play.now - since < 1000.0
    said = play.said[before:]
    assert said[-1] == LANGUAGE.says["saved-unanswered"]
    says = [effect for effect in play.effects if isinstance(effect, Say)]
    assert all(say.for_the_room for say in says[-len(said) :])
    assert not any(say.for_the_room for say in says[: -len(said)])
    assert len([fact for fact in play.found(Finished) if fact.effort is None]) == 1
    assert not any("boulder" in line or "hard was" in line for line in said)
    if question != "fall-over":
        assert LANGUAGE.says["hurt-anybody"] in said
        assert said.count(LANGUAGE.says["hurt-stay"]) == 10


#: What is answered to the first questions -> the sentence that follows, and what is on the record.
NAMED = {
    ("part:head",): ("advice-head", "head-knock", Part.HEAD),
    ("part:neck",): ("advice-still", "neck-pain", Part.NECK),
    ("part:back",): ("advice-still", "back-pain", Part.BACK),
    ("part:chest",): ("advice-sit", "chest-pain", Part.CHEST),
    ("yes", "part:neck"): ("advice-still", "neck-pain", Part.NECK),
    ("no", "part:head"): ("advice-head", "head-knock", Part.HEAD),
    ("no", "part:neck"): ("advice-still", "neck-pain", Part.NECK),
    ("no", "part:chest"): ("advice-sit", "chest-pain", Part.CHEST),
    ("no", "part:back", "yes"): ("advice-still", "back-pain", Part.BACK),
    ("no", "part:skin", "yes"): ("advice-press", "bleeding", Part.SKIN),
    ("no", "part:knees", "yes"): ("advice-part", "yes", Part.KNEES),
}


@pytest.mark.parametrize("words", NAMED)
def test_a_part_that_is_named_is_taken_in_every_question(words: tuple[str, ...]) -> None:
    """One word is enough for head, neck, back or chest, at whichever question it is said."""
    play = at("fall-head")
    for number, word in enumerate(words):
        if number:
            asked = "which-part" if number == 1 else "fall-sign"
            play.until(Phase.HURT, question=asked)
        play.say(word)
    play.run(6.0)
    sentence, sign, part = NAMED[words]
    assert LANGUAGE.says[sentence] in play.said
    told = play.found(SignTold)[-1]
    assert (told.sign, told.part) == (sign, part)


@pytest.mark.parametrize("way", [(), ("no",), ("yes",)])
@pytest.mark.parametrize("ended", ["silence", "finish"])
def test_what_hurts_and_nobody_names_stands_on_the_record(way: tuple[str, ...], ended: str) -> None:
    play = at("fall-head")
    for word in way:
        play.say(word)
        play.until(Phase.HURT, question="which-part")
    if ended == "finish":
        play.say("finish")
    while play.session.phase is not Phase.OVER:
        play.next()
    assert stands(play, 1) == [("", "hurt")]


def stands(play: Play, who: int) -> list[tuple[str, str]]:
    """What the record has of somebody's body if the power goes now: part, sign or feel."""
    facts = [fact for fact in play.facts if isinstance(fact, Felt | SignTold) and fact.who == who]
    told = [Told(JournalPlace(1, n, 0.0), DAY, fact) for n, fact in enumerate(facts)]
    found = standing(told, lambda one, other: one.seq < other.seq)
    return [(str(one.part or ""), one.sign or str(one.feel)) for one in found]


#: What was said -> what stands if the power goes right after it.
KILLED = {
    ("hurt",): [("", "hurt")],
    ("hurt", "no"): [("", "hurt")],
    ("hurt", "yes"): [("", "hurt")],
    ("hurt", "no", "part:wrists"): [("wrists", "hurting")],
    ("hurt", "part:wrists"): [("wrists", "hurting")],
    ("hurt", "part:neck"): [("neck", "neck-pain")],
    ("sign:pop",): [("", "hurt")],
    ("sign:pop", "part:fingers"): [("fingers", "pop")],
    ("sign:chest-pain",): [("chest", "chest-pain")],
    ("sign:pop", "sign:faint"): [("", "hurt"), ("head", "faint")],
    ("hurt", "sign:faint"): [("", "hurt"), ("head", "faint")],
    ("hurt", "sign:chest-pain"): [("chest", "chest-pain")],
    ("hurt", "part:wrists", "no", "resume", "hurt"): [("wrists", "hurting"), ("", "hurt")],
    ("hurt", "part:wrists", "no", "resume", "hurt", "no", "part:wrists"): [("wrists", "hurting")],
}


@pytest.mark.parametrize("words", KILLED)
def test_what_was_told_is_kept_as_it_is_told(words: tuple[str, ...]) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    for word in words:
        play.say(word)
        play.run(12.0)
    assert stands(play, 1) == KILLED[words]


@pytest.mark.parametrize(
    ("word", "kept"),
    [("part:fingers", [("fingers", "pop")]), ("silence", [("", "hurt")])],
)
def test_a_sign_typed_without_its_part_is_kept_with_the_part_told_after_it(
    word: str, kept: list[tuple[str, str]]
) -> None:
    play = Play(complaints=((1, "sign:pop"),))
    play.until(Phase.ASK, question="which-part")
    assert stands(play, 1) == [("", "hurt")]
    if word != "silence":
        play.say(word)
    play.run(60.0)
    assert stands(play, 1) == kept


def test_of_two_it_may_be_either_until_it_is_told_who() -> None:
    play = Play(people=2)
    play.until(Phase.WORK, StepKind.STAY)
    play.say("hurt")
    assert stands(play, 1) == stands(play, 2) == [("", "hurt")]
    play.until(Phase.HURT, question="who")
    play.say("person:2")
    play.run(1.0)
    assert (stands(play, 1), stands(play, 2)) == ([], [("", "hurt")])


@pytest.mark.parametrize("key", [sign.key for sign in SIGNS.values()])
def test_every_sign_is_taken_at_any_time_and_stops_the_timers(key: str) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    play.say(key)
    assert play.session.phase is Phase.HURT
    if SIGNS[key[5:]].after is AfterSign.PART and SIGNS[key[5:]].part is None:
        play.until(Phase.HURT, question="which-part")
        play.say("part:knees")
    told = play.found(SignTold)[-1]
    assert f"sign:{told.sign}" == key


@pytest.mark.parametrize("sign", [s.name for s in SIGNS.values() if s.after is not AfterSign.PART])
def test_a_sign_of_the_whole_body_leaves_nothing_but_rest(sign: str) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    play.say(f"sign:{sign}")
    for word in ("resume", "feel:fine", "go", "longer"):
        play.say(word, source=Source.KEY)
        play.run(5.0)
    assert all(
        not poses.uses(form.movement, part)
        for step in play.session.course.steps
        for form in step.forms
        if form.movement
        for part in Part
    )
    assert play.session.phase in (Phase.HURT, Phase.OVER)


@pytest.mark.parametrize("part", ["fingers", "wrists", "elbows", "shoulders", "back", "knees"])
def test_what_is_left_spares_the_part_and_is_said_with_its_minutes(part: str) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    play.say("hurt")
    for question, key in (("fall-head", "no"), ("which-part", f"part:{part}"), ("fall-sign", "no")):
        play.until(Phase.HURT, question=question)
        play.say(key)
    play.until(Phase.HURT, question="after-hurt")
    assert any("minutes of" in line or "one minute of" in line for line in play.said)
    play.say("resume")
    begun = len(play.facts)
    play.until(Phase.OVER)
    done = [fact.movement for fact in play.facts[begun:] if isinstance(fact, StepEnded)]
    assert done
    assert [name for name in done if poses.uses(name, part)] == []
    assert not any("How hard" in line for line in play.said)


def test_nobody_is_told_minutes_where_nothing_is_left() -> None:
    play = at("fall-over")
    before = len(play.said)
    play.say("how-long", source=Source.KEY)
    play.run(2.0)
    assert not any("left" in line for line in play.said[before:])


def test_hurt_before_there_is_a_plan_runs_the_same_script() -> None:
    play = Play(minutes=None)
    play.say("hurt")
    play.until(Phase.HURT, question="fall-head")
    play.say("sign:neck-pain")
    play.until(Phase.HURT, question="fall-over")
    assert LANGUAGE.says["advice-still"] in play.said
    play.say("finish")
    play.until(Phase.OVER)


PAIR = {"people": 2}


@pytest.mark.parametrize("sign", [one.name for one in SIGNS.values() if one.grave])
def test_of_two_what_to_do_comes_before_whose_it_is(sign: str) -> None:
    play = Play(**PAIR)  # type: ignore[arg-type]
    play.until(Phase.WORK, StepKind.STAY)
    play.say(f"sign:{sign}")
    play.until(Phase.HURT, question="who")
    assert LANGUAGE.says[advice(SIGNS[sign])] in play.said
    # nobody says whose it is: nothing of either is loaded
    play.run(60.0)
    used = {form.movement for s in play.session.course.steps for form in s.forms if form.movement}
    assert [name for name in used if any(poses.uses(name, part) for part in Part)] == []


@pytest.mark.parametrize("after", ["hurt", "sign:swelling", "feel:fingers:sore"])
def test_a_danger_of_nobody_yet_is_not_lost_by_what_is_told_next(after: str) -> None:
    play = Play(**PAIR)  # type: ignore[arg-type]
    play.until(Phase.WORK, StepKind.STAY)
    play.say("sign:chest-pain")
    play.until(Phase.HURT, question="who")
    play.say(after)
    says = {"who": "person:2", "which-part": "part:knees", "tissue": "tissue:skin"}
    asking = None
    for _ in range(12):
        play.run(6.0)
        asking = play.session.questions.asking
        if asking is not None and asking.question != "fall-over":
            play.say(says.get(asking.question, "no"))
    assert asking is not None
    assert asking.question == "fall-over"
    assert "chest-pain" in [fact.sign for fact in play.found(SignTold)]
    if after == "hurt":
        asked = [one for one in play.said if "person one" in one][1:3]
        assert ["hurt" in asked[0], "chest pain" in asked[1]] == [True, True]
    play.say("resume", source=Source.KEY)
    assert play.session.phase is Phase.HURT


@pytest.mark.parametrize(
    ("told", "who", "stood"),
    [
        ("person:1", 1, [("back", "back-pain")]),
        ("person:2", 1, []),
        (None, 1, [("back", "back-pain")]),
        (None, 2, [("", "hurt"), ("back", "back-pain")]),
        # by name, as from a telephone of her own
        ("", 2, [("back", "back-pain")]),
    ],
)
def test_a_danger_told_before_the_other_has_been_asked_is_not_put_on_who_is_asked(
    told: str | None, who: int, stood: list[tuple[str, str]]
) -> None:
    play = Play(**PAIR)  # type: ignore[arg-type]
    play.until(Phase.WORK, StepKind.STAY)
    play.say("hurt", who=2 if told != "" else 1, source=Source.KEY)
    if told == "":
        play.until(Phase.HURT, question="who")
        play.say("person:1")
        play.until(Phase.HURT, question="fall-head")
        play.say("sign:back-pain", who=2)
        assert ("", "hurt") in stands(play, 1)
    else:
        play.run(0.4)
        play.say("sign:back-pain")
        play.until(Phase.HURT, question="who")
        assert ("", "hurt") in stands(play, 2)
        if told is not None:
            play.say(told)
        play.run(0.5 if told is not None else 60.0)
    assert set(stood) <= set(stands(play, who))
    assert ("back", "back-pain") in stood or ("back", "back-pain") not in stands(play, who)


def test_what_hurts_before_there_is_a_plan_is_nobodys_until_it_is_told_who() -> None:
    play = Play(people=2, minutes=None)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("feel:fingers:sore")
    play.until(Phase.ASK, question="who")
    play.say("person:2")
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:45")
    play.run(30.0)
    assert [(one.who, one.part) for one in play.found(Felt)][:1] == [(2, Part.FINGERS)]


def test_what_one_told_of_a_part_is_still_asked_once_the_other_is_hurt() -> None:
    play = Play(**PAIR)  # type: ignore[arg-type]
    play.until(Phase.WORK, StepKind.STAY)
    play.say("feel:hurting", who=2)
    play.until(Phase.ASK, question="which-part")
    play.say("hurt", source=Source.KEY)
    for question, key in (
        ("who", "person:1"), ("fall-head", "no"), ("which-part", "part:knees"), ("fall-sign", "no"),
    ):  # fmt: skip
        play.until(Phase.HURT, question=question)
        play.say(key)
    play.until(Phase.HURT, question="which-part")
    assert play.session.questions.asking.who == 2
    play.say("part:elbows", who=2)
    used = {
        form.movement
        for step in play.session.course.steps
        for form in step.forms
        if form.who == 2 and form.movement
    }
    assert [name for name in used if poses.uses(name, "elbows")] == []


@pytest.mark.parametrize("told", [("feel:hurting", "feel:sore"), ("feel:sore", "feel:hurting")])
def test_one_answer_to_where_takes_the_worst_of_what_was_told(told: tuple[str, str]) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    for key in told:
        play.say(key)
    play.until(Phase.ASK, question="which-part")
    play.say("part:elbows")
    used = {form.movement for s in play.session.course.steps for form in s.forms if form.movement}
    assert [name for name in used if poses.uses(name, "elbows")] == []


def test_another_part_is_an_answer_to_the_first_question() -> None:
    play = at("fall-head")
    play.say("part:knees")
    play.until(Phase.HURT, question="fall-sign")
    play.say("no")
    play.until(Phase.HURT, question="after-hurt")
    used = {form.movement for s in play.session.course.steps for form in s.forms if form.movement}
    assert [name for name in used if poses.uses(name, "knees")] == []


@pytest.mark.parametrize("told", ["hurt:wrists", "feel:wrists:hurting", "sign:wrists:swelling"])
def test_whoever_spares_a_part_is_told_of_no_boulders_nor_asked_how_hard_it_was(told: str) -> None:
    play = Play(complaints=((1, told),))
    play.until(Phase.OVER)
    assert not any("boulder" in line or "How hard" in line for line in play.said)
    assert play.said[-1] == LANGUAGE.says["saved-hurt"]


def test_only_the_other_of_two_is_asked_how_hard_it_was() -> None:
    play = Play(complaints=((1, "feel:wrists:hurting"),), minutes=45.0, **PAIR)  # type: ignore[arg-type]
    play.until(Phase.DEBRIEF, question="effort")
    assert play.session.questions.asking.who == 2
    play.say("effort:5")
    play.until(Phase.OVER)
    assert [(fact.who, fact.effort) for fact in play.found(Finished)] == [(0, None), (2, 5)]


def test_sentences_of_danger_are_short() -> None:
    keys = [
        key
        for key in LANGUAGE.says
        if key.startswith(("advice-", "ask-head-", "ask-fall-", "ask-sign-", "saved-"))
    ]
    keys += ["hurt-now", "hurt-anybody", "hurt-stay", "emergency-sign", "head-sign"]
    assert len(keys) > 20
    assert [key for key in keys if len(LANGUAGE.says[key].split()) > 8] == []


def test_every_head_sign_is_asked_for() -> None:
    asked = {sign for one in HEAD_QUESTIONS for sign in one.covers}
    published = {s.name for s in SIGNS.values() if s.published and s.after is not AfterSign.PART}
    assert published - asked == {"head-knock", "head-danger", "head-symptom"}


def test_the_step_in_which_somebody_was_hurt_stands_on_the_record_as_cut() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.STAY)
    step = play.session.course.running.step
    play.run(5.0)
    play.say("hurt")
    ended = [fact for fact in play.facts if isinstance(fact, StepEnded) and fact.step == step.name]
    assert [(one.outcome, 4.0 < one.seconds < 7.0) for one in ended] == [("cut", True)]


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        (("feel:hurting",), [("", "hurt")]),
        (("feel:hurting", "part:wrists"), [("wrists", "hurting")]),
        (("feel:sore", "part:wrists"), [("wrists", "sore")]),
    ],
)
def test_what_is_told_in_place_of_how_hard_it_was_is_kept(
    words: tuple[str, ...], kept: list[tuple[str, str]]
) -> None:
    play = Play(minutes=20.0)
    play.until(Phase.DEBRIEF, question="effort")
    before = len(play.said)
    for word in words:
        play.say(word)
        play.run(8.0)
    while play.session.phase is not Phase.OVER:
        play.next()
    assert stands(play, 1) == kept
    asked = any("How hard" in line for line in play.said[before:])
    assert asked == (kept[0][1] == "sore")


def test_a_hurt_told_before_there_is_a_plan_is_on_the_record() -> None:
    play = Play(minutes=None, hurting=None)
    play.say("hurt", source=Source.KEY)
    for key in ("no", "part:wrists", "no", "finish"):
        play.run(5.0)
        play.say(key, source=Source.KEY)
    play.run(30.0)
    assert play.session.phase is Phase.OVER
    assert [(fact.part, fact.feel) for fact in play.found(Felt)] == [(Part.WRISTS, Feel.HURTING)]


def test_what_hurts_told_before_there_is_a_plan_is_on_the_record_though_none_comes() -> None:
    play = Play(minutes=None, hurting=None)
    play.say("feel:fingers:sore", source=Source.KEY)
    play.run(2.0)
    play.say("finish", source=Source.KEY)
    play.run(30.0)
    assert play.session.phase is Phase.OVER
    assert [(fact.part, fact.feel) for fact in play.found(Felt)] == [(Part.FINGERS, Feel.SORE)]


@pytest.mark.parametrize("key", ["part:skin", "tissue:skin", "cause:skin"])
@pytest.mark.parametrize("question", ["fall-head", "which-part"])
def test_the_skin_is_a_part_where_it_is_asked_which(question: str, key: str) -> None:
    play = at(question)
    play.say(key)
    play.until(Phase.HURT, question="fall-sign")
    assert [(one.part, one.feel) for one in play.found(Felt)] == [(Part.SKIN, Feel.HURTING)]


def test_after_a_hurt_the_next_movement_is_told_whole() -> None:
    play = Play()
    running = None
    while running is None or (running.step.side, running.step.forms[0].movement) != SPARES_WRISTS:
        play.next()
        running = play.session.course.running
    play.say("hurt", source=Source.KEY)
    for question, key in WAY["after-hurt"]:
        play.until(Phase.HURT, question=question)
        play.say(key)
    play.until(Phase.HURT, question="after-hurt")
    said = len(play.said)
    play.say("resume")
    play.run(30.0)
    assert play.said[said].startswith("Half kneeling")


#: The first side of a movement that goes on after a hurt wrist, with its other side.
SPARES_WRISTS = ("left", "ankle-rocks")


@pytest.mark.parametrize(
    ("part", "asked"),
    # what a hand can't do a leg can't either, and nobody bends a back to find out
    [("fingers", "ask-sign-hand"), ("wrists", "ask-sign-hand"), ("elbows", "ask-sign-arm"),
     ("knees", "ask-sign-leg"), ("ankles", "ask-sign-leg"), ("skin", "ask-sign-skin")],
)  # fmt: skip
def test_the_signs_that_are_asked_after_fit_the_part(part: str, asked: str) -> None:
    play = at("which-part")
    play.say(f"part:{part}")
    play.until(Phase.HURT, question="fall-sign")
    assert play.heard_last == LANGUAGE.says[asked]


def test_whose_danger_it_is_comes_before_a_soreness_told_meanwhile() -> None:
    """Two at once: the lesser thing once took the question's place for a minute."""
    play = Play(people=3, names=("", "Runa", "Osk"))
    play.until(Phase.WORK, StepKind.REPEAT)
    play.say("hurt")
    play.until(Phase.HURT, question="who")
    told = len(play.said)
    play.say("feel:sore")
    play.until(Phase.HURT, question="who")
    asking = play.session.questions.asking
    assert asking is not None
    assert asking.about == parse("hurt")
    play.run(12.0)
    assert sum("Runa, or Osk?" in text for text in play.said[told:]) == 2
    play.until(Phase.HURT, question="who")
    play.say("person:2")
    play.run(3.0)
    assert "Runa: Is it head, neck, back or chest?" in play.said
