"""How a group stands in the first entry of a session, and how it is read back from there."""

from coach.group.gathering import Group
from coach.group.group_step import new_group
from coach.model.messages import Value
from coach.model.start import Start
from coach.planning.stations import Station


def options_of(
    stations: tuple[Station, ...],
    late: tuple[int, ...],
    *,
    roll: bool = False,
    cool_down: bool = True,
    by_number: tuple[int, ...] = (),
) -> tuple[tuple[str, Value], ...]:
    """What a start holds beside the people: stations, who is expected later, and what is wanted.

    `by_number` are those whose names the ear can't tell.
    """
    return (
        *((f"{station.kind}:{station.name}", station.places) for station in stations),
        ("late", " ".join(map(str, late))),
        *((("roll", 1),) if roll else ()),
        *((("no-cool-down", 1),) if not cool_down else ()),
        *((("by-number", " ".join(map(str, by_number))),) if by_number else ()),
    )


def by_number_of(start: Start) -> tuple[int, ...]:
    """Whom a start has called by number, though they have a name."""
    return _numbers(start, "by-number")


def _numbers(start: Start, key: str) -> tuple[int, ...]:
    return tuple(int(number) for number in str(dict(start.options).get(key, "")).split())


def group_of(start: Start) -> Group:
    """The group that a start describes, before anything has happened."""
    wanted = dict(start.options)
    named = [(*name.partition(":")[::2], value) for name, value in start.options]
    stations = tuple(Station(title, kind, int(value)) for kind, title, value in named if title)
    return new_group(
        start.library,
        start.settled,
        stations,
        _numbers(start, "late"),
        roll="roll" in wanted,
        cool_down="no-cool-down" not in wanted,
        by_number=by_number_of(start),
    )
