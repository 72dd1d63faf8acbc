"""The check-in: at most three questions, then a plan said in one sentence."""

from dataclasses import replace

from coach import planning
from coach.errors import UsageError
from coach.model.answers import Answer, Meaning, parse
from coach.model.facts import AgeTold, ClimbedTold, ComfortableTold, Fact, Felt, SignTold
from coach.model.messages import message
from coach.model.person import CLIMBED, AgeBand
from coach.model.questions import MOST, QUESTIONS
from coach.model.signs import AfterSign, advice, known, meant
from coach.planning import break_limits
from coach.planning.day_tags import LONG_WARM_UP
from coach.session import asked_questions, comeback, current_boulder, endings, injury, lessons
from coach.session.change_facts import of_change
from coach.session.dialogue import Asking
from coach.session.draft import Draft
from coach.session.state import Phase

#: What is said of a part before there is a plan: a caution, or how an unknown word was taken.
CAUTIONS = frozenset(
    {
        "warning-sign",
        "young-fingers",
        "young-limb",
        "age-unknown-pain",
        "unknown-sign",
        "unknown-sign-somewhere",
    }
)


def begin(draft: Draft) -> None:
    """Greet, and ask what was not settled beforehand."""
    draft.enter(Phase.CHECK_IN)
    draft.began = draft.now
    draft.course = replace(draft.course, idle_since=draft.now)
    current_boulder.begin(draft)
    draft.say(message("welcome"))
    options, several = draft.s.options, len(draft.s.people) > 1
    for who, told in (*options.stands, *options.again):
        draft.say(message(told.key, **{**dict(told.values), "who": who if several else 0}))
    for _, review in options.review:
        draft.say(review)
    if draft.s.options.aim is not None:
        draft.say(draft.s.options.aim)
    ask_next(draft)


def ask_next(draft: Draft) -> None:
    """The next open question, or the plan."""
    options = draft.s.options
    first = draft.s.people[0]
    if draft.s.how == "hurt" and draft.questions.pending:
        draft.go_on = True
        return
    before = _before_the_day(draft)
    if before is not None:
        asked_questions.begin(draft, before)
        return
    if draft.s.day is None and not _open_day(draft, options.minutes or 0.0):
        return
    if options.hurting is None:
        asked_questions.begin(draft, hurting(draft))
    elif options.away:
        asked_questions.begin(draft, Asking("break", options.away[0]))
    elif options.same_place is None:
        asked_questions.begin(draft, Asking("place", first))
    elif draft.questions.pending:
        draft.go_on = True
    elif not _film_asked(draft) and not lessons.offered(draft):
        _make_plan(draft)


def _before_the_day(draft: Draft) -> Asking | None:
    """What is asked before the day is opened: who climbs, for how long; None where all is known.

    Where only the rests are looked after, age and level change nothing.
    """
    options, only_tries = draft.s.options, draft.s.library.routine.only_tries
    if options.ageless and not only_tries:
        return Asking("age", options.ageless[0])
    if options.minutes is None:
        return _minutes(draft)
    if draft.s.day is None and options.level_asked and not only_tries:
        return _level(draft, options.level_asked)
    return None


def _film_asked(draft: Draft) -> bool:
    """Ask what a film of an earlier day showed, where there is one that was not asked about."""
    if not draft.notes.films:
        return False
    (who, boulder), *others = draft.notes.films
    draft.notes = replace(draft.notes, films=tuple(others))
    asked_questions.begin(draft, Asking("seen-film", who, step=boulder))
    return True


def aged(draft: Draft, who: int, band: str | None) -> None:
    """Take somebody's age band; untold the careful rules hold, and that is said."""
    options = draft.s.options
    people = options.people
    if band is not None:
        age = AgeBand(band)
        draft.record(AgeTold(draft.now, who, age))
        people = tuple(replace(one, age=age) if one.who == who else one for one in people)
    else:
        draft.say(message("age-untold", who=who if len(people) > 1 else 0))
    left = tuple(one for one in options.ageless if one != who)
    draft.options = replace(options, people=people, ageless=left)
    draft.go_on = True


def _level(draft: Draft, question: str) -> Asking:
    """The one question of today about a level: of the circuits the easiest are shown."""
    circuits = [f"{Meaning.CIRCUIT.value}:{one.name}" for one in draft.s.library.place.circuits]
    offered = (*circuits[: MOST - 1], "no") if question == "comfortable" else ()
    # once is enough for what may be left open
    times = asked_questions.TIMES - 1
    return Asking(question, draft.s.people[0], offered=offered, times=times)


def level_told(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Months of climbing, or the comfortable circuit: untold changes nothing, told counts today."""
    options, who, told = draft.s.options, asking.who, answer.meaning
    people = options.people
    if asking.question == "climbed":
        months = CLIMBED[answer.reason or ""] if told is Meaning.CLIMBED else None
        people = tuple(replace(one, months=months) if one.who == who else one for one in people)
        fact: Fact = ClimbedTold(draft.now, who, months)
    else:
        circuit = (answer.circuit or "") if told is Meaning.CIRCUIT else ""
        people = tuple(
            replace(one, comfortable=circuit) if one.who == who else one for one in people
        )
        fact = ComfortableTold(draft.now, who, circuit)
    if not draft.questions.quiet:
        draft.record(fact)
    draft.options = replace(options, people=people, level_asked="")
    draft.go_on = True


def _open_day(draft: Draft, minutes: float) -> bool:
    """The day, with what was told before the first word; False where it can't be."""
    s = draft.s
    try:
        day = planning.open_day(s.options.people, minutes, s.library, told=s.options.told)
    except UsageError:
        _too_late(draft)
        return False
    began = draft.s.began
    draft.day = replace(day, begins_at=began, ends_at=began + day.ends_at)
    for who, part in s.options.signs:
        draft.record(SignTold(draft.now, who, "before", part))
        _tell(draft, who, Answer(Meaning.SIGN, part, sign="before"))
    for who, part, feel in s.options.hurting or ():
        _tell(draft, who, Answer(Meaning.FEEL, part, feel))
    for who, key in s.options.complaints:
        _complained(draft, who, parse(key))
    known = {(who, one.key) for who, one in s.options.stands}
    for who, tag in s.options.told:
        if (who, comeback.how(tag)) in known:
            continue
        if tag in break_limits.CLINICAL:
            comeback.returns(draft, who, tag)
    return True


def injured(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Which part was injured: it counts as signed from now on; untold, it could be any."""
    draft.record(SignTold(draft.now, asking.who, "before", answer.part))
    if answer.part is not None:
        _tell(draft, asking.who, replace(comeback.BEFORE, part=answer.part))
        draft.ask_later(Asking("cleared-by", asking.who, part=answer.part))
    draft.go_on = True


def _complained(draft: Draft, who: int, answer: Answer) -> None:
    """A sign or a pain that was told before the first word."""
    if answer.meaning is Meaning.HURT:
        _stands(draft, who, answer)
        return
    if answer.meaning is Meaning.TISSUE:
        # told with the part before it, so that it need not be asked
        asked = [one for one in draft.questions.pending if one.question == "tissue"]
        for one in asked[-1:]:
            pending = tuple(other for other in draft.questions.pending if other is not one)
            draft.questions = replace(draft.questions, pending=pending)
    _tell(draft, who, answer)
    if answer.meaning is not Meaning.SIGN:
        return
    sign = meant(answer.sign, answer.part)
    own = answer.part or known(answer.sign).part
    if own is None and sign.after is AfterSign.PART:
        injury.unplaced(draft, who)
    else:
        draft.record(SignTold(draft.now, who, answer.sign or "yes", own))
    if sign.after is not AfterSign.PART:
        draft.how = "hurt"
        draft.say(message(advice(sign)))
        about = Answer(Meaning.SIGN, sign=sign.name)
        draft.ask_later(Asking("fall-over", who, step="hurt", about=about))


def _stands(draft: Draft, who: int, answer: Answer) -> None:
    """What hurt on an earlier day and stands: it is spared, and nobody felt it anew."""
    change = planning.adapt(draft.day, (), draft.now, who, answer, "hurting", draft.s.library)
    for fact in of_change(draft.now, draft.day, draft.course.steps, change, answer.key, ""):
        if not isinstance(fact, Felt):
            draft.record(fact)
    draft.day = change.day
    draft.course = replace(draft.course, fired=(*draft.course.fired, *change.fired))


def _too_late(draft: Draft) -> None:
    """What is left of the time is too short for a safe warm-up: say so and end."""
    draft.say(message("too-late", least=draft.s.library.routine.least_minutes))
    draft.how = "ended"
    endings.close(draft, None)


def _tell(draft: Draft, who: int, answer: Answer, question: str = "hurting") -> None:
    """Let planning know; there is no plan yet that could change, so only cautions are said."""
    change = planning.adapt(draft.day, (), draft.now, who, answer, question, draft.s.library)
    fresh = [sign for one, sign in change.day.signs if (one, sign) not in draft.day.signs]
    draft.take(change, answer.key, quiet=True)
    if answer.meaning is Meaning.PART:
        # a sign was told before its part
        for sign in fresh:
            injury.placed(draft, who)
            draft.record(SignTold(draft.now, who, sign, answer.part))
    if (
        change.say is not None
        and change.say.key in CAUTIONS
        and answer.sign != comeback.BEFORE.sign
    ):
        draft.say(change.say)
    # what met silence is not asked once more by what the silence means
    if change.ask in ("tissue", "sign", "which-part") and change.ask != question:
        draft.ask_later(Asking(change.ask, who, part=change.part or answer.part))


def hurting(draft: Draft, times: str = "anybody") -> Asking:
    """The question what feels off: of several people it asks all at once."""
    people = draft.s.people
    return Asking("hurting", 0, step=times) if len(people) > 1 else Asking("hurting", people[0])


def answered(draft: Draft, asking: Asking, answer: Answer) -> None:
    """An answer of the check-in about the body; of several people it is asked whose it is."""
    if asking.who or answer.meaning is not Meaning.FEEL:
        # silence means something only to the question that met it: an untold 'where' spares all
        silent = answer.meaning is Meaning.SILENCE
        question = asking.question if silent else "hurting"
        told(draft, asking.who or draft.s.people[0], answer, question)
        return
    people = tuple(f"person:{who}" for who in draft.s.people)
    draft.ask_later(Asking("who", 0, step=asking.step, about=answer, offered=people))
    draft.go_on = True


def of_person(draft: Draft, who: int, answer: Answer, times: str) -> None:
    """It is known whose answer it was; whether there is more is asked once."""
    told(draft, who, answer)
    if times == "anybody":
        draft.ask_later(hurting(draft, "else"))


def told(draft: Draft, who: int, answer: Answer, question: str = "hurting") -> None:
    """An answer of the check-in about the body."""
    draft.options = replace(draft.s.options, hurting=draft.s.options.hurting or ())
    if answer.meaning is not Meaning.NO:
        _tell(draft, who, answer, question)
    draft.go_on = True


def told_early(draft: Draft, who: int, answer: Answer) -> None:
    """Of the body, before it was asked: kept for the day that opens with the minutes."""
    if draft.s.day is not None:
        told(draft, who, answer)
    elif answer.part is not None and answer.feel is not None:
        before = draft.s.options.hurting or ()
        hurting_now = (*before, (who or draft.s.people[0], answer.part, answer.feel))
        draft.options = replace(draft.s.options, hurting=hurting_now)
        draft.show(message("noted"))
    else:
        draft.options = replace(draft.s.options, hurting=None)
        draft.show(message("noted"))


def longer_warm_up(draft: Draft, who: int) -> None:
    """Kept for the plan, whether the day has been opened or not."""
    mine = (who or draft.s.people[0], LONG_WARM_UP)
    if mine not in draft.s.options.told:
        draft.options = replace(draft.s.options, told=(*draft.s.options.told, mine))
    if draft.s.day is not None and mine not in draft.day.told:
        draft.day = replace(draft.day, told=(*draft.day.told, mine))
    draft.tell(message("long-warm-up"))


def _make_plan(draft: Draft) -> None:
    try:
        change = planning.make_plan(draft.day, draft.now, draft.s.library, dict(draft.tries.on))
    except UsageError:
        _too_late(draft)
        return
    draft.course = replace(draft.course, planned=True)
    draft.take(change, "check-in", quiet=draft.s.library.routine.only_tries)
    if draft.tries.on != draft.s.options.boulders and len(draft.s.people) == 1:
        draft.say(current_boulder.in_words(draft.s, draft.s.people[0]))
    draft.go_on = True


def _minutes(draft: Draft) -> Asking:
    """The question of the minutes: what is offered is enough to warm up in."""
    least = draft.s.library.routine.least_minutes
    keys = QUESTIONS["minutes"].answers
    enough = tuple(key for key in keys if (parse(key).number or 0) >= least)
    return Asking("minutes", draft.s.people[0], offered=enough if len(enough) > 1 else ())


def minutes(draft: Draft, number: int | None) -> None:
    """Take the minutes, untold the usual ones; too few are told and asked once more."""
    routine = draft.s.library.routine
    least = routine.least_minutes
    number = number if number is not None else max(routine.minutes, least)
    if number < least and "too-short" in draft.questions.asked:
        _too_late(draft)
    elif number < least:
        draft.questions = replace(draft.questions, asked=draft.questions.asked | {"too-short"})
        draft.say(message("too-short", least=least))
        asked_questions.begin(draft, replace(_minutes(draft), times=asked_questions.TIMES - 1))
    else:
        draft.options = replace(draft.s.options, minutes=float(number))
        ask_next(draft)


def place(draft: Draft, same: bool) -> None:
    """Same place and gear as last time, or not: then the edge is not comparable."""
    draft.options = replace(draft.s.options, same_place=same)
    ask_next(draft)
