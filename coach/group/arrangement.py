"""How a group stands in the first entry of a session, and how it is read back from there."""

from coach.group.gathering import Group
from coach.group.progress import new_group
from coach.model.messages import Value
from coach.model.start import Start
from coach.planning.stations import Station


def options_of(
    stations: tuple[Station, ...], late: tuple[int, ...]
) -> tuple[tuple[str, Value], ...]:
    """What a start holds beside the people: stations, and who is expected later."""
    return (
        *((f"{station.kind}:{station.name}", station.places) for station in stations),
        ("late", " ".join(map(str, late))),
    )


def group_of(start: Start) -> Group:
    """The group that a start describes, before anything has happened."""
    stations, late = [], ""
    for name, value in start.options:
        kind, _, title = name.partition(":")
        if title:
            stations.append(Station(title, kind, int(value)))
        else:
            late = str(value)
    numbers = tuple(int(number) for number in late.split())
    return new_group(start.library, start.settled, tuple(stations), numbers)
