"""The fields of every data file as Markdown: the tables that check them, and the model's words.

What a field means is written once, under the field in `coach.model` or `coach.files.settings`.
"""

import ast
import inspect
import textwrap
from enum import Enum
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic_core import PydanticUndefined

from coach.files import (
    checked_tables,
    extending,
    key_move_files,
    model_sources,
    movements,
    places,
    roster,
    settings,
    voices,
)
from coach.model import key_moves as about
from coach.model import movement, place, routine, voice_profile

#: File -> its tables in order, each with the class whose field texts explain it.
FILES: dict[str, list[tuple[str, type[checked_tables.Table], type]]] = {
    "config.toml": [("", settings.SettingsTable, settings.Settings)],
    "routines/NAME.toml": [
        ("", extending.RoutineTable, routine.Routine),
        ("[[blocks]]", extending.BlockTable, routine.BlockSpec),
        ("items = [{ }]", extending.ItemTable, routine.Item),
    ],
    "routines/movements/NAME.toml": [
        ("", movements.FamilyTable, movement.Movement),
        ("[movements.NAME]", movements.MovementTable, movement.Movement),
        ("hang = { }", movements.HangTable, movement.Hang),
    ],
    "routines/boulders/NAME.toml": [
        ("", key_move_files.KeyMovesTable, about.KeyMoves),
        ("[moves.NAME]", key_move_files.KeyMoveTable, about.KeyMove),
        ("[variations.NAME]", key_move_files.VariationTable, about.Variation),
    ],
    "routines/places/NAME.toml": [
        ("", places.PlaceTable, place.Place),
        ("[[circuits]]", places.CircuitTable, place.Circuit),
        ("[[boards]]", places.BoardTable, place.Board),
        ("edges = [{ }]", places.EdgeTable, place.Edge),
    ],
    "voices/NAME.toml": [("", voices.VoiceTable, voice_profile.VoiceProfile)],
    "voices/models/vosk.toml": [
        ("", model_sources.ModelsTable, model_sources.Model),
        ("[models.LANGUAGE]", model_sources.ModelTable, model_sources.Model),
    ],
    "a roster, anywhere": [
        ("", roster.RosterTable, roster.Roster),
        ("[[people]]", roster.MemberTable, roster.Roster),
        ("[[boards]]", roster.RosterBoardTable, roster.Roster),
        ("edges = [{ }]", places.EdgeTable, place.Edge),
        ("[[walls]]", roster.RosterWallTable, roster.Roster),
    ],
}

#: What no field text says, or says to programmers; `Table.key` -> meaning.
MEANINGS = {
    "ModelsTable.models": "Language -> its model.",
    "RosterTable.people": "Who is in the group.",
    "RosterTable.boards": "Its boards; left out, those of the place.",
    "RosterTable.walls": "Its areas of the wall; left out, one for eight people.",
    "MemberTable.name": "What they are called; left out, their number.",
    "MemberTable.number": "What the leader says for them; left out, the next that is free.",
    "MemberTable.age": "Age band; left out, it counts as under 18.",
    "MemberTable.best": "Best circuit or grade so far; the sheet tells the circuits that fit it.",
    "MemberTable.limits": "What hurts or is not well, such as `left shoulder sore`.",
    "MemberTable.late": "Whether they are expected later.",
    "MemberTable.notes": "For the leader's sheet only; never kept.",
    "RosterBoardTable.name": "What it is called aloud.",
    "RosterBoardTable.places": "How many work there: 2 where one rests while the other hangs.",
    "RosterBoardTable.edges": "Its edges, from the largest to the smallest; on the sheet only.",
    "RosterWallTable.name": "What it is called aloud.",
    "RosterWallTable.places": "How many climb there at once.",
    "SettingsTable.age": "Age band of who climbs; unknown counts as under 18.",
    "SettingsTable.call": "The word that calls the coach outside windows; `off` for none.",
    "SettingsTable.minutes": "Length of the last full session; `coach plan` takes it if told none.",
    "RoutineTable.title": "Language -> what it is called.",
    "RoutineTable.extends": "Name of a routine whose blocks this one takes over.",
    "RoutineTable.without": "Names of blocks of that routine to leave out.",
    "RoutineTable.blocks": "What is done, in order.",
    "BlockTable.after": "Name of the block after which a new one is put in.",
    "BlockTable.kind": "What the block is for: the rules speak of kinds, never of names.",
    "BlockTable.items": "The movements of the block, in order.",
    "BlockTable.gate": "Question asked when the block ends, such as `gate-body`. "
    '`""` takes away the one of the routine that is extended.',
    "ItemTable.movement": "Name of a movement.",
    "ItemTable.amount": "Its dose; left out, the movement's usual one.",
    "ItemTable.sets": "How many times it is done.",
    "FamilyTable.family": "Where in a session these movements belong.",
    "FamilyTable.movements": "The movements, each under its name.",
    "MovementTable.unit": "What a dose is counted in; it decides how the movement is run.",
    "MovementTable.least": "The smallest dose; for goes by feel, the least of them.",
    "MovementTable.most": "The largest dose; for goes by feel, the most of them.",
    "MovementTable.load": "Part -> how much it is meant to work or move, 1 to 3; what it does may "
    "ask for more.",
    "MovementTable.spares": "Parts that it leaves alone; what is neither asked for nor spared "
    "counts as loaded.",
    "MovementTable.sides": "2 where it is done left, then right.",
    "MovementTable.equipment": "What it needs; a place without it has the movement left out.",
    "MovementTable.easier": "Name of its easier neighbour, which must not load any part more.",
    "MovementTable.harder": "Name of its harder neighbour.",
    "MovementTable.hang": "How it hangs; left out where nobody hangs from their hands.",
    "MovementTable.static_stretch": "Whether a stretch is held still: never before hard tries.",
    "HangTable.hold": "What is held, easiest first.",
    "HangTable.grip": "How the fingers take it. There is no full crimp.",
    "HangTable.feet": "Whether the feet carry part of the weight.",
    "KeyMovesTable.moves": "The key moves, each under its name.",
    "KeyMovesTable.variations": "What can be changed after a fall, each under its name.",
    "KeyMovesTable.styles": "Style -> the key moves that are offered as answers for it.",
    "KeyMoveTable.title": "Language -> what the boulder is said to be about.",
    "VariationTable.fits": "Why a try ended: the causes that it answers.",
    "VariationTable.does": "What it does besides being said before the try.",
    "PlaceTable.boards": "The boards there, or one that is carried along.",
    "CircuitTable.name": "The hall's own name for the group.",
    "BoardTable.name": "What the board is called.",
    "BoardTable.large_hold": "Whether it has a hold for the whole hand.",
    "EdgeTable.name": "What the edge is called.",
    "VoiceTable.words_per_minute": "How fast it speaks.",
}


def texts_of(model: type) -> dict[str, str]:
    """Field -> the string that stands under it in the source."""
    body = ast.parse(textwrap.dedent(inspect.getsource(model))).body[0]
    assert isinstance(body, ast.ClassDef)
    texts = {}
    for here, after in zip(body.body, body.body[1:], strict=False):
        if isinstance(here, ast.AnnAssign) and isinstance(here.target, ast.Name):
            text = after.value if isinstance(after, ast.Expr) else None
            if isinstance(text, ast.Constant) and isinstance(text.value, str):
                texts[here.target.id] = " ".join(text.value.split())
    return texts


def reference() -> str:
    """Every file with its tables and their fields, as Markdown."""
    sections = []
    for name, parts in FILES.items():
        sections.append(f"## {name}")
        for title, table, model in parts:
            heading = [f"### {title}"] if title else []
            sections.append("\n\n".join([*heading, _fields(table, model)]))
    return "\n\n".join(sections)


def _fields(table: type[checked_tables.Table], model: type) -> str:
    texts = {**texts_of(model), **texts_of(table)}
    for key, text in MEANINGS.items():
        name, _, field_name = key.partition(".")
        if name == table.__name__:
            texts[field_name] = text
    rows = ["| key | what it takes | if left out | meaning |", "| --- | --- | --- | --- |"]
    for name, field in table.model_fields.items():
        default = field.get_default(call_default_factory=True)
        left_out = "needed" if default is PydanticUndefined else _shown(default)
        kind = _kind(field.annotation)
        rows.append(f"| `{name}` | {kind} | {left_out} | {texts[name]} |")
    return "\n".join(rows)


def _shown(default: object) -> str:
    if default is None or default in ([], {}, ()):
        return "none"
    return f"`{str(default).lower() if isinstance(default, bool) else default}`"


def _kind(annotation: Any) -> str:
    """A type in words."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _kind(inner[0])
    if origin in (Union, UnionType):
        return " or ".join(_kind(one) for one in inner if one is not type(None))
    if origin in (list, tuple, frozenset, set):
        return f"list of {_kind(inner[0])}"
    if origin is dict:
        return f"table of {_kind(inner[1])}"
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        return ", ".join(f"`{one.value}`" for one in annotation)
    if isinstance(annotation, type) and issubclass(annotation, checked_tables.Table):
        return "tables"
    return _NAMES.get(annotation, str(annotation))


_NAMES = {str: "text", int: "whole number", float: "number", bool: "true or false"}
