"""For two minutes an answer that silence stood in for still counts, whatever steps ended since."""

from typing import Any

import pytest

from coach.model.facts import GateAnswered, StepEnded
from tests.climber import rehearsed


@pytest.mark.parametrize("late", [5.0, 45.0, 75.0, 105.0])
def test_a_gate_opens_late(late: float) -> None:
    gate, said = "gate-shoulders", list[float]()

    def also(session: Any, now: float) -> str | None:
        missed = session.questions.missed
        if said or missed is None or missed.asking.question != gate or now < missed.at + late:
            return None
        running = session.course.running
        if session.questions.asking is not None or (running is not None and running.step.strains):
            return None
        said.append(now)
        return "feel:fine"

    day = rehearsed(60.0, answers={gate: ""}, also=also)
    answers = [
        (fact.answer, fact.at)
        for fact in day.facts
        if isinstance(fact, GateAnswered) and fact.question == gate
    ]
    assert answers[0][0] == "silence"
    silent = answers[0][1]
    assert answers[1][0] == "feel:fine"
    assert abs(answers[1][1] - said[0]) < 3.0
    ended = [f for f in day.facts if isinstance(f, StepEnded) and silent < f.at < said[0]]
    assert ended or late < 60.0
