"""A page to print of a session with several people: what each did, left out, and why.

Plain HTML without a script, a style of a few lines, and nothing from elsewhere.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from html import escape

from coach.model.facts import Fact, Omitted, Presence, StepEnded
from coach.model.person import Person

_STYLE = (
    "body{font:11pt/1.4 serif;margin:2cm}table{border-collapse:collapse;width:100%}"
    "td,th{border-bottom:1px solid #999;padding:.2em .6em .2em 0;text-align:left;"
    "vertical-align:top}h2{margin:1.4em 0 .3em;break-after:avoid}"
)
#: Outcomes of which something was done.
DONE = ("done", "cut", "untold")


@dataclass(frozen=True, slots=True)
class Row:
    """One movement of one person."""

    movement: str
    done: str
    left_out: str
    why: str


def called(person: Person, pseudonyms: bool) -> str:
    """What a person is called on the page: by name and number, or by a pseudonym."""
    if pseudonyms:
        return f"Climber {person.who}"
    return f"{person.who} {person.name}".strip()


def rows_of(facts: Iterable[Fact], who: int, title: Callable[[str], str]) -> list[Row]:
    """What one person did and left out, movement by movement."""
    mine = [fact for fact in facts if fact.who == who]
    done: dict[str, float] = {}
    left: dict[str, int] = {}
    for fact in mine:
        if isinstance(fact, StepEnded) and fact.movement:
            if fact.outcome in DONE and fact.seconds > 0:
                done[fact.movement] = done.get(fact.movement, 0.0) + fact.seconds
            if fact.outcome in ("cut", "skipped", "left-out"):
                left[fact.movement] = left.get(fact.movement, 0) + 1
    why = {fact.movement: fact for fact in mine if isinstance(fact, Omitted)}
    rows = [
        Row(title(name), _minutes(done.get(name, 0.0)), "part of it" if name in left else "", "")
        for name in dict.fromkeys((*done, *left))
    ]
    for name, fact in why.items():
        if fact.why != "offered":
            instead = f"{title(fact.instead)} instead" if fact.instead else "all of it"
            rows.append(Row(title(name), "", instead, fact.why.replace("-", " ")))
    return rows


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.1f} min" if seconds else ""


def page(
    title: str,
    begun: datetime,
    people: Sequence[Person],
    facts: Sequence[Fact],
    movement: Callable[[str], str],
    pseudonyms: bool = False,
) -> str:
    """The whole page as HTML."""
    parts = [
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{escape(title)}, {begun:%d %B %Y, %H:%M}</h1>",
        "<p>For the leader. It tells reasons: keep it where others do not read it.</p>",
    ]
    for person in people:
        parts.append(f"<h2>{escape(called(person, pseudonyms))}</h2>")
        came = [
            f"{fact.status} after {fact.at / 60:.0f} min"
            for fact in facts
            if isinstance(fact, Presence) and fact.who == person.who
        ]
        if came:
            parts.append(f"<p>{escape(', '.join(came))}</p>")
        parts.append("<table><tr><th>movement</th><th>done</th><th>left out</th><th>why</th></tr>")
        parts += [
            f"<tr><td>{escape(row.movement)}</td><td>{escape(row.done)}</td>"
            f"<td>{escape(row.left_out)}</td><td>{escape(row.why)}</td></tr>"
            for row in rows_of(facts, person.who, movement)
        ]
        parts.append("</table>")
    return "\n".join((*parts, "</body></html>")) + "\n"
