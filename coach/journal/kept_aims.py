"""What the climber is after, kept beside the sessions."""

from datetime import datetime

from coach.journal import codec, statements
from coach.journal.database import explained
from coach.journal.store import Journal
from coach.model.aim import Aim


def all_aims(journal: Journal) -> list[Aim]:
    """Every aim, those with the nearest date first."""
    with explained(journal.path, "reading the journal"):
        kept = [codec.decode_aim(body) for (body,) in journal.rows("SELECT body FROM aim")]
    return sorted(kept, key=lambda aim: (not aim.by, aim.by, aim.uid))


def add_aim(journal: Journal, aim: Aim) -> None:
    """Keep an aim; one of the same uid is replaced."""
    with journal.transaction("keeping an aim"):
        statements.keep_aim(journal, aim.uid, codec.encode_aim(aim))


def drop_aim(journal: Journal, uid: str, wall: datetime) -> None:
    """Forget an aim, also where it comes back from another journal; harmless if it is not there."""
    with journal.transaction("dropping an aim"):
        statements.keep(journal, statements.DROPPED, wall, uid, name=f"dropped {uid}")
