"""Plain lines say all that happens and take all that can be typed."""

import io

import pytest

from coach.model.answers import Answer, parse
from coach.model.questions import QUESTIONS
from coach.screen.plain import PlainScreen, line
from coach.screen.shapes import ASCII
from coach.session.events import Answered, KeyClaimed
from coach.session.view import Ear, View
from tests.screen.scene import (
    CLIMB,
    FEEL,
    GO,
    SORE,
    STAY,
    TRY,
    answer_text,
    text,
    view_with,
    words,
)

PHRASES = {"all done": "done", "three": "count:3", "sore fingers": "feel:fingers:sore"}


#: Asked how many minutes there are: a few are shown.
MINUTES = view_with(FEEL, answers=QUESTIONS["minutes"].answers)


def find(typed: str) -> tuple[Answer, ...]:
    return (parse(PHRASES[typed]),) if typed in PHRASES else ()


class Session:
    """A plain screen on a string, and what it sent."""

    def __init__(self) -> None:
        self.out = io.StringIO()
        self.now = 0.0
        self.events: list[Answered | KeyClaimed] = []
        self.screen = PlainScreen(
            self.out, words, answer_text, find, lambda: self.now, self.events.append, ASCII
        )

    @property
    def lines(self) -> list[str]:
        return self.out.getvalue().splitlines()

    def typed(self, view: View, *texts: str) -> list[str]:
        self.screen.show(view)
        for typed in texts:
            self.screen.typed(typed)
        return [
            event.answer.key if isinstance(event, Answered) else event.claim
            for event in self.events
        ]


@pytest.fixture
def session() -> Session:
    return Session()


@pytest.mark.parametrize(
    ("at", "who", "shown"),
    [
        (0.0, "", "00:00 Rest."),
        (59.99, "", "00:59 Rest."),
        (754.0, "Ada", "12:34 Ada: Rest."),
        (6000.0, "", "100:00 Rest."),
        (-0.5, "", "00:00 Rest."),
    ],
)
def test_a_line(at: float, who: str, shown: str) -> None:
    assert line(at, "Rest.", who) == shown


def test_what_is_said_heard_and_done_is_printed_once(session: Session) -> None:
    assert SORE.did is not None
    session.screen.said(0.0, text("Hello."))
    session.screen.show(STAY)
    session.now = 65.0
    session.screen.show(SORE)
    session.screen.show(SORE)
    assert session.lines == [
        "00:00 Hello.",
        "00:00 stay - ear shut - 82 min left",
        "00:00 [any key] done   [k] skip   [e] easier",
        f'01:05 "fingers sore" -> {words(SORE.did)}',
        "01:05 rest - ear open - 54 min left",
        "01:05 [any key] more time   [1] ready now",
    ]


def test_a_change_is_printed_once_though_it_is_said_too(session: Session) -> None:
    session.screen.show(SORE)
    assert SORE.did is not None
    before = len(session.lines)
    session.screen.said(1.0, SORE.did)
    assert len(session.lines) == before
    session.screen.said(9.0, SORE.did)
    assert session.lines[-1] == f"00:09 {words(SORE.did)}"


def test_a_question_asked_again_shows_its_answers_again(session: Session) -> None:
    session.screen.show(FEEL)
    session.screen.show(view_with(FEEL, window=8))
    assert sum("[1] fresh" in shown for shown in session.lines) == 2


def test_the_ear_going_away_is_said(session: Session) -> None:
    session.screen.show(STAY)
    session.screen.show(view_with(STAY, ear=Ear.GONE))
    assert session.lines[-1] == "00:00 stay - no microphone: keys only - 82 min left"


@pytest.mark.parametrize(
    ("view", "typed", "answer"),
    [
        (STAY, "", "done"),
        (STAY, "  All   DONE ", "done"),
        (STAY, "1", "done"),
        (FEEL, "5", "feel:sore"),
        (CLIMB, "4", "count:4"),
        (STAY, "sore fingers", "feel:fingers:sore"),
        (STAY, "k", "skip"),
        (STAY, "p", "pause"),
        (GO, "1", "go"),
        (CLIMB, "three", "count:3"),
        (MINUTES, "2", "minutes:45"),
        (MINUTES, "55", "minutes:55"),
        (MINUTES, "180", "minutes:180"),
    ],
)
def test_a_typed_line_is_an_answer(session: Session, view: View, typed: str, answer: str) -> None:
    assert session.typed(view, typed) == [answer]


@pytest.mark.parametrize(
    ("view", "typed", "said"),
    [
        (FEEL, "", "This one needs its own key: choose by figure."),
        (FEEL, "9", "That isn't an answer here."),
        (STAY, "lunch", "That isn't an answer here."),
        (MINUTES, "54", "That isn't an answer here."),
        (STAY, "45", "That isn't an answer here."),
        (view_with(STAY, answers=()), "", "No question is open now."),
    ],
)
def test_what_is_no_answer_is_said_back(
    session: Session, view: View, typed: str, said: str
) -> None:
    assert session.typed(view, typed) == []
    assert session.lines[-1] == f"00:00 {said}"


def test_finish_by_its_letter_asks_once(session: Session) -> None:
    assert session.typed(STAY, "q") == []
    assert session.lines[-1] == "00:00 q once more: finish."
    assert session.typed(STAY, "q") == ["finish"]
    assert session.typed(STAY, "q", "a", "q") == ["finish", "again"]


def test_a_claim_asks_once(session: Session) -> None:
    view = view_with(FEEL, answers=("cleared:fingers", "no"))
    assert session.typed(view, "1") == []
    assert session.lines[-1] == "00:00 1 once more: a clinician cleared my fingers."
    assert session.typed(view, "1") == ["cleared:fingers"]


def test_lines_are_read_until_the_stream_ends(session: Session) -> None:
    session.screen.show(TRY)
    session.now = 30.0
    session.screen.read(io.StringIO("1\n\nwhat\n"))
    (event,) = session.events
    assert isinstance(event, Answered)
    assert (event.answer.key, event.who, event.onset, event.window) == ("topped", 2, 30.0, 14)


def test_lines_before_the_first_view_are_dropped(session: Session) -> None:
    session.screen.typed("all done")
    assert session.events == []
    assert session.lines == []


WEIGHS = view_with(FEEL, weighs=2)


def test_where_a_reading_may_be_told_it_is_said_once(session: Session) -> None:
    session.screen.show(FEEL)
    session.screen.show(WEIGHS)
    session.screen.show(view_with(WEIGHS, window=99))
    assert sum("Scale: type its reading." in line for line in session.lines) == 1


@pytest.mark.parametrize(
    ("typed", "claim"),
    [
        ("42.5", "reading:42.5"),
        ("42,5 KG", "reading:42.5"),
        ("4 kg", "reading:4"),
        ("42", "reading:42"),
        ("900", "reading:900"),
        ("-5", "reading:-5"),
        ("0", "reading:0"),
    ],
)
def test_a_typed_number_is_a_reading_of_who_did_the_check(
    session: Session, typed: str, claim: str
) -> None:
    assert session.typed(WEIGHS, typed) == [claim]
    assert session.events[0] == KeyClaimed(0.0, claim, 2)


def test_the_figure_of_an_answer_stays_that_answer(session: Session) -> None:
    assert session.typed(WEIGHS, "2") == [WEIGHS.answers[1]]


def test_no_number_is_no_reading(session: Session) -> None:
    assert session.typed(WEIGHS, "abc", "forty kg") == []
    assert session.lines[-1].endswith("That isn't an answer here.")


def test_where_no_reading_may_be_told_none_is_sent(session: Session) -> None:
    assert session.typed(FEEL, "42.5", "42 kg") == []
