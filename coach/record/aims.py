"""Where aims stand, as plain facts; never what was missed."""

from collections.abc import Sequence
from datetime import date

from coach.model.aim import Aim, AimKind
from coach.model.messages import Message, message
from coach.record.doses import seconds_of
from coach.record.entry import Entry
from coach.record.periods import Span, first_day
from coach.record.words import count


def aim_lines(aims: Sequence[Aim], entries: Sequence[Entry], today: date) -> list[str]:
    """Where each aim stands, a line each."""
    lines = []
    for aim in aims:
        if aim.kind is AimKind.DOSE:
            done = _this_week(aim, entries, today)
            lines.append(f"{aim.what}: {done} of {aim.minutes:g} min this week")
        elif aim.kind is AimKind.FOCUS:
            lines.append(f"favour {aim.what}")
        else:
            by = f" by {date.fromisoformat(aim.by):%d %b %Y}" if aim.by else ""
            lines.append(f"{aim.kind} {aim.what}{by}{_standing(aim, entries)}")
    return lines


def at_check_in(aims: Sequence[Aim], entries: Sequence[Entry], today: date) -> Message | None:
    """The one aim that is told at the check-in; None where there is none to tell.

    The nearest date that is still to come is first, then a dose of the week, then the others. A
    boulder that was topped is no aim any more, and a date that has passed is not told.
    """
    open_ones = [aim for aim in aims if not _topped(aim, entries)]
    if not open_ones:
        return None
    aim = min(open_ones, key=lambda aim: _order(aim, today))
    if aim.kind is AimKind.DOSE:
        done = _this_week(aim, entries, today)
        return message("aim-dose", what=aim.what, minutes=round(aim.minutes), done=done)
    if aim.kind is AimKind.FOCUS:
        return message("aim-focus", what=aim.what)
    days = (date.fromisoformat(aim.by) - today).days if aim.by else 0
    return message("aim-climb", what=aim.what, days=max(days, 0))


def _order(aim: Aim, today: date) -> tuple[int, str, str]:
    dated = bool(aim.by) and aim.by >= today.isoformat()
    return (0 if dated else 1 if aim.kind is AimKind.DOSE else 2, aim.by, aim.uid)


def _this_week(aim: Aim, entries: Sequence[Entry], today: date) -> int:
    """Whole minutes of a dose since Monday."""
    week = first_day(today, Span.WEEK)
    return round(seconds_of([e for e in entries if week <= e.day <= today], aim.what) / 60)


def _topped(aim: Aim, entries: Sequence[Entry]) -> bool:
    return aim.kind is AimKind.BOULDER and any(aim.what in one.digest.tops for one in entries)


def _standing(aim: Aim, entries: Sequence[Entry]) -> str:
    """The best that was reached on an aimed-at boulder."""
    if aim.kind is not AimKind.BOULDER:
        return ""
    tries = sum(entry.digest.tries.get(aim.what, 0) for entry in entries)
    if _topped(aim, entries):
        return ": topped"
    return f": {count(tries, 'try', 'tries')} so far" if tries else ""
