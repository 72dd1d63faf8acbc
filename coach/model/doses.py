"""The small doses that become hours: mobility, hangs, a focus; and which of them a movement is."""

from coach.model.movement import Family, Movement
from coach.model.routine import BlockKind

MOBILITY = "mobility"
HANGS = "hangs"
FOCUS = "focus"
#: In the order in which they are shown.
DOSES = (MOBILITY, HANGS, FOCUS)

_MOBILITY = (Family.MAT, Family.HANDS, Family.SHOULDERS, Family.COOL_DOWN)
_BY_BLOCK: dict[str, str] = {BlockKind.MAT: MOBILITY, BlockKind.BOARD: HANGS}


def dose_of(movement: Movement | None, block: str) -> str:
    """Which of DOSES a movement adds to; '' for none. None is one of no catalogue: by its block."""
    if movement is None:
        return _BY_BLOCK.get(block, "")
    if movement.family is Family.FOCUS:
        return FOCUS
    if movement.hang is not None:
        return HANGS
    return MOBILITY if movement.family in _MOBILITY else ""
