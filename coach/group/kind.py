"""A group as a kind of session."""

from dataclasses import replace

from coach.group.arrangement import group_of
from coach.group.display import look, stands
from coach.group.gathering import Group
from coach.group.group_step import step
from coach.group.phrases import ANY_TIME
from coach.session.events import Answered, Event
from coach.session.kinds import Kind


def heard(group: Group, event: Event) -> Event:
    """An answer is the leader's, number 0, unless the newest window asked it of somebody."""
    if not isinstance(event, Answered):
        return event
    newest = group.listening.windows[-1] if group.listening.windows else None
    own = newest is not None and event.window == newest.number
    return replace(event, who=newest.who if own and newest is not None else 0)


def _summary(group: Group) -> str:
    return f"{group.recorded_seconds / 60:.0f} min, {len(group.people)} people"


GROUP = Kind(
    name="group",
    command="coach group",
    title="a group",
    new=group_of,
    step=step,
    look=look,
    anytime=ANY_TIME,
    summary=_summary,
    from_record=False,
    led=True,
    heard=heard,
    stands=stands,
)
