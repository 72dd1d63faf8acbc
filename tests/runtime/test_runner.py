"""What an event causes is on disk before anything of it is heard."""

from datetime import UTC, datetime

import pytest

from coach.files.library import load_library
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.runner import Runner
from coach.session.effects import Effect
from coach.session.events import Event, Started, TimePassed
from coach.session.step import new_session

OPTIONS = Options((Person(1, age=AgeBand.ADULT),), 60.0, (), True)


class Order:
    """A world and a keeper in one, that notes what came when; a keeper that may fail."""

    def __init__(self, *, fails: bool = False) -> None:
        self.order: list[str] = []
        self.fails = fails

    def now(self) -> float:
        return 0.0

    def wait(self, until: float | None) -> Event | None:
        return None

    def carry_out(self, effect: Effect) -> None:
        self.order.append("carried out")

    def commit(self, event: Event, facts: tuple[Fact, ...], wall: datetime) -> None:
        if self.fails:
            raise OSError("no disk")
        self.order.append("kept")


def runner(order: Order) -> Runner:  # type: ignore[type-arg]
    session = new_session(load_library("full", None, ()), OPTIONS)
    return Runner(session, order, order, lambda: datetime(2026, 3, 3, tzinfo=UTC))


def test_every_event_is_kept_before_anything_of_it_is_carried_out() -> None:
    order = Order()
    run = runner(order)
    run.take(Started(0.0))
    heard = order.order.count("carried out")
    for at in (20.0, 40.0, 60.0, 80.0):
        run.take(TimePassed(at))
    assert order.order[0] == "kept"
    assert order.order.count("kept") == 5
    assert order.order.count("carried out") > heard > 0


def test_what_could_not_be_kept_is_not_heard() -> None:
    order = Order(fails=True)
    with pytest.raises(OSError, match="no disk"):
        runner(order).take(Started(0.0))
    assert order.order == []
