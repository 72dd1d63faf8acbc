"""What the days before tell of today: a break, or a hard session yesterday.

Both are our choice: no source gives a number of days after which a session is a first one back.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coach.record.entry import Entry

#: Days without a session after which the next one is a first day back.
BREAK = 14
#: Session effort from which on a session was hard, also without hard tries: 'very hard' in the
#: words of Foster's scale (Foster C et al. 2001, J Strength Cond Res 15(1):109-115); that it counts
#: as hard from there is our choice.
HARD = 7


@dataclass(frozen=True, slots=True)
class Lately:
    """What the record tells a check-in."""

    away: bool = False
    """A break has passed whose reason nobody told."""
    hard: bool = False
    """The last session was hard, yesterday or earlier today."""


def lately(entries: Sequence[Entry], today: date) -> Lately:
    """What a person's sessions tell of today, the earliest first.

    A session in which nothing was done tells nothing.
    """
    done = [entry for entry in entries if entry.digest.seconds > 0 and entry.day <= today]
    if not done:
        return Lately()
    since = (today - done[-1].day).days
    lately = [entry.digest for entry in done if (today - entry.day).days <= 1]
    hard = any(one.hard_tries or (one.effort or 0) >= HARD for one in lately)
    return Lately(away=since >= BREAK, hard=hard)
