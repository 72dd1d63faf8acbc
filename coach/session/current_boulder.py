"""Which hard boulder each person is on, and what is known of it."""

from collections.abc import Callable, Iterable
from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.facts import BoulderNamed
from coach.model.messages import Message, message
from coach.model.tries import MOST_MOVES, UNNAMED, Boulder, Went
from coach.planning import consequences, drills
from coach.planning import try_trend as judged
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.state import Session

#: Key moves that are shown at once; the others are a word, or a key, away.
AT_ONCE = 6


def boulder_of(s: Session, who: int) -> Boulder:
    """The boulder that a person is on; by its number of the day where nobody named it."""
    return dict(s.tries.on).get(who, Boulder(f"{UNNAMED} 1"))


def tries_on(s: Session, who: int, boulder: str) -> list[Went]:
    """Everything that is known of a person on a boulder."""
    return judged.on_boulder(s.tries.went, who, boulder)


def above(draft: Draft, who: int, answer: Answer) -> bool:
    """Whether a move was told that the boulder does not have; then it is said."""
    moves = boulder_of(draft.s, who).moves
    most = moves or MOST_MOVES
    if answer.meaning is not Meaning.MOVE or 1 <= (answer.number or 0) <= most:
        return False
    draft.show(message("no-such-move", moves=moves))
    return True


def tried_today(s: Session, who: int, boulder: str = "") -> bool:
    """Whether a person has tried today, on one boulder or any, its result told or not."""
    tries = [(one.who, one.boulder) for one in s.tries.went if one.today]
    tries += [(one[0], one[1]) for one in s.tries.untold]
    return any(one == who and boulder in ("", name) for one, name in tries)


def begin(draft: Draft) -> None:
    """Take what was named before the session, and what earlier days left."""
    options = draft.s.options
    draft.tries = replace(draft.tries, went=options.went, known=options.known)
    draft.rests = replace(draft.rests, own=options.rests)
    draft.notes = replace(draft.notes, waiting=options.notes, films=options.films)
    for who, boulder in options.boulders:
        name(draft, who, boulder)


def name(draft: Draft, who: int, boulder: Boulder) -> None:
    """A person is on a boulder that has a name from now on; what is known of it still holds."""
    told = {one.name: one for one in draft.tries.known}
    boulder = _joined(boulder, told.get(boulder.name))
    draft.tries = replace(draft.tries, known=tuple((told | {boulder.name: boulder}).values()))
    _stand_at(draft, who, boulder)
    draft.record(
        BoulderNamed(
            draft.now,
            who,
            boulder.name,
            boulder.style,
            boulder.moves,
            boulder.about,
            boulder.key_at,
            boulder.hand,
        )
    )


def _joined(boulder: Boulder, known: Boulder | None) -> Boulder:
    """What is told now, and what was known before of the rest."""
    if known is None:
        return boulder
    return Boulder(
        boulder.name,
        boulder.style or known.style,
        boulder.moves or known.moves,
        boulder.about or known.about,
        boulder.key_at or known.key_at,
        boulder.hand or known.hand,
        boulder.plan or known.plan,
    )


def _stand_at(draft: Draft, who: int, boulder: Boulder) -> None:
    """On this one from now on: what was to be drilled for another move goes."""
    others = tuple(item for item in draft.tries.on if item[0] != who)
    on = tuple(sorted((*others, (who, boulder)), key=lambda item: item[0]))
    draft.tries = replace(draft.tries, on=on)
    if draft.course.planned:
        steps = drills.fitting(draft.course.steps, draft.s.library, who, boulder)
        draft.course = replace(draft.course, steps=steps)


def another(draft: Draft, who: int, number: int | None, circuit: str | None = None) -> None:
    """Go to another boulder: one that has a number, is on a circuit, or that nobody names."""
    if circuit is not None:
        name(draft, who, Boulder(_on_circuit(draft.s, circuit)))
    elif number is not None:
        name(draft, who, Boulder(f"number {number}"))
    else:
        mine = {went.boulder for went in draft.tries.went if went.who == who and went.today}
        taken = mine | {boulder_of(draft.s, who).name}
        count = next(n for n in range(1, len(taken) + 2) if f"{UNNAMED} {n}" not in taken)
        _stand_at(draft, who, Boulder(f"{UNNAMED} {count}"))
    draft.show(message("on-boulder", boulder=boulder_of(draft.s, who).name))


def strange(draft: Draft, who: int) -> Asking | None:
    """The question of what kind the boulder is, where it has a name and nobody tried it before."""
    boulder = dict(draft.tries.on).get(who)
    if boulder is None or boulder.style or boulder.about or not named(boulder):
        return None
    if tries_on(draft.s, who, boulder.name):
        return None
    return Asking("boulder-style", who, step=boulder.name, times=1)


def about(draft: Draft, asking: Asking) -> Asking | None:
    """After its style the key move, and after the move the hand: two questions at most, then None.

    Where nobody wanted to be asked, an untold style is the end of it.
    """
    here, asked_for = boulder_of(draft.s, asking.who), asking.about is not None
    if asking.question == "boulder-move":
        return None if here.hand else replace(asking, question="boulder-hand", closes=None, times=0)
    if asking.question != "boulder-style" or here.about or not (here.style or asked_for):
        return None
    return _about(draft.s, asking)


def _about(s: Session, asking: Asking, *, others: bool = False) -> Asking:
    """The question of the key move: by its style the likely ones come first."""
    table = s.library.key_moves
    likely = table.styles.get(boulder_of(s, asking.who).style, ())
    moves = tuple(dict.fromkeys((*likely, *table.moves)))
    keys = tuple(f"key-move:{name}" for name in moves)
    offered = (*keys[AT_ONCE:], "no") if others else (*keys[:AT_ONCE], "others", "no")
    return replace(
        asking,
        question="boulder-about",
        offered=offered,
        closes=None,
        times=0 if asking.about else 1,
    )


def others(draft: Draft, asking: Asking) -> Asking:
    """The question of the key move once more, with those that were not shown."""
    return _about(draft.s, replace(asking, about=Answer(Meaning.DESCRIBE)), others=True)


def describing(draft: Draft, asking: Asking) -> Asking:
    """What she wants to be asked of her boulder: style and key move, then where, and which hand."""
    here = boulder_of(draft.s, asking.who)
    told = Asking("boulder-style", asking.who, step=here.name, about=Answer(Meaning.DESCRIBE))
    if here.about and not here.key_at:
        return replace(told, question="boulder-move")
    if here.about and not here.hand:
        return replace(told, question="boulder-hand")
    return _about(draft.s, told) if here.about or here.style else told


def at_go_ahead(s: Session) -> tuple[str, ...]:
    """What else is shown at the go-ahead: to be asked what the boulder is about."""
    asked = s.library.key_moves.moves and not s.questions.quiet
    return (Meaning.DESCRIBE.value,) if asked else ()


def named(boulder: Boulder) -> bool:
    """Whether somebody named it."""
    return boulder.name.rpartition(" ")[0] != UNNAMED


#: What an answer tells of a boulder: the field, and its value.
_FIELDS: dict[Meaning, Callable[[Answer], tuple[str, str | int | None]]] = {
    Meaning.KEY_MOVE: lambda answer: ("about", answer.key_move),
    Meaning.STYLE: lambda answer: ("style", answer.style),
    Meaning.HAND: lambda answer: ("hand", answer.hand),
    Meaning.MOVE: lambda answer: ("key_at", answer.number),
    Meaning.CIRCUIT: lambda answer: ("name", answer.circuit),
}


def told(draft: Draft, who: int, answers: Iterable[Answer]) -> None:
    """What a person tells of the boulder that they are on; its drill comes into the plan.

    On a circuit it is the one that is known there, where there is just one.
    """
    before = boulder_of(draft.s, who)
    here = before
    for answer in answers:
        if answer.meaning in _FIELDS:
            field, value = _FIELDS[answer.meaning](answer)
            here = replace(here, **{field: value}) if value else here  # type: ignore[arg-type]
    if here.name != before.name:
        here = replace(here, name=_on_circuit(draft.s, here.name))
    if here == before:
        return
    if named(here):
        name(draft, who, here)
    else:
        _stand_at(draft, who, here)
    if here.about and draft.course.planned:
        _drill(draft, who)


def _on_circuit(s: Session, circuit: str) -> str:
    """Name of a boulder on a circuit that nobody told the number of."""
    there = [one.name for one in s.tries.known if one.name.rpartition(" ")[0] == circuit]
    return there[0] if len(there) == 1 else circuit


def _drill(draft: Draft, who: int) -> None:
    """The drill of a boulder that is new today comes before the first try."""
    if tried_today(draft.s, who):
        return
    on, library = dict(draft.tries.on), draft.s.library
    laid = drills.before_first_tries(draft.course.steps, draft.day, library, on)
    laid = drills.once_more(laid, draft.day, library, on)
    steps = consequences.under_caps(laid, draft.day, draft.s.library)
    draft.course = replace(draft.course, steps=steps)


def in_words(s: Session, who: int) -> Message:
    """What is known of the boulder that a person is on, in a sentence or two."""
    here = boulder_of(s, who)
    key = "about" if here.about else "about-untold"
    key += "-on" if named(here) else ""
    hand = f"hand-{here.hand}" if here.hand else ""
    return message(key, about=here.about, move=here.key_at, hand=hand, boulder=here.name)
