"""Where aims stand, as plain facts; never what was missed."""

from collections.abc import Sequence
from datetime import date

from coach.model.aim import Aim, AimKind
from coach.model.messages import Message, message
from coach.record.amounts import count, in_words
from coach.record.dose_hours import seconds_of
from coach.record.entry import Entry
from coach.record.periods import PeriodLength, first_day
from coach.record.route import tops_of


def aim_lines(aims: Sequence[Aim], entries: Sequence[Entry], today: date) -> list[str]:
    """Where each aim stands, a line each."""
    lines = []
    for aim in aims:
        if aim.kind is AimKind.DOSE and aim.times:
            done = _times_this_week(aim, entries, today)
            lines.append(f"{aim.what}: {done} of {count(aim.times, 'time')} this week")
        elif aim.kind is AimKind.DOSE:
            done = _this_week(aim, entries, today)
            lines.append(f"{aim.what}: {done} of {aim.minutes:g} min this week")
        elif aim.kind is AimKind.FOCUS:
            lines.append(f"favour {in_words(aim.what)}")
        else:
            by = f" by {date.fromisoformat(aim.by):%d %b %Y}" if aim.by else ""
            lines.append(f"{aim.kind} {aim.what}{by}{_standing(aim, entries)}")
    return lines


def at_check_in(aims: Sequence[Aim], entries: Sequence[Entry], today: date) -> Message | None:
    """The one aim that is told at the check-in; None where there is none to tell.

    The nearest date that is still to come is first, then a dose of the week, then the others. A
    boulder that was topped is no aim any more, and a date that has passed is not told.
    """
    open_ones = open_aims(aims, entries, today)
    if not open_ones:
        return None
    aim = open_ones[0]
    if aim.kind is AimKind.DOSE and aim.times:
        done = _times_this_week(aim, entries, today)
        return message("aim-dose-times", what=aim.what, times=aim.times, done=done)
    if aim.kind is AimKind.DOSE:
        done = _this_week(aim, entries, today)
        return message("aim-dose", what=aim.what, minutes=round(aim.minutes), done=done)
    if aim.kind is AimKind.FOCUS:
        return message("aim-focus", what=aim.what)
    days = (date.fromisoformat(aim.by) - today).days if aim.by else 0
    return message("aim-climb", what=aim.what, days=max(days, 0))


def open_aims(aims: Sequence[Aim], entries: Sequence[Entry], today: date) -> list[Aim]:
    """The aims that are not reached, in the order in which they are told."""
    return sorted(
        (aim for aim in aims if not _reached(aim, entries)), key=lambda aim: _order(aim, today)
    )


def _order(aim: Aim, today: date) -> tuple[int, str, str]:
    dated = bool(aim.by) and aim.by >= today.isoformat()
    return (0 if dated else 1 if aim.kind is AimKind.DOSE else 2, aim.by, aim.uid)


def _this_week(aim: Aim, entries: Sequence[Entry], today: date) -> int:
    """Whole minutes of a dose since Monday."""
    week = first_day(today, PeriodLength.WEEK)
    return round(seconds_of([e for e in entries if week <= e.day <= today], aim.what) / 60)


def _times_this_week(aim: Aim, entries: Sequence[Entry], today: date) -> int:
    """Sessions with a dose since Monday."""
    week = first_day(today, PeriodLength.WEEK)
    return sum(aim.what in e.digest.doses for e in entries if week <= e.day <= today)


def _reached(aim: Aim, entries: Sequence[Entry]) -> bool:
    if aim.kind is AimKind.BOULDER:
        return any(aim.what in one.digest.tops for one in entries)
    return aim.kind is AimKind.GRADE and len(tops_of(aim, entries)) >= aim.count


def _standing(aim: Aim, entries: Sequence[Entry]) -> str:
    """The best that was reached on an aimed-at boulder or circuit."""
    if aim.kind is AimKind.GRADE:
        tops = len(tops_of(aim, entries))
        return f": {tops} of {aim.count} topped" if tops or aim.count > 1 else ""
    tries = sum(entry.digest.tries.get(aim.what, 0) for entry in entries)
    if _reached(aim, entries):
        return ": topped"
    return f": {count(tries, 'try', 'tries')} so far" if tries else ""
