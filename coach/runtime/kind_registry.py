"""Every kind of session that there is, by the name that the journal keeps."""

from typing import Any

from coach.errors import JournalError
from coach.group.kind import GROUP
from coach.model.start import Start
from coach.session.kinds import PAIR, RESTS, SOLO, Kind

KINDS: dict[str, Kind[Any]] = {kind.name: kind for kind in (SOLO, PAIR, RESTS, GROUP)}


def kind_of(start: Start) -> Kind[Any]:
    """The kind of a stored session; JournalError for one that a newer version made."""
    try:
        return KINDS[start.kind]
    except KeyError:
        raise JournalError(
            f"a session is of a kind {start.kind!r}, which this version does not know",
            "Install the version that wrote it, or a newer one.",
        ) from None
