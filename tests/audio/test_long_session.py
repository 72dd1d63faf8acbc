"""Eighteen minutes of session in which sound fails in every way that we know: nothing is lost.

`python -m tests.bench.long_session` is the same for two hours.
"""

import pytest

from coach.session.state import Phase
from tests.audio.faults import Kind
from tests.audio.long_session import Outcome, every_fault, simulate


@pytest.fixture(scope="module")
def outcome(tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    folder = tmp_path_factory.mktemp("long")
    return simulate(folder, "quick", 20.0, every_fault(40.0, 66.0, 25.0))


def test_every_kind_of_fault_came(outcome: Outcome) -> None:
    assert {fault.kind for fault in outcome.faults} == set(Kind)
    assert outcome.faults[-1].at < outcome.seconds - 30.0


def test_the_session_is_complete(outcome: Outcome) -> None:
    assert outcome.session.phase is Phase.OVER
    assert outcome.session.how == "done"
    assert not outcome.session.course.steps


def test_every_event_is_on_disk_and_runs_again_to_the_same_end(outcome: Outcome) -> None:
    assert outcome.on_disk == outcome.events
    assert outcome.verdict.whole, outcome.verdict.findings
    assert outcome.verdict.replayed == 1


def test_every_sound_began_when_it_was_to_and_ended(outcome: Outcome) -> None:
    assert outcome.asked
    assert max(map(abs, outcome.late())) < 1e-3
    assert outcome.unended() == []


def test_every_answer_came_by_voice_or_by_key_and_when_it_was_said(outcome: Outcome) -> None:
    assert all(one.heard is not None or one.pressed for one in outcome.said)
    well = [one for one in outcome.said if outcome.well(one.at)]
    assert all(not one.pressed for one in well)
    assert max(map(abs, outcome.strays()), default=0.0) < 0.05


def test_each_loss_is_told_once_and_each_return_too(outcome: Outcome) -> None:
    # the microphone: unplugged, hung, zeros, and gone for good; the speaker: all but zeros
    assert outcome.told() == {
        ("DeviceLost", "microphone"): 4,
        ("DeviceReturned", "microphone"): 3,
        ("DeviceLost", "speaker"): 3,
        ("DeviceReturned", "speaker"): 2,
    }


def test_sleep_is_the_only_time_that_is_no_part_of_the_session(outcome: Outcome) -> None:
    assert outcome.slept == 300.0
    assert outcome.wall == pytest.approx(outcome.seconds + outcome.slept, abs=0.1)


def test_no_hang_and_no_hard_try_began_without_an_ear_or_a_key(outcome: Outcome) -> None:
    assert outcome.begun_deaf == []
