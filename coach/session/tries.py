"""Hard tries: which boulder, how one went, what that tells, and what is offered next.

`coach.planning.tries` judges, `coach.model.tries` holds the table of causes and offers; here it
is put on the record, into words, and into the rest that runs. Nothing here raises: a longer rest,
fewer tries, or another boulder.
"""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.body import CapReason
from coach.model.facts import BoulderNamed, CauseTold, EffortFelt, Tried, WentForIt, Won
from coach.model.messages import message
from coach.model.tries import HEIGHTS, UNNAMED, Boulder, Went
from coach.planning import tries as judged
from coach.session.draft import Draft
from coach.session.state import Asking, Resting

#: How a try may be told to have ended.
_ENDS = ("topped", "ended-start", "ended-middle", "ended-top")
#: Questions about a try: they wait until the breath is back.
QUESTIONS = frozenset({"try-result", "try-cause", "try-effort", "went-for-it"})
#: Seconds that the offer of a longer rest adds to it.
LONGER = 60.0
#: Moves that the window of a try takes by number.
MOVES = 3


def boulder_of(draft: Draft, who: int) -> Boulder:
    """The boulder that a person is on; by its number of the day where nobody named it."""
    return dict(draft.tries.on).get(who, Boulder(f"{UNNAMED} 1"))


def tries_on(draft: Draft, who: int, boulder: str) -> list[Went]:
    """Everything that is known of a person on a boulder."""
    return judged.on_boulder(draft.tries.went, who, boulder)


def begin(draft: Draft) -> None:
    """Take what was named before the session, and what earlier days left."""
    options = draft.s.options
    draft.tries = replace(draft.tries, went=options.went, known=options.known)
    draft.notes = replace(draft.notes, waiting=options.notes, films=options.films)
    for who, boulder in options.boulders:
        name(draft, who, boulder)


def name(draft: Draft, who: int, boulder: Boulder) -> None:
    """A person is on a boulder that has a name from now on; what is known of it still holds."""
    told = {one.name: one for one in draft.tries.known}
    if boulder.name in told:
        style, moves = told[boulder.name].style, told[boulder.name].moves
        boulder = replace(boulder, style=boulder.style or style, moves=boulder.moves or moves)
    draft.tries = replace(draft.tries, known=tuple((told | {boulder.name: boulder}).values()))
    others = tuple(item for item in draft.tries.on if item[0] != who)
    draft.tries = replace(
        draft.tries, on=tuple(sorted((*others, (who, boulder)), key=lambda item: item[0]))
    )
    draft.record(BoulderNamed(draft.now, who, boulder.name, boulder.style, boulder.moves))


def another(draft: Draft, who: int, number: int | None) -> None:
    """Go to another boulder: one that has a number, or one that nobody names."""
    if number is not None:
        name(draft, who, Boulder(f"number {number}"))
    else:
        mine = {went.boulder for went in draft.tries.went if went.who == who and went.today}
        taken = mine | {boulder_of(draft, who).name}
        count = next(n for n in range(1, len(taken) + 2) if f"{UNNAMED} {n}" not in taken)
        others = tuple(item for item in draft.tries.on if item[0] != who)
        here = (who, Boulder(f"{UNNAMED} {count}"))
        draft.tries = replace(
            draft.tries, on=tuple(sorted((*others, here), key=lambda item: item[0]))
        )
    draft.listening = replace(
        draft.listening, did=message("on-boulder", boulder=boulder_of(draft, who).name)
    )


def strange(draft: Draft, who: int) -> Asking | None:
    """The question of what kind the boulder is, where it has a name and nobody tried it before."""
    boulder = dict(draft.tries.on).get(who)
    if boulder is None or boulder.style or not named(boulder):
        return None
    if tries_on(draft, who, boulder.name):
        return None
    return Asking("boulder-style", who, step=boulder.name, times=1)


def named(boulder: Boulder) -> bool:
    """Whether somebody named it."""
    return boulder.name.rpartition(" ")[0] != UNNAMED


def described(draft: Draft, who: int, style: str, moves: int) -> None:
    """What kind the boulder is that a person is on, and how many moves it has."""
    here = boulder_of(draft, who)
    name(draft, who, replace(here, style=style or here.style, moves=moves or here.moves))


def end_answers(draft: Draft, who: int) -> tuple[str, ...]:
    """What a try's end may be told by: down, how far it got, the likely moves by number."""
    boulder = boulder_of(draft, who)
    near = judged.moves_near(boulder, tries_on(draft, who, boulder.name), MOVES)
    return ("down", *_ENDS, *(f"move:{move}" for move in near))


def ended(draft: Draft, who: int, seconds: float, answer: Answer) -> None:
    """A try is over: its result, if it was told at once, else a question for later."""
    counts = dict(draft.tries.counts)
    counts[who] = counts.get(who, 0) + 1
    draft.tries = replace(draft.tries, counts=tuple(sorted(counts.items())), last=who)
    boulder = boulder_of(draft, who)
    told = result_of(draft, who, answer)
    before = tries_on(draft, who, boulder.name)
    if told is None:
        draft.tries = replace(
            draft.tries, untold=(*draft.tries.untold, (who, boulder.name, seconds, counts[who]))
        )
        draft.ask_later(Asking(judged.question_after(before), who, step=boulder.name))
        return
    _keep(draft, Went(who, boulder.name, *told, seconds=seconds), counts[who])
    # who tells the result at once is asked one question more than the others: later, then
    question = judged.question_after(before)
    if question == "try-effort" or (
        question == "try-cause" and judged.stuck(tries_on(draft, who, boulder.name))
    ):
        draft.ask_later(Asking(question, who, step=boulder.name))


def result_of(draft: Draft, who: int, answer: Answer) -> tuple[str, int] | None:
    """The place and the move that an answer tells; None where it tells none."""
    if answer.meaning is Meaning.MOVE and answer.number:
        moves = boulder_of(draft, who).moves
        if answer.number < moves:
            return judged.zone(answer.number, moves), answer.number
        return ("topped", 0) if answer.number == moves else None
    result = answer.meaning.nature.result
    return (result, 0) if result in HEIGHTS else None


def felt_of(answer: Answer) -> str:
    """How hard an answer tells a try to have been beside the one before; '' where it does not."""
    result = answer.meaning.nature.result
    return "" if result in HEIGHTS else result


def above(draft: Draft, who: int, answer: Answer) -> bool:
    """Whether a move was told that the boulder does not have; then it is said."""
    moves = boulder_of(draft, who).moves
    if answer.meaning is not Meaning.MOVE or 1 <= (answer.number or 0) <= moves:
        return False
    draft.show(message("no-such-move", moves=moves))
    return True


def untold_of(draft: Draft, who: int) -> tuple[str, float, int] | None:
    """The oldest try of a person whose result nobody told: boulder, seconds, number."""
    return next((item[1:] for item in draft.tries.untold if item[0] == who), None)


def told(draft: Draft, who: int, answer: Answer) -> bool:
    """The result of the oldest try that waits for one; False where none does."""
    waiting = untold_of(draft, who)
    if waiting is None:
        return False
    boulder, seconds, number = waiting
    draft.tries = replace(
        draft.tries, untold=tuple(one for one in draft.tries.untold if one != (who, *waiting))
    )
    if answer.meaning in (Meaning.CAUSE, Meaning.WENT, Meaning.HELD_BACK) or felt_of(answer):
        result: tuple[str, int] = ("below", 0)
    else:
        result = result_of(draft, who, answer) or ("untold", 0)
    _keep(draft, Went(who, boulder, *result, seconds=seconds), number)
    draft.questions = replace(
        draft.questions,
        pending=tuple(
            one
            for one in draft.questions.pending
            if one.who != who or one.question not in QUESTIONS
        ),
    )
    return True


def untimed(draft: Draft, who: int, boulder: str, answer: Answer) -> None:
    """A result without a try that was timed: it happened, so it is kept."""
    counts = dict(draft.tries.counts)
    counts[who] = counts.get(who, 0) + 1
    draft.tries = replace(draft.tries, counts=tuple(sorted(counts.items())))
    result = result_of(draft, who, answer) or ("untold", 0)
    _keep(draft, Went(who, boulder, *result), counts[who])


def _keep(draft: Draft, went: Went, number: int) -> None:
    """Put a try on the record, and tell as a fact what it brought."""
    before = tries_on(draft, went.who, went.boulder)
    draft.record(
        Tried(
            draft.now,
            went.who,
            went.boulder,
            number,
            went.result,
            max(went.seconds, 0.0),
            went.move,
        )
    )
    draft.tries = replace(draft.tries, went=(*draft.tries.went, went))
    if went.result == "topped":
        draft.tries = replace(draft.tries, tops=draft.tries.tops + 1)
    won = judged.win(before, went)
    if won is not None:
        _won(draft, went.who, went.boulder, *won)
    elif judged.falling([*before, went]) and not judged.falling(before):
        draft.tell(message("falling"))


def _won(draft: Draft, who: int, boulder: str, what: str, moves: int = 0) -> None:
    draft.record(Won(draft.now, who, boulder, what, moves))
    if what != "topped":
        draft.tell(message(f"won-{what}", moves=moves))


def caused(draft: Draft, who: int, boulder: str, cause: str) -> None:
    """Why the last try ended: what is changed for the next one, and kept for other days."""
    before = tries_on(draft, who, boulder)
    offer = judged.offer(cause, before)
    draft.record(CauseTold(draft.now, who, boulder, cause, offer))
    was_falling = judged.falling(before)
    _mark(draft, who, boulder, cause=cause, offer=offer)
    resting = draft.rests.resting
    if offer == "longer-rest" and resting is not None:
        draft.rests = replace(draft.rests, resting=longer(resting, LONGER))
    draft.tell(message(f"offer-{offer}"))
    if judged.falling(tries_on(draft, who, boulder)) and not was_falling:
        draft.tell(message("falling"))


def felt(draft: Draft, who: int, boulder: str, how: str) -> None:
    """How hard the last try was beside the one before: harder lengthens the rest that runs."""
    was_falling = judged.falling(tries_on(draft, who, boulder))
    draft.record(EffortFelt(draft.now, who, boulder, how))
    _mark(draft, who, boulder, felt=how)
    resting = draft.rests.resting
    if how == "harder" and resting is not None:
        draft.rests = replace(draft.rests, resting=longer(resting, LONGER))
        draft.tell(message("offer-longer-rest"))
    if judged.falling(tries_on(draft, who, boulder)) and not was_falling:
        draft.tell(message("falling-harder"))


def went_for_it(draft: Draft, who: int, boulder: str, gone: bool) -> None:
    """Whether she went for it: going is a win whatever came of it, holding back is no fault."""
    draft.record(WentForIt(draft.now, who, boulder, gone))
    _mark(draft, who, boulder, gone=gone)
    if gone:
        _won(draft, who, boulder, "went-for-it")
    else:
        caused(draft, who, boulder, "head")


def move_done(draft: Draft, who: int) -> None:
    """The hard move went, alone."""
    _won(draft, who, boulder_of(draft, who).name, "move-done")


def _mark(draft: Draft, who: int, boulder: str, **told_now: object) -> None:
    """Add to the last try of a person on a boulder what was told of it."""
    last = next(iter(reversed(tries_on(draft, who, boulder))), None)
    draft.tries = replace(
        draft.tries,
        went=tuple(
            replace(one, **told_now) if one is last else one  # type: ignore[arg-type]
            for one in draft.tries.went
        ),
    )


def longer(resting: Resting, seconds: float) -> Resting:
    """The rest with so many seconds more, its words moved to its new half and end."""
    moved = tuple(
        (at + (seconds / 2.0 if what.key == "rest-half" else seconds), what)
        for at, what in resting.marks
    )
    return replace(resting, until=resting.until + seconds, marks=moved)


def refused(draft: Draft, who: int) -> bool:
    """Whether a warning sign forbids this person a hard try; then the caution is said."""
    day = draft.day
    signed = any(number == who for number, _ in day.signs)
    capped = any(cap.who == who and cap.reason is CapReason.SIGN for cap in day.caps)
    if signed or capped:
        draft.tell(message("try-refused"))
    return signed or capped
