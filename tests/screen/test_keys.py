"""One touch is one answer, and no touch raises load unless it is meant to."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.answers import ANYTIME, Answer, Meaning, parse
from coach.model.nature import Tendency
from coach.model.questions import QUESTIONS
from coach.screen.keys import (
    ASKS,
    HELD,
    KEYS,
    TOUCH,
    Hint,
    KeyPresses,
    Outcome,
    chosen,
    expected,
    letter_of,
    numbered,
    press_of,
)
from coach.session.events import Answered, KeyClaimed, Source
from coach.session.view import View, Word
from tests.screen.scene import CLIMB, FEEL, GO, HANG, PAUSED, SORE, STAY, TRY, view_with

KNUCKLES = st.lists(
    st.sampled_from([*"abcdefghijklmnopqrstuvwxyz123456789;,./[]", "enter", "space", "escape"]),
    min_size=2,
    max_size=12,
    unique=True,
)


def after(view: View, *touches: tuple[float, str]) -> list[Outcome]:
    """What presses at these times send, the screen looking every 10 ms."""
    presses, sent, waiting = KeyPresses(), [], list(touches)
    for tick in range(round((touches[-1][0] + 1.0) * 100)):
        at = tick / 100
        while waiting and waiting[0][0] <= at:
            presses.press(waiting.pop(0)[1], at, view)
        outcome = presses.settle(at)
        if outcome is not None:
            sent.append(outcome)
    return sent


def names(outcomes: list[Outcome]) -> list[str]:
    return [
        one.answer.key
        if isinstance(one, Answered)
        else one.claim
        if isinstance(one, KeyClaimed)
        else one.label
        if isinstance(one, Hint)
        else one.name
        for one in outcomes
    ]


@pytest.mark.parametrize("name", ["enter", "space", "pagedown", "right", "x", "f5", "tab"])
def test_any_key_gives_the_one_expected_answer(name: str) -> None:
    assert names(after(STAY, (0.0, name))) == ["done"]


@pytest.mark.parametrize(
    ("name", "answer"),
    [
        ("p", "pause"),
        ("s", "stop"),
        ("h", "hurt"),
        ("f", "feel:fingers:sore"),
        ("k", "skip"),
        ("a", "again"),
        ("m", "more-time"),
        ("n", "whats-next"),
        ("l", "how-long"),
        ("w", "why"),
        ("e", "easier"),
        ("pageup", "again"),
        ("left", "again"),
    ],
)
def test_letters_work_at_any_time_and_on_the_wall(name: str, answer: str) -> None:
    for view in (STAY, HANG, FEEL, TRY):
        assert names(after(view, (0.0, name))) == [answer]


def test_p_resumes_what_is_paused() -> None:
    assert names(after(PAUSED, (0.0, "p"))) == ["resume"]
    assert names(after(view_with(STAY, word=Word.PAUSED), (0.0, "p"))) == ["resume"]


def test_figures_choose_by_place() -> None:
    assert [names(after(FEEL, (0.0, str(n)))) for n in range(1, 7)] == [[k] for k in FEEL.answers]
    assert names(after(FEEL, (0.0, "7"))) == ["key-no-figure"]
    assert names(after(HANG, (0.0, "1"))) == ["key-nothing-asked"]


def test_a_figure_is_the_count_where_counts_are_asked() -> None:
    assert numbered(CLIMB.answers) == {4: "count:4", 3: "count:3", 2: "count:2", 1: "count:1"}
    assert names(after(CLIMB, (0.0, "3"))) == ["count:3"]
    assert names(after(CLIMB, (0.0, "5"))) == ["key-no-figure"]


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=lambda question: question.name)
def test_every_answer_of_every_question_has_a_key(question: object) -> None:
    answers: tuple[str, ...] = question.answers  # type: ignore[attr-defined]
    view = view_with(FEEL, answers=answers + ANYTIME)
    reachable = set(numbered(view.answers).values()) | {expected(view)}
    assert set(answers) <= reachable | {key for key in answers if letter_of(key)}


@pytest.mark.parametrize("answers", [FEEL.answers, GO.answers, ("another", "enough"), ("ready",)])
def test_any_key_never_raises(answers: tuple[str, ...]) -> None:
    view = view_with(FEEL, answers=answers)
    assert names(after(view, (0.0, "enter"))) == ["key-choose"]
    assert names(after(view, (0.0, "1"))) == [answers[0]]


@pytest.mark.parametrize("first", [meaning for meaning in Meaning if meaning.nature.chosen])
def test_any_key_states_no_fact_and_ends_nothing(first: Meaning) -> None:
    view = view_with(FEEL, answers=(Answer(first).key, "again"))
    assert expected(view) is None


def test_any_key_never_halts_or_hurts_where_nothing_is_expected() -> None:
    view = view_with(HANG, answers=ANYTIME)
    assert names(after(view, (0.0, "enter"))) == ["key-choose"]
    assert names(after(HANG, (0.0, "enter"))) == ["key-nothing-asked"]


@pytest.mark.parametrize("answer", ["harder", "longer"])
def test_what_raises_without_being_asked_for_takes_its_figure_twice(answer: str) -> None:
    view = view_with(STAY, answers=("done", answer))
    assert names(after(view, (0.0, "2"))) == ["key-ask"]
    assert names(after(view, (0.0, "2"), (1.0, "2"))) == ["key-ask", answer]
    assert press_of(answer, view) == "2"


def test_finishing_needs_one_press_where_it_is_asked_and_going_back_always_two() -> None:
    assert names(after(PAUSED, (0.0, "q"))) == ["finish"]
    view = view_with(STAY, answers=("done", "back"))
    assert names(after(view, (0.0, "b"))) == ["key-ask"]


@given(KNUCKLES, st.sampled_from(sorted(QUESTIONS)), st.floats(0.0, 0.014))
def test_a_knuckle_sends_one_answer_at_most_and_none_that_raises(
    keys: list[str], question: str, gap: float
) -> None:
    view = view_with(FEEL, answers=QUESTIONS[question].answers)
    sent = after(view, *[(index * gap, name) for index, name in enumerate(keys)])
    assert len(sent) <= 1
    for outcome in sent:
        if isinstance(outcome, Answered):
            assert outcome.answer.tendency is not Tendency.RAISING
            assert outcome.answer.key == expected(view)
        else:
            assert isinstance(outcome, Hint)


def test_a_knuckle_on_letters_is_not_one_of_them() -> None:
    assert names(after(STAY, (0.0, "b"), (0.01, "h"), (0.02, "n"), (0.1, "j"))) == ["done"]


def test_a_knuckle_that_rolls_off_slowly_is_still_one_touch() -> None:
    rolling = [(index * 0.12, name) for index, name in enumerate("asdfghjkl")]
    assert names(after(STAY, *rolling)) == ["done"]


def test_a_key_held_down_counts_once() -> None:
    held = [(0.0, "enter"), *[(0.66 + index * 0.03, "enter") for index in range(60)]]
    assert names(after(STAY, *held)) == ["done"]


def test_two_presses_apart_count_twice() -> None:
    assert names(after(STAY, (0.0, "enter"), (HELD + 0.1, "enter"))) == ["done", "done"]
    assert names(after(STAY, (0.0, "k"), (TOUCH + 0.1, "enter"))) == ["skip", "done"]


def test_going_back_and_finishing_ask_once() -> None:
    assert names(after(STAY, (0.0, "q"))) == ["key-ask"]
    assert names(after(STAY, (0.0, "q"), (1.5, "q"))) == ["key-ask", "finish"]
    assert names(after(STAY, (0.0, "b"), (1.5, "b"))) == ["key-ask", "back"]


def test_the_question_of_a_key_is_left_by_time_another_key_or_escape() -> None:
    assert names(after(STAY, (0.0, "q"), (ASKS + 1.0, "q"))) == ["key-ask", "key-ask"]
    assert names(after(STAY, (0.0, "q"), (1.0, "b"), (2.0, "q"))) == ["key-ask"] * 3
    assert names(after(STAY, (0.0, "q"), (1.0, "escape"))) == ["key-ask", "key-left-it"]
    assert names(after(STAY, (0.0, "q"), (1.0, "enter"))) == ["key-ask", "done"]


def test_holding_q_down_does_not_finish() -> None:
    held = [(0.0, "q"), *[(0.66 + index * 0.03, "q") for index in range(60)]]
    assert names(after(STAY, *held)) == ["key-ask"]


def test_escape_alone_sends_nothing() -> None:
    assert after(STAY, (0.0, "escape")) == []


def test_a_claim_takes_its_figure_twice_and_no_other_key() -> None:
    view = view_with(FEEL, answers=("cleared:fingers", "no"))
    assert names(after(view, (0.0, "enter"))) == ["key-choose"]
    assert names(after(view, (0.0, "1"))) == ["key-ask"]
    (_, claim) = after(view, (0.0, "1"), (1.0, "1"))
    assert isinstance(claim, KeyClaimed)
    assert (claim.claim, claim.who) == ("cleared:fingers", 1)


def test_an_answer_carries_its_onset_its_window_and_whose_turn_it_is() -> None:
    (answer,) = after(TRY, (1.0, "1"))
    assert isinstance(answer, Answered)
    assert answer.onset == 1.0
    assert answer.at == pytest.approx(1.0 + TOUCH, abs=0.02)
    assert (answer.who, answer.window, answer.source) == (2, 14, Source.KEY)


def test_a_press_belongs_to_what_was_shown_when_it_began() -> None:
    presses = KeyPresses()
    presses.press("1", 0.0, FEEL)
    presses.press("1", 0.05, GO)
    outcome = presses.settle(TOUCH)
    assert isinstance(outcome, Answered)
    assert outcome.answer == parse("feel:fresh")
    assert presses.settle(TOUCH + 1) is None


def test_the_table_names_answers_that_exist_and_says_twice_where_a_letter_raises() -> None:
    for name, key in KEYS.items():
        for answer in filter(None, (key.answer, key.also)):
            assert parse(answer).key == answer
            raising = parse(answer).tendency is Tendency.RAISING
            assert not raising or key.twice, name
    assert chosen("b", SORE) == ("back", True)


def test_each_letter_has_one_answer() -> None:
    letters = [key.answer for name, key in KEYS.items() if len(name) == 1]
    assert len(letters) == len(set(letters))
    assert letter_of("resume") == "p"
    assert letter_of("topped") == ""
