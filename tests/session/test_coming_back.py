"""A break at the check-in: its reason asked once, with a clinician before any plan of ours."""

import pytest

from coach.model.body import Part, ceiling
from coach.model.facts import SignTold
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.session.events import Source
from coach.session.state import Phase
from tests import poses
from tests.session.stage import Play

QUESTION = "A while since last time: holiday, illness, injury, or birth?"
CLINICIAN = "Gentle mobility only. A clinician decides how fast you come back."

#: What is more than the least effort, as poses (our reading of the published easy weeks).
EXERTION = {"hopping", "on the wall", "falling or landing", "hanging from the hands"}
EXERTION |= {"pulling with the arms", "weight on flat hands"}


def back(reason: str, **day: object) -> Play:
    """A check-in after a break, up to its plan."""
    play = Play(away=(1,), **day)  # type: ignore[arg-type]
    play.until(Phase.CHECK_IN, question="break")
    if reason:
        play.say(f"break:{reason}")
    play.until(Phase.LEAD_IN)
    return play


SAID = {
    "": CLINICIAN,
    "illness": "Then rest: nothing that loads you today.",
    "injury": "Gentle work only. How fast you come back is a clinician's decision.",
    "birth": "Gentle mobility until a midwife, doctor or pelvic-health physio clears you.",
}


@pytest.mark.parametrize("reason", ["illness", "injury", "birth", ""])
def test_after_illness_injury_birth_or_untold_a_clinician_decides(reason: str) -> None:
    play = back(reason)
    assert SAID[reason] in play.said
    assert not any(step.kind is StepKind.TRY for step in play.session.course.steps)
    assert all(ceiling(play.session.day.caps, 1, part) <= 1 for part in Part)


def test_after_a_holiday_the_first_day_is_an_easy_one() -> None:
    play = back("holiday")
    assert "First days back: easy boulders, no hard tries." in play.said
    assert CLINICIAN not in play.said
    assert not any(step.kind is StepKind.TRY for step in play.session.course.steps)
    assert "back-after-holiday" in [fired.rule for fired in play.session.course.fired]


def test_it_is_asked_once_and_the_check_in_keeps_to_three_questions() -> None:
    play = back("holiday", minutes=None, hurting=None, same_place=None)
    asked = [text for text in play.said if text.endswith("?")]
    assert asked == ["How many minutes have you got?", "Does anything feel off today?", QUESTION]
    assert play.session.options.same_place is False
    assert play.session.options.away == ()


def test_a_place_that_was_told_stays_told() -> None:
    assert back("holiday", same_place=True).session.options.same_place is True


def test_without_a_break_nothing_is_asked_of_it() -> None:
    play = Play(hurting=None, same_place=None)
    play.until(Phase.LEAD_IN)
    assert QUESTION not in play.said


def test_each_of_two_is_asked_by_name_and_only_who_was_away() -> None:
    play = Play(people=2, names=("Ada", "Mira", ""), away=(2,))
    play.until(Phase.CHECK_IN, question="break")
    assert play.said[-1] == f"Mira: {QUESTION}"
    play.say("break:injury")
    play.until(Phase.LEAD_IN)
    assert f"Mira: {SAID['injury']}" in play.said
    assert {step.turn for step in play.session.course.steps if step.kind is StepKind.TRY} == {1}


def test_a_key_answers_it_as_well() -> None:
    play = Play(away=(1,))
    play.until(Phase.CHECK_IN, question="break")
    play.say("break:birth", source=Source.KEY)
    assert play.session.options.told == ((1, "break:birth"),)


def test_an_aim_is_one_line_before_the_questions() -> None:
    play = Play(minutes=None, aim=message("aim-dose", what="mobility", minutes=40, done=12))
    play.until(Phase.CHECK_IN, question="minutes")
    assert play.said[1:] == [
        "Your aim is 40 minutes of mobility this week, 12 so far.",
        "How many minutes have you got?",
    ]


def signs(play: Play) -> list[tuple[str, Part | None]]:
    return [(fact.sign, fact.part) for fact in play.facts if isinstance(fact, SignTold)]


FREE = "Seven days without any symptom? Say: a week clear, or no."


@pytest.mark.parametrize(
    ("told", "sign"),
    [("symptom-free", "after-illness"), ("no", "ill"), ("", "ill"), ("yes", "ill")],
)
def test_after_an_illness_seven_days_are_asked_and_two_easy_weeks_stand(
    told: str, sign: str
) -> None:
    """Salman D et al. (2021) BMJ 372:m4721; six days free is not yet (Covid), nor is silence."""
    play = Play(away=(1,))
    play.until(Phase.CHECK_IN, question="break")
    play.say("break:illness")
    play.until(Phase.ASK, question="symptom-free")
    assert play.said[-1] == FREE
    if told:
        play.say(told)
    play.until(Phase.LEAD_IN)
    assert signs(play) == [(sign, None)]
    names = {f.movement for s in play.session.course.steps for f in s.forms if f.movement}
    seen = {pose for name in names for pose in poses.SEEN[name]}
    if told == "symptom-free":
        assert "After an illness: gentle mobility for two easy weeks." in play.said
        assert names
        assert seen & EXERTION == set()
    else:
        assert "Then rest: nothing that loads you today." in play.said
        assert seen <= {"lying still"}


def test_after_an_illness_that_stands_nobody_is_asked_again() -> None:
    play = Play(
        told=((1, "break:illness"),),
        stands=((1, message("back-after-illness")),),
    )
    play.until(Phase.LEAD_IN)
    play.run(20.0)
    assert FREE not in play.said
    assert signs(play) == []
    assert play.said.count("After an illness: gentle mobility for two easy weeks.") == 1


def injured(*answers: str) -> Play:
    """A check-in after an injury, up to the plan; '' leaves a question unanswered."""
    play = Play(away=(1,))
    play.until(Phase.CHECK_IN, question="break")
    play.say("break:injury")
    for question, answer in zip(("which-part", "cleared-by"), answers, strict=False):
        play.until(Phase.ASK, question=question)
        if answer:
            play.say(answer)
    play.until(Phase.LEAD_IN)
    return play


@pytest.mark.parametrize(
    "cleared", ["cleared-by:doctor", "cleared-by:physio", "cleared-by:nobody", ""]
)
def test_the_part_of_an_injury_is_asked_and_stands_whoever_cleared_it(cleared: str) -> None:
    """Said aloud it lifts nothing: it ends by key only."""
    play = injured("part:elbows", cleared)
    assert signs(play) == [("before", Part.ELBOWS)]
    assert ceiling(play.session.day.caps, 1, Part.ELBOWS) == 0
    assert not any(step.kind is StepKind.CLIMB for step in play.session.course.steps)
    aloud = "Good. Type it in before next time; today that part rests." in play.said
    assert aloud is (cleared in ("cleared-by:doctor", "cleared-by:physio"))


def test_an_injury_without_a_part_loads_nothing() -> None:
    play = back("injury")
    assert signs(play) == [("before", None)]
    assert all(ceiling(play.session.day.caps, 1, part) == 0 for part in Part)


@pytest.mark.parametrize("typed", [True, False])
def test_a_birth_stands_on_the_record(typed: bool) -> None:
    play = Play(told=((1, "break:birth"),)) if typed else back("birth")
    play.until(Phase.LEAD_IN)
    play.run(20.0)
    assert play.said.count(SAID["birth"]) == 1
    assert signs(play) == [("after-birth", None)]
    assert not any(step.kind is StepKind.CLIMB for step in play.session.course.steps)
