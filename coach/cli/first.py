"""What is asked once, by key, before the first session: age band, circuits, the usual edge.

Asked only at a terminal. What is left empty stays unknown, on the careful side, and is asked again.
"""

import sys
from dataclasses import replace

import click

from coach.cli import diagnostics
from coach.errors import UsageError
from coach.files.names import advice
from coach.files.paths import Paths
from coach.files.places import ANY_PLACE, list_places, load_place
from coach.files.settings import load_settings
from coach.model.person import AgeBand
from coach.model.place import Place
from coach.screen.terminal import usable
from coach.setup.choices import Choices
from coach.setup.settling import circuits_of, place_called

_AGES = {
    "1": AgeBand.UNDER_16,
    "2": AgeBand.UNDER_18,
    "3": AgeBand.ADULT,
}

#: What somebody reads before anything is asked of them: one line each, 80 columns at most.
_HELLO = (
    "A few questions first, just this once; then a session that speaks and listens.",
    "Wear a headset, or one earbud with a microphone. Keep the laptop off the mat.",
    'To stop, say "stop now", press s, or press Ctrl-C. If you are hurt, say so.',
    "What you do and how you say you feel is kept in one file here. No sound is.",
)


def ask_once(choices: Choices, paths: Paths) -> Choices:
    """The choices with what a person at the terminal told now; unchanged where all is known."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return choices
    if not paths.settings.exists():
        for line in _HELLO:
            diagnostics.note(line)
        diagnostics.note("")
    known = load_settings(paths.settings)
    if not choices.age and known.age is None:
        choices = replace(choices, age=_age())
    name = place_called(choices.place or known.place, paths.user_dirs)
    places = list_places(paths.user_dirs)
    if choices.circuits is None and (name is None or name not in places):
        choices = _circuits(choices, name, places)
        if choices.circuits is None:
            return replace(choices, place=name or ANY_PLACE)
    if name != known.place or choices.circuits is not None:
        known = replace(known, comfortable=None, edge=None)
    if choices.comfortable is None and known.comfortable is None:
        choices = replace(choices, comfortable=_comfortable(choices, paths, known.place))
    if choices.edge is None and known.edge is None:
        place = _place(choices, paths, known.place)
        edge = _one_of("Which edge do you usually hang from?", _edges(place))
        choices = replace(choices, edge=edge)
    return choices


def _age() -> tuple[str, ...]:
    diagnostics.note("I remember your answers. Press Enter to skip a question.\n")
    while told := _typed("How old are you? 1 under 16, 2 under 18, 3 adult (skipped: as under 18)"):
        if told in _AGES:
            return (_AGES[told].value,)
        diagnostics.note(f"{told!r} is none of them: type 1, 2 or 3, or press Enter to skip.")
    return ()


def _circuits(choices: Choices, name: str | None, places: list[str]) -> Choices:
    """The first question about a place that no file describes: asked until it can be taken."""
    if name is not None:
        diagnostics.note(f"There is no place {name!r} yet. {advice(name, places)}")
        diagnostics.note("If it is new to you: three questions, once. Enter skips them.\n")
    while told := _typed(
        "Which circuits are there, easiest first? Put commas between them, "
        "and grades if you know them (pumice 3 to 4, slate 5 to 6A)"
    ):
        try:
            circuits_of(told)
        except UsageError as error:
            diagnostics.note(f"{told!r}: {error}")
        else:
            return replace(choices, circuits=told)
    return replace(choices, circuits=None)


def _comfortable(choices: Choices, paths: Paths, place_name: str | None) -> str | None:
    if choices.circuits is not None:
        names = [circuit.name for circuit in circuits_of(choices.circuits)]
    else:
        names = [one.name for one in _place(choices, paths, place_name).circuits]
    return _one_of("Which circuit feels comfortable?", names)


def _place(choices: Choices, paths: Paths, remembered: str | None) -> Place:
    name = place_called(choices.place or remembered, paths.user_dirs) or ANY_PLACE
    known = list_places(paths.user_dirs)
    return load_place(name if name in known else ANY_PLACE, paths.user_dirs)


def _edges(place: Place) -> list[str]:
    return [edge.name for board in place.boards for edge in board.edges]


def _one_of(question: str, names: list[str]) -> str | None:
    if not names:
        return None
    figures = {str(n): name for n, name in enumerate(names, 1)}
    offered = ", ".join(f"{n} {name}" for n, name in figures.items())
    while told := _typed(f"{question} {offered}"):
        named = figures.get(told) or (told if told in names else None)
        if named is not None:
            return named
        diagnostics.note(f"There is no {told!r} here. {advice(told, names)}")
    return None


def _typed(question: str) -> str:
    usable()
    return str(click.prompt(question, default="", show_default=False, err=True)).strip()
