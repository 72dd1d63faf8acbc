"""What is said of the year at the start of a session: at most one thing, and mostly nothing.

Owns the order: what became of a trial that is just over, an aim's review when it is due, else in
the first session of a week where the nearest aim stands. Each is said once.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coach.model.aim import Aim
from coach.model.messages import Message
from coach.record.aim_progress import at_check_in, open_aims
from coach.record.entry import Entry
from coach.record.route import Route, review_due
from coach.record.trial import Trial, just_over


@dataclass(frozen=True, slots=True)
class AtStart:
    """Either the sentences of a trial or a review, or one of an aim, or nothing."""

    review: tuple[Message, ...] = ()
    aim: Message | None = None


def at_start(
    aims: Sequence[Aim],
    trials: Sequence[Trial],
    entries: Sequence[Entry],
    today: date,
    way: Callable[[Aim], Route],
) -> AtStart:
    """What is said; `way` is asked for a route only where it is reviewed."""
    # a session in which nothing was done is none in which anything was told
    entries = [entry for entry in entries if entry.digest.seconds > 0]
    over = just_over(trials, entries)
    if over is not None:
        return AtStart((over.told,))
    due = [aim for aim in open_aims(aims, entries, today) if review_due(aim, entries, today)]
    if due:
        return AtStart(way(due[0]).review)
    monday = today - timedelta(days=today.weekday())
    if any(monday <= entry.day <= today for entry in entries):
        return AtStart()
    return AtStart(aim=at_check_in(aims, entries, today))
