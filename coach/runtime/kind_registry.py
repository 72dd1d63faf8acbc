"""Every kind of session that there is, by the name that the journal keeps."""

from typing import Any

from coach.errors import JournalError
from coach.model.start import Start
from coach.session.kinds import PAIR, RESTS, SOLO, Kind

_OF_FEW: dict[str, Kind[Any]] = {kind.name: kind for kind in (SOLO, PAIR, RESTS)}
_LED = "group"

NAMES = (*_OF_FEW, _LED)


def kind_named(name: str) -> Kind[Any]:
    """The kind of that name; KeyError for one that there isn't."""
    if name == _LED:
        from coach.group.kind import GROUP  # one person's first sentence doesn't wait for it

        return GROUP
    return _OF_FEW[name]


def kind_of(start: Start) -> Kind[Any]:
    """The kind of a stored session; JournalError for one that a newer version made."""
    try:
        return kind_named(start.kind)
    except KeyError:
        raise JournalError(
            f"a session is of a kind {start.kind!r}, which this version does not know",
            "Install the version that wrote it, or a newer one.",
        ) from None
