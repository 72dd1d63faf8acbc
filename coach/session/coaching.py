"""What a coach does beside a hard boulder: one change, its drill again, the words before a go.

`coach.planning.variations` and `coach.planning.drills` decide; here it is put into words, into the
plan, and on the record. Nothing here raises: a change is a try that is planned anyway.
"""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.facts import Varied
from coach.model.key_moves import VariationEffect
from coach.model.messages import Message, message
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind
from coach.model.tries import Boulder, Went
from coach.planning import drills, fitting, variations
from coach.session import current_boulder, drilling, own_rests
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.state import Session

#: Seconds that a longer rest adds.
LONGER = 60.0


def next_variation(s: Session, who: int, boulder: str) -> str:
    """The change that the next try of a person gets; '' for none."""
    return variations.next_of(_bearable(s, who, boulder), current_boulder.tries_on(s, who, boulder))


def _bearable(s: Session, who: int, boulder: str) -> tuple[str, ...]:
    """What a person agreed on, without what their body may not be asked for any more."""
    agreed, day, table = s.tries.agreed_on(who, boulder), s.day, s.library.key_moves
    if day is None:
        return agreed
    return tuple(name for name in agreed if variations.bearable(table, name, day, who))


def judged(draft: Draft, before: list[Went], went: Went, number: int) -> None:
    """What the change gave that a try was made with: on the record, and as a fact in words."""
    if not went.variation:
        return
    gave = variations.gave(before, went)
    draft.record(Varied(draft.now, went.who, went.boulder, number, went.variation, gave))
    if gave == variations.BETTER and variations.worked(before) != went.variation:
        draft.tell(message("vary-helped", variation=went.variation, who=draft.to(went.who)))
        return
    following = next_variation(draft.s, went.who, went.boulder)
    if following not in ("", went.variation) and fitting.tries(draft.course.steps, went.who):
        draft.tell(message("vary-next", variation=following, who=draft.to(went.who)))


def gave_last(s: Session, who: int, boulder: str) -> str:
    """What the change of the last try gave, as far as it is known; '' where none was made."""
    log = current_boulder.tries_on(s, who, boulder)
    return variations.gave(log[:-1], log[-1]) if log and log[-1].variation else ""


def judged_again(draft: Draft, who: int, boulder: str, gave: str) -> None:
    """More was told of the last try: what its change gave may be other than it looked."""
    now = gave_last(draft.s, who, boulder)
    if not now or now == gave:
        return
    last = current_boulder.tries_on(draft.s, who, boulder)[-1]
    number = dict(draft.tries.counts)[who]
    draft.record(Varied(draft.now, who, boulder, number, last.variation, now))
    if now == variations.BETTER:
        draft.tell(message("vary-helped", variation=last.variation, who=draft.to(who)))


def consider(draft: Draft, who: int, boulder: str) -> bool:
    """After what was told of a try: a change to offer, the drill to do again; whether it offered.

    Nothing new is offered as long as an agreed change waits for its try.
    """
    log = current_boulder.tries_on(draft.s, who, boulder)
    here = current_boulder.boulder_of(draft.s, who)
    left = fitting.tries(draft.course.steps, who)
    if here.name != boulder or not log or not log[-1].today or not left:
        return False
    drilling.consider(draft, who, here, log)
    if next_variation(draft.s, who, boulder) or not variations.due(log):
        return False
    view = draft.s.options.view_first and not log[-1].cause
    if view and _first_time(draft, f"view-{who}-{boulder}-{len(log)}"):
        draft.ask_later(Asking("own-view", who, step=boulder))
        return True
    return _offer(draft, who, here, log)


def _first_time(draft: Draft, mark: str) -> bool:
    """Whether this was neither asked nor offered today; from now on it was."""
    new = mark not in draft.questions.asked
    draft.questions = replace(draft.questions, asked=draft.questions.asked | {mark})
    return new


def last_over(draft: Draft, who: int) -> None:
    """After somebody's last hard try: one that she likes, where nothing is to be spared.

    It is only said where there is room for it: at the end, or before easy boulders.
    """
    steps = draft.course.steps
    left = any(one.kind is StepKind.TRY and one.turn == who for one in steps)
    well = draft.s.how != "hurt" and not variations.held_back(draft.day, who)
    coming = next((one for one in steps if one.kind is not StepKind.REST), None)
    room = coming is None or (coming.kind is StepKind.CLIMB and coming.block is BlockKind.EASY)
    if not left and well and room:
        draft.tell(message("last-over", who=draft.to(who)))


def _offer(draft: Draft, who: int, here: Boulder, log: list[Went]) -> bool:
    table = draft.s.library.key_moves
    filmed = any(mine == who and name == here.name for mine, name, *_ in draft.notes.filmed)
    found = variations.options(table, here, log, draft.day, who, filmed=filmed)
    # what is worn gets its longer rest at once
    rested = variations.cause_of(log) in drilling.WORN
    left = (
        (VariationEffect.ANOTHER_BOULDER, VariationEffect.REST)
        if rested
        else (VariationEffect.ANOTHER_BOULDER,)
    )
    names = [one for one in found if table.variations[one].does not in left]
    if not names:
        if new := bool(found) and _first_time(draft, f"other-{who}-{here.name}"):
            draft.tell(message("offer-other-boulder", who=draft.to(who)))
        return new
    agree(draft, who, here.name, tuple(names))
    move = log[-1].move
    to = draft.to(who)
    if len(names) > 1 and move:
        offer = message("vary-offer-move", move=move, first=names[0], second=names[1], who=to)
    elif len(names) > 1:
        offer = message("vary-offer", first=names[0], second=names[1], who=to)
    else:
        offer = message("vary-offer-one", first=names[0], who=to)
    draft.tell(offer)
    return True


def agree(draft: Draft, who: int, boulder: str, names: tuple[str, ...]) -> None:
    """These changes get a try on a boulder, in this order."""
    others = tuple(one for one in draft.tries.agreed if one[:2] != (who, boulder))
    draft.tries = replace(draft.tries, agreed=(*others, (who, boulder, names)))
    _make_true(draft, who, names[0])


def _make_true(draft: Draft, who: int, first: str) -> None:
    """A longer rest that was agreed on begins at once."""
    one = draft.s.library.key_moves.variations[first]
    if one.does is VariationEffect.REST and draft.rests.resting is not None:
        own_rests.longer(draft, who, LONGER)


def offered(s: Session) -> tuple[str, ...]:
    """What the rest takes about the changes that were offered: the other one first."""
    who = s.tries.last
    agreed = _bearable(s, who, current_boulder.boulder_of(s, who).name) if who else ()
    tried = {went.variation for went in s.tries.went if went.today and went.who == who}
    waiting = [name for name in agreed if name not in tried]
    if len(waiting) < OFFERED_AT_ONCE:
        return ()
    return (f"variation:{waiting[1]}", f"variation:{waiting[0]}", "variation:2")


def likely_causes(s: Session) -> tuple[str, ...]:
    """The two likeliest causes, as answers in the rest after a second fall at one place.

    Where one is known, or a change waits for its try, there are none to tell.
    """
    last = s.tries.went[-1] if s.tries.went else None
    if last is None or not last.today or last.cause or not variations.fell(last):
        return ()
    log = current_boulder.tries_on(s, last.who, last.boulder)
    waits = s.tries.untold or next_variation(s, last.who, last.boulder)
    if waits or variations.falls_there(log) < variations.KNOWN:
        return ()
    table = s.library.key_moves
    move = table.moves.get(current_boulder.boulder_of(s, last.who).about)
    fits = table.variations[move.variations[0]].fits if move is not None else USUAL_CAUSES
    return tuple(f"cause:{cause}" for cause in fits[:2])


#: The commonest causes where nobody told what the boulder is about (our choice).
USUAL_CAUSES = ("grip", "foot")
#: How many changes are offered at once.
OFFERED_AT_ONCE = 2


def choose(draft: Draft, who: int, answer: Answer) -> bool:
    """The change that comes first, by name or place; False where none was offered, or it failed."""
    boulder = current_boulder.boulder_of(draft.s, who).name
    agreed = draft.tries.agreed_on(who, boulder)
    if answer.number is not None and not 1 <= answer.number <= len(agreed):
        return False
    first = answer.variation or (agreed[answer.number - 1] if answer.number else "")
    failed = variations.failed_today(current_boulder.tries_on(draft.s, who, boulder))
    if first in failed or first not in _bearable(draft.s, who, boulder):
        return False
    agree(draft, who, boulder, (first, *(name for name in agreed if name != first)))
    draft.tell(message("vary-first", variation=first, who=draft.to(who)))
    return True


def before_the_go(s: Session, who: int) -> list[Message]:
    """The one thing that is said before a try: the agreed change, else what matters on it first."""
    here = current_boulder.boulder_of(s, who)
    variation = next_variation(s, who, here.name)
    if variation:
        return [message(f"vary-{variation}")]
    if current_boulder.tried_today(s, who, here.name):
        return []
    if here.about in s.library.key_moves.moves:
        return [message(f"prepare-{here.about}")]
    return [message(f"remind-{here.style}")] if here.style else []


def last_time(s: Session, step: Step) -> list[Message]:
    """Before the first try of a day on a boulder that is known: where it ended, what helped."""
    who = step.turn or s.people[0]
    here = current_boulder.boulder_of(s, who)
    log = current_boulder.tries_on(s, who, here.name)
    drilled = any(drills.is_drill(one) and one.turn == who for one in s.course.past)
    if not log or any(went.today for went in log) or (step.kind is StepKind.TRY and drilled):
        return []
    last = next((went for went in reversed(log) if went.move or went.result != "untold"), None)
    if last is None:
        return []
    key = "last-time-topped" if last.result == "topped" else "last-time"
    if last.move:
        key = "last-time-move-of" if here.moves else "last-time-move"
    because = f"ended-by-{last.cause}" if last.cause else ""
    words = [
        message(
            key, move=last.move, moves=here.moves, result=f"height-{last.result}", because=because
        )
    ]
    helped = variations.worked(log)
    return [*words, message("last-helped", variation=helped)] if helped else words


def show_plan(draft: Draft, who: int) -> None:
    """Her own plan stands on the screen from before the go."""
    plan = current_boulder.boulder_of(draft.s, who).plan
    if plan:
        draft.show(message("her-plan", plan=plan, who=draft.to(who)))


def remember(draft: Draft, who: int) -> None:
    """What helped on another day gets the first try of this one."""
    here = current_boulder.boulder_of(draft.s, who)
    log = current_boulder.tries_on(draft.s, who, here.name)
    helped = variations.worked(log)
    fresh = not any(went.today for went in log)
    if helped and fresh and not draft.tries.agreed_on(who, here.name):
        agree(draft, who, here.name, (helped,))


def in_mind(s: Session, step: Step) -> list[Message]:
    """How a step of the warm-up bends to the key move of somebody alone, said once."""
    here = current_boulder.boulder_of(s, s.people[0])
    move = s.library.key_moves.moves.get(here.about)
    first = not any(one.block is step.block for one in s.course.past)
    if move is None or len(s.people) > 1:
        return []
    if step.block is BlockKind.MIDDLE and step.kind is StepKind.CLIMB and first:
        return [message(f"middle-{move.name}")]
    favoured = any(form.movement in move.board for form in step.forms)
    done = any(form.movement in move.board for one in s.course.past for form in one.forms)
    if step.block is BlockKind.BOARD and favoured and not done:
        return [message("in-mind", about=move.name)]
    return []


def topped(draft: Draft, who: int, boulder: str) -> None:
    """A top: what comes next is asked, where a try is left and she wants to be asked."""
    left = any(s.kind is StepKind.TRY and s.turn == who for s in draft.course.steps)
    if left and draft.s.options.ask_tries:
        draft.ask_later(Asking("after-top", who, step=boulder))


def after_top(draft: Draft, who: int, answer: Answer) -> None:
    """Another hard one, or the same again with one change; 'enough' is for planning."""
    here = current_boulder.boulder_of(draft.s, who)
    if answer.meaning is Meaning.OTHER_BOULDER:
        draft.ask_later(Asking("which-boulder", who, about=answer))
    elif answer.meaning is Meaning.SAME and not next_variation(draft.s, who, here.name):
        table, log = draft.s.library.key_moves, current_boulder.tries_on(draft.s, who, here.name)
        found = variations.options(table, here, log, draft.day, who, filmed=True)
        left = [one for one in found if table.variations[one].does is VariationEffect.NOTHING]
        if left:
            agree(draft, who, here.name, (left[0],))
            draft.tell(message("vary-offer-one", first=left[0], who=draft.to(who)))
