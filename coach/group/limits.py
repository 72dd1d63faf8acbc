"""Limits: what is told of somebody goes through the same rules as for one person alone.

A question that nobody answers closes to the careful side: a part that is not named may be any, what
is sore and not told counts as a joint.
"""

from collections.abc import Iterable
from dataclasses import replace

from coach.group.callout import Callout, Callouts, edged
from coach.model.answers import Answer, Meaning, parse
from coach.model.body import Cap, CapReason, Feel, Part, ceiling
from coach.model.day import Change, Day, Library
from coach.model.facts import Omitted
from coach.model.movement import Movement
from coach.model.person import AgeBand, Person
from coach.model.questions import QUESTIONS
from coach.model.start import Options
from coach.planning import adapt, age_limits, break_limits, gates, open_day
from coach.planning.allowance import GENTLE

#: Questions of the rules that a leader is asked; others are about one person's own session.
ASKED = ("which-part", "tissue", "sign")


def day_of(options: Options, library: Library) -> Day:
    """The day of everybody: ages, gates, signs that stand, and what the roster says hurts.

    Nobody is asked about it, so that each question that follows has its careful answer.
    """
    routine = library.routine
    minutes = max(options.minutes or routine.minutes, routine.least_minutes)
    day = open_day(options.people, float(minutes), library, told=options.told)
    for who, part in options.signs:
        day = told(day, who, Answer(Meaning.SIGN, part, sign="before"), library, "hurting").day
    for who, part, feel in options.hurting or ():
        change = told(day, who, Answer(Meaning.FEEL, part=part, feel=feel), library, "hurting")
        day = careful(change, who, library)
    for n, (who, key) in enumerate(options.complaints):
        change = told(day, who, parse(key), library, "hurting")
        # which kind of sore it is may be told right after it
        after = [parse(key).meaning for _, key in options.complaints[n + 1 : n + 2]]
        day = change.day if after == [Meaning.TISSUE] else careful(change, who, library)
    for who, tag in options.told:
        if tag.startswith(break_limits.WELL):
            what = tag.removeprefix(break_limits.WELL)
            parts = Part if what == break_limits.ALL else (Part(what),)
            day = _capped(day, who, parts, GENTLE, CapReason.SORE, "well-again")
    return break_limits.sparing(day)


def told(day: Day, who: int, answer: Answer, library: Library, question: str = "") -> Change:
    """What an answer about somebody makes of the day."""
    return adapt(day, (), 0.0, who, answer, question, library)


def careful(change: Change, who: int, library: Library) -> Day:
    """The day when what a rule asks next stays without an answer."""
    day, ask = change.day, change.ask
    for _ in ASKED:  # each is asked once for one cause
        if ask == "which-part":
            # where it hurts and is not told, nothing is loaded; where it is sore, gently
            return told(day, who, Answer(Meaning.SILENCE), library, ask).day
        question = QUESTIONS.get(ask)
        if question is None or question.silence is None:
            return day
        change = told(day, who, parse(question.silence), library, ask)
        day, ask = change.day, change.ask
    return day


def unasked(day: Day, who: int, question: str, library: Library) -> Day:
    """The day when a question of the rules stays without an answer."""
    return careful(Change(day, (), ask=question), who, library)


def untold(day: Day, who: int, question: str, about: Answer | None, library: Library) -> Day:
    """The day when the leader leaves a question about somebody unanswered.

    `about` is what it was asked because of: how it feels may be known where the part is not.
    """
    if question != "which-part":
        return unasked(day, who, question, library)
    about = about or Answer(Meaning.FEEL, feel=Feel.SORE)
    felt = replace(about, meaning=Meaning.FEEL, feel=about.feel or Feel.HURTING, part=None)
    return careful(told(day, who, felt, library), who, library)


def everywhere(day: Day, who: int) -> Day:
    """Something is sore and nobody says where: gentle work only, for every part."""
    return _capped(day, who, Part, GENTLE, CapReason.SORE, "sore-somewhere")


def cold(day: Day) -> Day:
    """A warm-up that was cut short: gentle work only, for everybody, today."""
    for person in day.people:
        day = _capped(day, person.who, Part, GENTLE, CapReason.COLD, "skip-floor")
    return day


def _capped(
    day: Day, who: int, parts: Iterable[Part], most: int, reason: CapReason, rule: str
) -> Day:
    caps = (Cap(who, part, most, reason, rule) for part in parts)
    return replace(day, caps=(*day.caps, *(cap for cap in caps if cap not in day.caps)))


def healed(day: Day, who: int, parts: frozenset[Part]) -> Day:
    """Let in again after hurting: these parts get no load, the others gentle work."""
    caps = tuple(
        replace(cap, most=max(cap.most, GENTLE))
        if cap.who == who and cap.rule == "hurt" and cap.part not in parts
        else cap
        for cap in day.caps
    )
    return replace(day, caps=caps)


def unhurt(day: Day, who: int) -> Day:
    """The day without what 'hurt' alone took from somebody: it is taken again right after."""
    return replace(day, caps=tuple(c for c in day.caps if c.who != who or c.rule != "hurt"))


def hurting_parts(day: Day, who: int) -> frozenset[Part]:
    """The parts that were named as hurting."""
    return frozenset(
        report.part for report in day.reports if report.who == who and report.feel is Feel.HURTING
    )


def located(day: Day, who: int) -> bool:
    """Whether it is known where somebody hurts, or of what sign: that part stays without load."""
    signed = any(one == who and sign != "before" for one, sign in day.signs)
    return signed or bool(hurting_parts(day, who))


def left_out(callouts: Iterable[Callout], every: Callouts) -> Iterable[Omitted]:
    """What people do otherwise than the routine means it, and why; once for each movement."""
    day, library = every.day, every.library
    people = {person.who: person for person in day.people}
    seen: set[tuple[int, str]] = set()
    for callout in callouts:
        for meant in callout.step.intended:
            key = (meant.who, meant.movement)
            form = callout.doing(meant.who)
            done = form.movement if form is not None else ""
            if not meant.movement or done == meant.movement or key in seen:
                continue
            seen.add(key)
            movement = library.movements[meant.movement]
            done = done or every.own_form(meant.who, movement)
            why = why_not(movement, people[meant.who], day) or (
                "check" if edged(movement) else "offered"
            )
            yield Omitted(0.0, meant.who, meant.movement, done, why)


def why_not(movement: Movement, person: Person, day: Day) -> str:
    """The rule that keeps a person from a movement now; '' where none does."""
    if not age_limits.allows(person, movement):
        return "age-untold" if person.age is AgeBand.UNKNOWN else person.age.value
    for cap in day.caps:
        over = movement.load.get(cap.part, 0) > cap.most
        if cap.who == person.who and over and cap.reason is not CapReason.GATE:
            return cap.rule
    if break_limits.mobility_only(day, person.who) and not break_limits.mobility(movement):
        birth = (person.who, break_limits.BIRTH) in day.told
        return "back-after-birth" if birth else "back-after-illness"
    if gates.waits(movement, gates.shut(day.caps, person.who)):
        return "check"
    if any(load > ceiling(day.caps, person.who, part) for part, load in movement.load.items()):
        return "check"
    feels = {f"{item.feel}:{item.part}" for item in day.reports if item.who == person.who}
    feels |= {f"sign:{c.part}" for c in day.caps if c.who == person.who and c.most == 0}
    return next((tag for tag in movement.leave_out if tag in feels), "")
