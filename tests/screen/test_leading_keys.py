"""A leader's keys: each that the screen shows does something, and everybody can be named by keys.

The views are those of a real group, from its beginning to its end.
"""

from collections.abc import Iterator

import pytest

from coach.group.display import look
from coach.group.gathering import Group
from coach.group.group_step import deadline, step
from coach.model.answers import parse
from coach.screen.face import Face
from coach.screen.keys import KEYS, Hint, asks_who, chosen, press_of, sends
from coach.screen.naming import Naming
from coach.screen.near import answer_rows, key_rows
from coach.screen.rows import row_text
from coach.screen.shapes import BLOCKS
from coach.session.events import Answered, Event, KeyClaimed, Started, TimePassed
from coach.session.state import Phase
from coach.session.view import View
from tests.group.runs import group, language

FACE = Face(language().text, language().phrase, BLOCKS)


def said(now: Group, key: str) -> Group:
    window = now.window.number if now.window is not None else None
    return step(now, Answered(now.at + 1, parse(key), 0, now.at + 1, window))[0]


def states() -> Iterator[Group]:
    """A group every two minutes or so, and after what a leader may say."""
    now, _ = step(group(minutes=30), Started(0.0))
    for n in range(120):
        due = deadline(now)
        if due is None or now.phase is Phase.OVER:
            return
        now, _ = step(now, TimePassed(max(due, now.at)))
        if n % 20 == 5:
            yield now
            about = said(now, "person:3")
            yield from (about, said(about, "feel:sore"), said(about, "hurts"))
            yield from (said(now, "hurt"), said(now, "pause"), said(now, "feel:sore"))


def pressed(now: Group, name: str) -> Event | Hint:
    view = look(now)
    pick = chosen(name, view)
    return pick if isinstance(pick, Hint) else sends(pick[0], view, now.at, now.at)


def test_every_key_that_is_shown_does_something() -> None:
    seen = set()
    for now in states():
        view = look(now)
        shown = {row_text(row).split()[0].strip("[]") for row in key_rows(view, FACE)}
        for row in answer_rows(view, FACE):
            key = row_text(row).partition("]")[0].lstrip("[")
            shown.add({FACE.label("show-any-key"): "enter"}.get(key, key))
        for name in shown - {"n", FACE.label("show-enter")}:
            event = pressed(now, name)
            assert not isinstance(event, Hint), (name, now.phase, view.answers)
            after, effects = step(now, event)
            assert after.did is None or after.did.key != "not-now", (name, now.phase)
            assert effects or after != now, name
            seen.add(name)
    assert {"p", "s", "h", "q", "enter"} <= seen


def test_a_letter_that_means_nothing_to_a_leader_moves_nobody_on() -> None:
    now = next(states())
    for name in (name for name in KEYS if len(name) == 1):
        event = pressed(now, name)
        if not isinstance(event, Hint):
            assert isinstance(event, Answered)
            assert event.answer.meaning.nature.leader, name
    assert isinstance(pressed(now, "k"), Hint)


def test_everybody_can_be_named_by_keys() -> None:
    now = next(states())
    for who in now.people:
        event = typed(look(now), "n", *str(who), "enter")
        assert isinstance(event, Answered)
        assert step(now, event)[0].about == who


@pytest.mark.parametrize("who", [1, 2, 7, 12])
def test_where_it_is_asked_who_it_is_figures_are_numbers_and_no_other_answer(who: int) -> None:
    hurt = said(next(states()), "hurt")
    assert asks_who(look(hurt))
    assert all(not press_of(f"person:{n}", look(hurt)) for n in hurt.people)

    event = typed(look(hurt), *str(who), "enter")

    assert isinstance(event, Answered)
    assert step(hurt, event)[0].status(who).value == "hurt"


def test_stop_leaves_a_number_that_is_typed() -> None:
    typing, view = Naming(), look(next(states()))
    assert typing.press("n", view)
    assert typing.press("1", view)
    assert not typing.press("s", view)
    assert typing.hint() is None
    assert not Naming().press("1", view)


def typed(view: View, *names: str) -> Answered | KeyClaimed | None:
    typing = Naming()
    for name in names:
        assert typing.press(name, view), name
        event = typing.take(name, view, 5.0)
    return event
