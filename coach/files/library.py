"""Everything that a session needs from files, read and checked before anything starts."""

from collections.abc import Sequence
from pathlib import Path

from coach.files.key_move_files import load_key_moves
from coach.files.movements import load_movements
from coach.files.places import ANY_PLACE, load_place
from coach.files.routines import load_routine
from coach.model.day import Library


def load_library(
    routine_name: str, place_name: str | None = None, user_dirs: Sequence[Path] = ()
) -> Library:
    """Movements, key moves, a routine and a place; None is a hall that nobody has described."""
    movements = load_movements(user_dirs)
    return Library(
        movements=movements,
        routine=load_routine(routine_name, movements, user_dirs),
        place=load_place(place_name or ANY_PLACE, user_dirs),
        key_moves=load_key_moves(movements, user_dirs),
    )
