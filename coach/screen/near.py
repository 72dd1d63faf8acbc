"""What is read from a metre: title, cue, form, what was heard and did, answers and their keys."""

from dataclasses import dataclass

from coach.model.answers import ANYTIME
from coach.screen import link_codes, naming
from coach.screen.face import Face, left_label
from coach.screen.keys import (
    KEYS,
    Hint,
    counts_here,
    expected,
    figures_of,
    letter_of,
    press_of,
)
from coach.screen.naming import none_of
from coach.screen.rows import (
    EMPTY,
    Look,
    Row,
    Rows,
    Span,
    cells,
    cut,
    cut_row,
    flow,
    row,
    row_cells,
)
from coach.screen.rows import wrap as wrapped
from coach.screen.weighing import LETTER
from coach.session.view import View, Word


@dataclass(frozen=True, slots=True)
class NearItem:
    """One thing to read, with the rows that it would take."""

    lines: tuple[Row, ...]
    most: int
    """Rows beyond which it is cut."""
    weight: int
    """The smaller, the sooner it gets its rows."""
    apart: bool = False
    """Whether a free row before it helps."""
    low: bool = False
    """Whether it and what follows stand at the bottom, so that they keep their place."""


def step_parts(view: View, now: float, columns: int, face: Face) -> list[NearItem]:
    """What to do: title, cue, form."""
    title, cue = face.say(view.step), face.say(view.cue)
    cue = cue.removeprefix(f"{title}.").lstrip() or cue  # what the title says stands there once
    return [
        NearItem((_title(view, now, columns, face),), 1, 0),
        NearItem(_paragraph(cue, columns, Look.PLAIN, face), 2, 1),
        NearItem(_paragraph(face.say(view.form), columns, Look.FAINT, face), 3, 5),
    ]


def answer_parts(
    view: View, columns: int, face: Face, hint: Hint | None, *, phones: bool = False
) -> list[NearItem]:
    """What was heard, what can be said or pressed; with `phones` the letter of their codes too."""
    return [
        NearItem(_heard(view, columns, face, hint), 3, 3, apart=True, low=True),
        NearItem(tuple(flow(answer_rows(view, face), columns)), 3, 2, apart=True),
        NearItem(tuple(flow(key_rows(view, face, phones=phones), columns)), 4, 4, apart=True),
    ]


def _title(view: View, now: float, columns: int, face: Face) -> Row:
    facts = [
        face.label("show-recording") if view.recording else "",
        face.label("show-turn", who=view.turn) if view.turn else "",
        face.label("show-next", who=view.next) if view.next else "",
        face.label(f"ear-{view.ear.value}"),
        left_label(view, now, face),
    ]
    right = f" {face.shapes.dot} ".join(fact for fact in facts if fact)
    title = cut(face.say(view.step), columns, face.shapes.ellipsis)
    space = columns - cells(title) - cells(right)
    if space < 2:
        return row(title, Look.STRONG)
    return (Span(title, Look.STRONG), Span(" " * space + right))


def _paragraph(text: str, columns: int, look: Look, face: Face) -> tuple[Row, ...]:
    lines = (cut(line, columns, face.shapes.ellipsis) for line in wrapped(text, columns))
    return tuple(row(line, look) for line in lines)


def _heard(view: View, columns: int, face: Face, hint: Hint | None) -> tuple[Row, ...]:
    """What was heard and what it did; a key's own remark takes its place while it stays."""
    if hint is not None:
        values = (
            {"answer": face.answer(hint.about), "press": press_of(hint.about, view)}
            if hint.about
            else {"typed": hint.typed}
        )
        text = face.label(hint.label, **values)
        return _paragraph(text, columns, Look.MARK, face)
    heard = f'"{face.say(view.heard)}"' if view.heard is not None else ""
    shown = view.did is not None and view.did != view.cue
    did = f"{face.shapes.arrow} {face.say(view.did)}" if shown else ""
    return _paragraph(" ".join(part for part in (heard, did) if part), columns, Look.PLAIN, face)


def answer_rows(view: View, face: Face) -> list[Row]:
    """Each answer of the window with its key, the one that any key gives first."""
    keys = {answer: letter_of(answer) for answer in _offered(view)}
    keys |= {answer: str(figure) for figure, answer in figures_of(view).items()}
    if none := none_of(view):
        keys[none] = face.label("show-enter")
    if first := expected(view):
        keys[first] = face.label("show-any-key")
    return [
        (Span(f"[{keys[answer]}]", Look.MARK), Span(f" {face.answer(answer)}"))
        for answer in _offered(view)
        if keys[answer]
    ]


def _offered(view: View) -> list[str]:
    """The answers of the window; those for any time stand with the letters."""
    return [key for key in view.answers if key not in ANYTIME or not letter_of(key)]


def key_rows(view: View, face: Face, *, phones: bool = False) -> list[Row]:
    """Each letter that means something now, but for those of the window's answers."""
    resumes = view.word is Word.PAUSED
    items: list[Row] = []
    if phones:
        items.append((Span(link_codes.LETTER), Span(f" {face.label('key-codes')}", Look.FAINT)))
    if view.weighs:
        items.append((Span(LETTER), Span(f" {face.label('key-scale')}", Look.FAINT)))
    if view.led:
        items.append((Span(naming.LETTER), Span(f" {face.label('key-person')}", Look.FAINT)))
    for name, key in KEYS.items():
        if len(name) == 1:
            answer = key.also if key.also and (resumes or key.also in view.answers) else key.answer
            idle = answer in view.idle and answer not in view.answers
            if answer not in _offered(view) and not idle and counts_here(answer, view):
                items.append((Span(name), Span(f" {face.answer(answer)}", Look.FAINT)))
    return items


def stack(parts: list[NearItem], columns: int, rows: int, face: Face) -> Rows:
    """Parts one below the other in exactly so many rows.

    First every part gets one row, by weight; then each its wish, by weight; then free rows go
    between, what is left of them before the first low part. A part that was cut says so.
    """
    given = [0] * len(parts)
    left = rows
    order = sorted(range(len(parts)), key=lambda index: parts[index].weight)
    for wish in (1, None):
        for index in order:
            want = min(len(parts[index].lines), parts[index].most)
            more = min((want if wish is None else min(want, wish)) - given[index], left)
            given[index] += more
            left -= more
    lines: list[Row] = []
    foot: int | None = None
    for part, count in zip(parts, given, strict=True):
        if part.apart and count and lines and left:
            lines.append(EMPTY)
            left -= 1
        foot = len(lines) if part.low and foot is None else foot
        shown = list(part.lines[:count])
        if shown and count < len(part.lines):
            shown[-1] = _more(shown[-1], columns, face)
        lines += shown
    foot = len(lines) if foot is None else foot
    return (*lines[:foot], *[EMPTY] * left, *lines[foot:])


def _more(line: Row, columns: int, face: Face) -> Row:
    """A row that says that something was left out after it."""
    ellipsis = face.shapes.ellipsis
    room = columns - cells(ellipsis)
    kept = line if row_cells(line) <= room else cut_row(line, room, "")
    return (*kept, Span(ellipsis, line[-1].look))
