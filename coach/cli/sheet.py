"""The leader's sheet: who, what is otherwise for them and why, and the rota. Not for others."""

from collections.abc import Sequence

from coach.group.callout import GAMES, HANDS, PULSES, Callouts
from coach.group.gathering import Group
from coach.group.programme import Programme
from coach.language import Language
from coach.model.person import AgeBand, Person
from coach.model.place import Edge
from coach.planning.pyramid import tiers
from coach.runtime.rehearsal import clock_time


def sheet_of(group: Group, language: Language, notes: Sequence[tuple[int, str]]) -> list[str]:
    """The lines of the sheet; `notes` are who and what the roster says of them."""
    programme, said = group.programme, dict(notes)
    lines = [
        "For the leader's eyes only. Agree on each form below before you begin: aloud everybody",
        "hears 'or your easier form', and nobody hears whose it is.",
        _length(len(group.people), programme),
        "",
    ]
    for person in group.options.people:
        lines += _of_person(group, person, language, said.get(person.who, ""))
    names = {station.name for station in group.stations}
    edged = [b for b in group.library.place.boards if b.edges and b.name in names]
    lines += [""] * bool(edged)
    lines += [f"{board.name}: {', '.join(map(_edge, board.edges))}" for board in edged]
    lines += ["", "Rota, from the end of the mat:"]
    lines += [
        f"{clock_time(seat.start)}  {seat.station}, place {seat.place}: "
        f"{' and '.join(map(str, programme.teams[seat.turn.who]))}, "
        f"{seat.turn.seconds / 60:.1f} min"
        for seat in programme.rota.seats
    ]
    return lines


def _length(people: int, programme: Programme) -> str:
    minutes, least = programme.seconds / 60, programme.bound / 60
    count = "1 person" if people == 1 else f"{people} people"
    return f"{count}, {minutes:.0f} minutes; {least:.0f} at the least."


def _of_person(group: Group, person: Person, language: Language, note: str) -> list[str]:
    programme = group.programme
    age = "age not told: as under 18" if person.age is AgeBand.UNKNOWN else person.age.value
    lines = [" ".join(filter(None, (f"{person.who:2}", person.name, f"({age})")))]
    if note:
        lines.append(f"     note: {note}")
    found = tiers(person, group.library.place)
    if found is not None:
        lines.append(
            f"     boulders, easy: {', '.join(found.easy)}; middle: {', '.join(found.middle)}"
        )
    lines += [
        f"     {language.title(one.movement)}: "
        + (f"{language.title(one.instead)} instead" if one.instead else "watches")
        + f" ({one.why.replace('-', ' ')})"
        for one in programme.omitted
        if one.who == person.who and one.why != "offered"
    ]
    lines += _while_waiting(group, person, language)
    lines += [
        f"     may take the {language.title(movement)} if you agree"
        for who, movement in programme.agreed
        if who == person.who
    ]
    return lines


def _while_waiting(group: Group, person: Person, language: Language) -> list[str]:
    """What a person does otherwise of what is called out for those who wait."""
    every = Callouts(group.programme.day, group.library)
    called = [one for kind in (PULSES, GAMES, HANDS) for one in every.while_waiting(kind)]
    spared = [one for one in called if not every.forms.allowed(one, person)]
    if not group.programme.stops or not spared:
        return []
    own = every.own_form(person.who, spared[0])
    titles = ", ".join(language.title(one.name) for one in spared)
    when = "while waiting" if len(spared) == len(called) else f"while waiting, {titles}"
    return [f"     {when}: {f'{language.title(own)} instead' if own else 'watches'}"]


def _edge(edge: Edge) -> str:
    return f"{edge.name} {edge.depth_mm:g} mm" if edge.depth_mm else edge.name
