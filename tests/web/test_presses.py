"""What a press does: its role, its state, taking back. The views come from the real core."""

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime

import pytest

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import parse
from coach.model.messages import message
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.runner import NoKeeper, Runner
from coach.session.events import Answered, Started
from coach.session.looking import look
from coach.session.state import Session
from coach.session.step import new_session
from coach.session.view import View, Word
from coach.web.presses import TAKE_BACK, Presses
from coach.web.roles import Pass, Passes, Role, passes_for
from coach.web.scene import Shown, scene_of, state_of
from tests.days.hall import Hall

LIBRARY = load_library("full", None, ())
WORDS = load_language("en", LIBRARY.movements)
WATCH, CLIMBER, LEADER = Pass(Role.WATCH), Pass(Role.CLIMBER, 1), Pass(Role.LEADER)


@dataclass
class Desk:
    """A session of one, and the presses beside it."""

    runner: Runner[Session]
    sent: list[Answered] = field(default_factory=list)

    def view(self) -> View:
        return look(self.runner.session)

    def presses(self) -> Presses:
        return Presses(self.view, self.runner.world.now, self.take)

    def take(self, event: Answered) -> None:
        self.sent.append(event)
        self.runner.take(event)


@pytest.fixture
def desk() -> Desk:
    """Half a minute into a session: the first step of the mat runs."""
    return begun(1)


def begun(people: int) -> Desk:
    options = Options(
        tuple(Person(who + 1, age=AgeBand.ADULT) for who in range(people)), 90.0, (), True
    )
    hall = Hall(WORDS, [])
    runner = Runner(new_session(LIBRARY, options), hall, NoKeeper(), lambda: datetime.now(UTC))
    runner.seen = lambda session, event, effects: hall.seen(look(session), event, effects)
    runner.take(Started(0.0))
    while hall.now() < 30.0:
        runner.take(runner.next())
    return Desk(runner)


def press(desk: Desk, by: Pass, what: str, state: str | None = None) -> bool:
    made = state if state is not None else state_of(desk.view())
    outcome, _ = desk.presses().press(by, what, made)
    return outcome.taken


def test_a_link_that_watches_sends_nothing(desk: Desk) -> None:
    assert not any(press(desk, WATCH, what) for what in ("hurt", "pause", "resume", "done"))
    assert desk.sent == []


def test_two_phones_that_pause_leave_it_paused(desk: Desk) -> None:
    state = state_of(desk.view())

    first, second = press(desk, CLIMBER, "pause", state), press(desk, CLIMBER, "pause", state)

    assert (first, second) == (True, False)
    assert desk.view().word.value == "paused"
    assert press(desk, CLIMBER, "resume")
    assert desk.view().word.value != "paused"
    assert not press(desk, CLIMBER, "resume")


def test_a_press_of_what_has_passed_is_refused(desk: Desk) -> None:
    before = state_of(desk.view())
    assert press(desk, CLIMBER, "skip", before)
    while state_of(desk.view()) == before:
        desk.runner.take(desk.runner.next())

    assert not press(desk, CLIMBER, "skip", before)


def test_who_pressed_is_in_the_event(desk: Desk) -> None:
    press(desk, CLIMBER, "pause")
    assert [(event.by, event.who) for event in desk.sent] == [("climber", 1)]


def test_a_leaders_done_can_be_taken_back_until_it_counts(desk: Desk) -> None:
    presses = desk.presses()
    outcome, number = presses.press(LEADER, "done", state_of(desk.view()))
    assert outcome.taken
    assert outcome.waits == TAKE_BACK
    assert presses.take_back(number).taken
    presses.settle(number)
    assert desk.sent == []
    assert not presses.take_back(number).taken

    _, number = presses.press(LEADER, "done", state_of(desk.view()))
    presses.settle(number)
    assert [event.answer.key for event in desk.sent] == ["done"]


def test_a_leaders_done_ends_nothing_that_came_after_it(desk: Desk) -> None:
    presses = desk.presses()
    before = desk.view()
    _, number = presses.press(LEADER, "done", state_of(before))
    while (desk.view().step, desk.view().counts_to) == (before.step, before.counts_to):
        desk.runner.take(desk.runner.next())
    presses.settle(number)
    assert desk.sent == []


def test_hurt_counts_whatever_the_state(desk: Desk) -> None:
    assert press(desk, CLIMBER, "hurt", "long-gone")


def test_what_each_press_is_answered() -> None:
    """By role, by what is pressed, by whether the session stands: one table of all of it."""
    running = begun(1).view()
    standing = replace(running, word=Word.PAUSED)
    other = replace(running, asks=2)
    now = state_of(running)
    late, passed = "long-gone", "web-passed"
    table: list[tuple[Pass, View | None, str, str, str]] = [
        *((WATCH, running, what, now, "web-watching") for what in ("hurt", "pause", "done")),
        (WATCH, None, "hurt", now, "web-watching"),
        *(
            (by, None, what, now, "web-none")
            for by in (CLIMBER, LEADER)
            for what in ("pause", "resume", "hurt")
        ),
        *((by, view, "hurt", late, "") for by in (CLIMBER, LEADER) for view in (running, standing)),
        (CLIMBER, running, "pause", late, ""),
        (CLIMBER, standing, "pause", late, "web-paused-already"),
        (CLIMBER, running, "resume", late, "web-runs-already"),
        (CLIMBER, standing, "resume", late, ""),
        (LEADER, running, "person:1", late, ""),
        (CLIMBER, running, "person:1", now, passed),
        (CLIMBER, running, "done", now, ""),
        (CLIMBER, running, "done", late, passed),
        (CLIMBER, running, "feel:sore", now, passed),
        (CLIMBER, other, "done", state_of(other), "web-not-yours"),
        (Pass(Role.CLIMBER, 2), other, "done", state_of(other), ""),
        (LEADER, other, "done", state_of(other), ""),
    ]
    assert "done" in running.answers
    assert "feel:sore" not in running.answers
    for by, view, what, state, refused in table:
        sent: list[Answered] = []
        presses = Presses(lambda view=view: view, lambda: 31.0, sent.append)  # type: ignore[misc]
        outcome, number = presses.press(by, what, state)
        assert outcome.taken is not bool(refused), (by, what)
        waits = not refused and by is LEADER and what == "done"
        assert (outcome.waits, number) == ((2.0, 1) if waits else (0.0, 0))
        key = refused or ("web-waits" if waits else "web-taken")
        told = {} if refused else {"answer": what}
        assert outcome.reply == message(key, **told)
        if refused or waits:
            assert sent == []
            continue
        assert view is not None
        [event] = sent
        assert (event.at, event.onset, event.answer, event.by) == (31.0, 31.0, parse(what), by.role)
        assert event.who == (by.who or 1)
        fixed = what in ("pause", "resume", "hurt") or what.startswith("person:")
        assert event.window == (None if fixed else view.window)


@pytest.mark.parametrize("what", ["done", "next", "finish"])
def test_what_a_leader_ends_is_what_was_shown(what: str) -> None:
    """A press counts if nothing of what it is about has changed; finish ends all of it anyway."""
    view = replace(begun(1).view(), answers=("done", "next", "finish"), window=5)
    changed = [replace(view, word=Word.REST), replace(view, step=message("web-hurt")),
               replace(view, counts_to=99.0), replace(view, stands_at=1.0),
               replace(view, turn=3)]  # fmt: skip
    other = [replace(view, cue=message("web-hurt")), replace(view, window=6), view]
    for later, counts in [(one, what == "finish") for one in changed] + [(o, True) for o in other]:
        shown: list[View | None] = [view]
        sent: list[Answered] = []
        presses = Presses(lambda: shown[-1], lambda: float(len(shown)), sent.append)  # noqa: B023
        _, number = presses.press(LEADER, what, state_of(view))
        _, second = presses.press(LEADER, what, state_of(view))
        assert (number, second) == (1, 2)
        shown.append(later)
        presses.settle(number)
        assert [(event.at, event.window) for event in sent] == [(2.0, 5)] * counts
        presses.settle(number)
        shown.append(None)
        presses.settle(second)
        assert len(sent) == counts


def test_a_climbers_done_counts_at_once() -> None:
    desk = begun(1)
    assert press(desk, CLIMBER, "done")
    assert [event.answer.key for event in desk.sent] == ["done"]


def test_each_token_opens_one_role_and_no_guess_does() -> None:
    passes = Passes(passes_for((1, 2), led=False))
    assert [by.role for by in passes.tokens().values()] == ["watch", "climber", "climber"]
    for token, by in passes.tokens().items():
        assert passes.find(token) == by
        assert passes.find(token[:-1]) is None
    assert passes.find("") is None
    assert passes.find("ü") is None
    assert [by.role for by in passes_for(range(30), led=True)] == ["watch", "leader"]


def test_whoever_is_asked_answers_for_herself() -> None:
    """The other's phone opens no gate of hers, and is shown no answer to what she is asked."""
    desk, phones = begun(2), (Pass(Role.CLIMBER, 1), Pass(Role.CLIMBER, 2))
    while not (desk.view().asks and "feel:fine" in desk.view().answers):
        desk.runner.take(desk.runner.next())
    asked = desk.view().asks
    mine, other = phones[asked - 1], phones[2 - asked]
    shown = scene_of(Shown(desk.view(), 0.0, desk.runner.session.options.people), WORDS)
    assert [bool(one.sees(shown).offers) for one in (mine, other)] == [True, False]
    assert not press(desk, other, "feel:fine")
    assert desk.sent == []
    assert press(desk, mine, "feel:fine")
    assert press(desk, other, "hurt")
