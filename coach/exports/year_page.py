"""The year as text of 80 columns and as one HTML page that needs nothing else and prints well."""

import textwrap
from collections.abc import Iterator, Sequence
from html import escape
from itertools import groupby

from coach.record.amounts import count
from coach.record.year import WeekLine, Year

WIDTH = 80
#: Columns of the longest bar.
BAR = 24
#: Weeks in a row without a session that are shown one by one; more of them are one line.
EMPTY = 3

_STYLE = (
    "body{font:11pt/1.4 serif;max-width:46em;margin:2em auto;padding:0 1em;color:#111;"
    "background:#fff}table{border-collapse:collapse;width:100%;font-size:9pt}"
    "td,th{padding:.1em .6em .1em 0;text-align:right;border-bottom:1px solid #ccc;"
    "vertical-align:middle}td.l,th.l{text-align:left}"
    "td.b{width:45%;text-align:left}"
    ".bar{height:.8em;background:#555;print-color-adjust:exact;-webkit-print-color-adjust:exact}"
    "h2{font-size:1.1em;margin:1.2em 0 .2em;break-after:avoid}ul{margin:0;padding-left:1.2em}"
    "tr,li{break-inside:avoid}@page{margin:15mm}"
)


def lines(year: Year, label: str = "") -> Iterator[str]:
    """The page in a terminal, no line wider than WIDTH."""
    if label:
        yield label
        yield ""
    yield year.title
    yield from textwrap.wrap(year.summary, WIDTH)
    if year.weeks:
        yield ""
        yield f"{'week of':8}{'sess.':>6}{'min':>6}{'tries':>6}"
    most = max((week.minutes for week in year.weeks), default=0)
    for together in _grouped(year.weeks):
        week = together[0]
        if len(together) > 1:
            yield f"{week.monday:%d %b} {_without(together)}"
            continue
        bar = "#" * (round(BAR * week.minutes / most) if most else 0)
        told = _told(week)
        row = f"{week.monday:%d %b}  {week.sessions or '':>6}{week.minutes or '':>6}"
        row += f"{week.tries or '':>6}  {bar:{BAR}} {told}"
        yield row.rstrip()[:WIDTH]
    for section in year.sections:
        yield ""
        yield section.title
        for one in section.lines:
            yield from textwrap.wrap(one, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _grouped(weeks: Sequence[WeekLine]) -> Iterator[Sequence[WeekLine]]:
    """Each week for itself, but long runs without anything together."""
    for nothing, run in groupby(weeks, lambda week: not week.sessions and not _told(week)):
        some = list(run)
        yield from [some] if nothing and len(some) > EMPTY else ([one] for one in some)


def _without(weeks: Sequence[WeekLine]) -> str:
    return f"to {weeks[-1].monday:%d %b}: {count(len(weeks), 'week')} without a session"


def _told(week: WeekLine) -> str:
    sore = f"sore: {', '.join(week.sore)}" if week.sore else ""
    return "; ".join(part for part in (week.note, sore) if part)


def page(year: Year, label: str = "") -> str:
    """The page as HTML, without a script and with nothing from elsewhere."""
    most = max((week.minutes for week in year.weeks), default=0) or 1
    rows = [_row(together, most) for together in _grouped(year.weeks)]
    head = (
        '<tr><th class="l">week of</th><th>sessions</th><th>min</th><th>hard tries</th>'
        '<th class="l"></th><th class="l"></th></tr>'
    )
    parts = [
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width">',
        f"<title>{escape(year.title)}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{escape(year.title)}</h1>",
        f"<p><i>{escape(label)}</i></p>" if label else "",
        f"<p>{escape(year.summary)}</p>",
        *_listed(year),
        "<h2>Weeks as they were</h2>" if rows else "",
        f"<table>{head}{''.join(rows)}</table>" if rows else "",
    ]
    return "\n".join(part for part in (*parts, "</body></html>") if part) + "\n"


def _row(together: Sequence[WeekLine], most: int) -> str:
    week = together[0]
    first = f'<tr><td class="l">{week.monday:%d %b}</td>'
    if len(together) > 1:
        return f'{first}<td class="l" colspan="5">{_without(together)}</td></tr>'
    return (
        f"{first}<td>{week.sessions or ''}</td>"
        f"<td>{week.minutes or ''}</td><td>{week.tries or ''}</td>"
        f'<td class="b"><div class="bar" style="width:{100 * week.minutes / most:.0f}%"></div></td>'
        f'<td class="l">{escape(_told(week))}</td></tr>'
    )


def _listed(year: Year) -> Iterator[str]:
    for section in year.sections:
        items = "".join(f"<li>{escape(one)}</li>" for one in section.lines)
        yield f"<h2>{escape(section.title)}</h2><ul>{items}</ul>"
