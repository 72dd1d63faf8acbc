"""The table of key moves: `routines/boulders/*.toml`, checked so that no key move has a gap.

A user's file adds variations, or replaces entries of ours one by one, by name.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Annotated

from pydantic import Field

from coach.files.checked_tables import ByValue, Name, Table, Texts, validate
from coach.files.document import Document, read
from coach.files.find import FileKind, folders
from coach.files.names import advice
from coach.files.positions import Key
from coach.model.body import Part
from coach.model.key_moves import (
    CAUSES,
    KEY_MOVES,
    STYLES,
    TIERS,
    UNTOLD,
    KeyMove,
    KeyMoves,
    Variation,
    VariationEffect,
)

#: Words that are said before a try at most: then it is quiet.
MOST_WORDS = 7
_Names = Annotated[list[Name], Field(min_length=1)]


class VariationTable(Table):
    """One table `[variations.NAME]`; see `coach.model.key_moves.Variation`."""

    title: Texts
    cue: Texts
    fits: _Names
    asks: list[Annotated[Part, ByValue]] = Field(default_factory=list)
    does: Annotated[VariationEffect, ByValue] = VariationEffect.NOTHING


class KeyMoveTable(Table):
    """One table `[moves.NAME]`; see `coach.model.key_moves.KeyMove`."""

    title: Texts
    middle: Texts
    prepare: Texts
    drills: dict[Name, _Names]
    focus: _Names
    board: _Names
    variations: Annotated[list[Name], Field(min_length=2)]


class KeyMovesTable(Table):
    """A file of `routines/boulders`."""

    moves: dict[Name, KeyMoveTable] = Field(default_factory=dict)
    variations: dict[Name, VariationTable] = Field(default_factory=dict)
    causes: dict[Name, _Names] = Field(default_factory=dict)
    styles: dict[Name, Annotated[list[Name], Field(min_length=1, max_length=7)]] = Field(
        default_factory=dict
    )


def load_key_moves(movements: Collection[str] | None, user_dirs: Sequence[Path] = ()) -> KeyMoves:
    """The table of ours and of the user; FileError for the first mistake.

    Names of movements are looked up in `movements`; None looks at none.
    """
    return key_moves_of(key_moves_files(user_dirs), movements)


def key_moves_files(user_dirs: Sequence[Path] = ()) -> list[Path]:
    """The files of the table, ours first: a later one wins, entry by entry."""
    found = folders(FileKind.KEY_MOVES, user_dirs)
    return [path for folder in found for path in sorted(folder.glob("*.toml"))]


def key_moves_of(paths: Sequence[Path], movements: Collection[str] | None) -> KeyMoves:
    """The table of some files; the later of two wins by name."""
    moves: dict[str, KeyMove] = {}
    variations: dict[str, Variation] = {}
    causes: dict[str, tuple[str, ...]] = {}
    styles: dict[str, tuple[str, ...]] = {}
    documents = [read(path) for path in paths]
    tables = [(document, validate(document, KeyMovesTable)) for document in documents]
    for document, table in tables:
        for name, one in table.variations.items():
            variations[name] = _variation(document, name, one)
    for document, table in tables:
        for name, one_move in table.moves.items():
            moves[name] = _key_move(document, name, one_move, movements, variations)
        for cause, names in table.causes.items():
            _check(document, ("causes",), [cause], (*CAUSES, UNTOLD), keys=True)
            _check(document, ("causes", cause), names, variations)
            causes[cause] = tuple(names)
        for style, names in table.styles.items():
            _check(document, ("styles",), [style], STYLES, keys=True)
            _check(document, ("styles", style), names, KEY_MOVES)
            styles[style] = tuple(names)
    return KeyMoves(moves, variations, causes, styles)


def _variation(document: Document, name: str, table: VariationTable) -> Variation:
    key = ("variations", name)
    _check(document, (*key, "fits"), table.fits, CAUSES)
    for language, cue in table.cue.items():
        if len(cue.split()) > MOST_WORDS:
            what = f"has more than {MOST_WORDS} words"
            raise document.error((*key, "cue", language), what, "Say it in fewer.")
    return Variation(name, table.title, table.cue, tuple(table.fits), tuple(table.asks), table.does)


def _key_move(
    document: Document,
    name: str,
    table: KeyMoveTable,
    movements: Collection[str] | None,
    variations: Mapping[str, Variation],
) -> KeyMove:
    key = ("moves", name)
    _check(document, ("moves",), [name], KEY_MOVES, keys=True)
    _check(document, (*key, "drills"), list(table.drills), TIERS, keys=True)
    if movements is not None:
        for tier, drills in table.drills.items():
            _check(document, (*key, "drills", tier), drills, movements)
        _check(document, (*key, "focus"), table.focus, movements)
        _check(document, (*key, "board"), table.board, movements)
    _check(document, (*key, "variations"), table.variations, variations)
    return KeyMove(
        name=name,
        title=table.title,
        middle=table.middle,
        prepare=table.prepare,
        drills={tier: tuple(drills) for tier, drills in table.drills.items()},
        focus=tuple(table.focus),
        board=tuple(table.board),
        variations=tuple(table.variations),
    )


def _check(
    document: Document,
    key: Key,
    names: Sequence[str],
    valid: Collection[str],
    *,
    keys: bool = False,
) -> None:
    """FileError for the first name that is not valid; `keys` where the names are keys there."""
    for place, name in enumerate(names):
        if name not in valid:
            where = (*key, name if keys else place)
            raise document.error(where, f"there is no {name!r}", advice(name, valid))


def sentences(table: KeyMoves, code: str) -> Iterator[tuple[str, str]]:
    """What the table has to say in a language: key of the sentence, and the sentence."""
    for move in table.moves.values():
        yield f"middle-{move.name}", _in(move.middle, code)
        yield f"prepare-{move.name}", _in(move.prepare, code)
    for one in table.variations.values():
        yield f"vary-{one.name}", _in(one.cue, code)


def words(table: KeyMoves, code: str) -> Iterator[tuple[str, str]]:
    """What the table calls its things in a language: name, and words."""
    for name, move in table.moves.items():
        yield name, _in(move.title, code)
    for name, one in table.variations.items():
        yield name, _in(one.title, code)


def _in(texts: Mapping[str, str], code: str) -> str:
    return texts.get(code) or next(iter(texts.values()))
