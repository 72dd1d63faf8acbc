"""The check-in: at most three questions, then a plan said in one sentence."""

from dataclasses import replace

from coach import planning
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel
from coach.model.facts import Felt, SignTold
from coach.model.messages import message
from coach.session import asking as questions
from coach.session.draft import Draft
from coach.session.state import Asking, Phase


def begin(draft: Draft) -> None:
    """Greet, and ask what was not settled beforehand."""
    draft.set(phase=Phase.CHECK_IN, began=draft.now, idle_since=draft.now)
    draft.say(message("welcome"))
    ask_next(draft)


def ask_next(draft: Draft) -> None:
    """The next open question, or the plan."""
    options = draft.s.options
    first = draft.s.people[0]
    if options.minutes is None:
        questions.begin(draft, Asking("minutes", first))
    elif options.hurting is None:
        questions.begin(draft, Asking("hurting", first))
    elif options.same_place is None:
        questions.begin(draft, Asking("place", first))
    else:
        make_plan(draft)


def make_plan(draft: Draft) -> None:
    """Open the day with what was told and put the first plan into force."""
    options, library = draft.s.options, draft.s.library
    assert options.minutes is not None
    assert options.hurting is not None
    day = planning.open_day(options.people, draft.now / 60.0 + options.minutes, library)
    fired = []
    told = [(who, Answer(Meaning.FEEL, part, feel)) for who, part, feel in options.hurting]
    told += [(who, Answer(Meaning.SIGN, part, sign="before")) for who, part in options.signs]
    for who, answer in told:
        change = planning.adapt(day, (), draft.now, who, answer, "hurting", library)
        day = change.day
        fired += change.fired
        if answer.part is not None and answer.feel is not None:
            draft.record(Felt(draft.now, who, answer.part, answer.feel))
            if change.ask:
                draft.ask_later(Asking(change.ask, who, part=answer.part, feel=answer.feel))
        elif answer.part is not None:
            draft.record(SignTold(draft.now, who, "before", answer.part))
    draft.set(day=day, fired=tuple(fired))
    draft.take(planning.make_plan(day, draft.now, library), "check-in")
    draft.go_on = True


def hurting(draft: Draft, who: int, answer: Answer) -> None:
    """Note one part that hurts; the plan is made when all is told."""
    options = draft.s.options
    told = options.hurting or ()
    if answer.part is not None:
        told = (*told, (who, answer.part, answer.feel or Feel.HURTING))
    draft.set(options=replace(options, hurting=told))
    ask_next(draft)


def minutes(draft: Draft, number: int) -> None:
    """Take the minutes; too few for a safe warm-up are told and asked again."""
    least = draft.s.library.routine.least_minutes
    if number < least:
        draft.say(message("too-short", least=least))
        questions.begin(draft, Asking("minutes", draft.s.people[0]))
    else:
        draft.set(options=replace(draft.s.options, minutes=float(number)))
        ask_next(draft)


def place(draft: Draft, same: bool) -> None:
    """Same place and gear as last time, or not: then the edge is not comparable."""
    draft.set(options=replace(draft.s.options, same_place=same))
    ask_next(draft)
