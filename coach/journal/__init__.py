"""The journal: one SQLite file that holds every session, written before anything is done.

`store.Journal` is what the rest of the program uses; `follow` reads along while another
process writes; `backup` copies, restores and verifies.
"""

from coach.journal.codec import Recorded
from coach.journal.follow import Follower, follow
from coach.journal.store import Journal, SessionId, SessionRow, Unfinished

__all__ = ["Follower", "Journal", "Recorded", "SessionId", "SessionRow", "Unfinished", "follow"]
