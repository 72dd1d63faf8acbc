"""Adapting: from an answer to what is left of the session, by the table of rules.

Owns how a staged answer becomes whole, and how a skipped floor is made up.
"""

from dataclasses import replace

from coach.model.answers import Answer, Meaning, parse
from coach.model.body import CapReason, Feel, Part
from coach.model.day import Change, Day, Library
from coach.model.messages import message
from coach.model.plan import Step
from coach.planning import (
    boulder_time,
    consequences,
    day_library,
    fitting,
    home,
    rule_engine,
    timeline,
)
from coach.planning.gates import GATES, GO_AHEAD
from coach.planning.situation import GAINED, HOME_EARLY, UNTOLD_PART, PlanDraft, Situation


def adapt(
    day: Day,
    steps: tuple[Step, ...],
    now: float,
    who: int,
    answer: Answer,
    question: str,
    library: Library,
) -> Change:
    """What an answer makes of the rest of the session.

    `steps` is what is left, the running step first (its seconds may be cut to what is left of
    it). `question` is the question that the answer belongs to, '' when told unasked. For SKIP
    the first step is the one skipped. An answer of somebody unknown changes nothing.
    """
    if all(person.who != who for person in day.people):
        return Change(day, steps)
    day, answer, question, ask = _complete(day, who, answer, question)
    library = day_library.library_of(day, library)
    return rule_engine.apply(Situation(day, steps, now, who, answer, question, library), ask)


#: Minutes that have to be gained for more tries to be offered (our choice).
GAIN = 3.0
#: Tries that are offered at most.
_OFFERED = 3


def gained(
    day: Day, steps: tuple[Step, ...], now: float, who: int, library: Library
) -> tuple[int, int]:
    """Minutes that the plan ends before the day does, and the hard tries that fit into them.

    0 tries where there is too little, or where more of the same load is unwise today.
    """
    spare = day.ends_at - now - timeline.seconds_of(steps, now, timeline.of_day(day))
    settled = (who, HOME_EARLY) in day.told or not fitting.tries(steps, who)
    if settled or spare < GAIN * 60.0:
        return 0, 0
    answer = Answer(Meaning.MORE_TRIES, number=_OFFERED)
    more = adapt(day, steps, now, who, answer, GAINED, library).steps
    return int(spare / 60.0), fitting.tries(more, who) - fitting.tries(steps, who)


#: Halves of a staged answer that wait for their part.
_HALVES = ("feel:", "sign:")


def _complete(day: Day, who: int, answer: Answer, question: str) -> tuple[Day, Answer, str, str]:
    """A staged answer made whole: 'sore' told first and the part after it, or the reverse.

    Returns the day, the answer, the question it belongs to, and what is to be asked next.
    """
    if answer.meaning is Meaning.FEEL and answer.part is None and question in GATES:
        about = GATES[question].about
        if about is None and answer.feel not in (Feel.FRESH, Feel.FINE):
            day = _wait(day, who, f"at:{question}")
        return day, replace(answer, part=about), question, ""
    waiting = [key for number, key in day.pending if number == who]
    if answer.meaning is Meaning.PART and answer.part is not None:
        feel = _worst(waiting)
        if feel is None:
            return _wait(day, who, f"part:{answer.part}"), answer, question, "how-is-it"
        whole = replace(feel, part=answer.part)
        gate = next((key for key in waiting if key.startswith("at:")), "")
        return _without_halves(day, who), whole, gate.removeprefix("at:") or question, ""
    if answer.meaning is Meaning.SILENCE and question == "which-part":
        untold = _worst(waiting)
        if untold is not None:
            return _without_halves(day, who), untold, UNTOLD_PART, ""
    if answer.meaning is Meaning.FEEL and answer.part is None and question == "how-is-it":
        part = next((key for key in reversed(waiting) if key.startswith("part:")), None)
        if part is not None:
            whole = replace(answer, part=Part(part.removeprefix("part:")))
            return _without(day, who, part), whole, question, ""
    return day, answer, question, ""


def _worst(waiting: list[str]) -> Answer | None:
    """What was told without its part; where several things were, the worst, the last of equals."""
    halves = [parse(key) for key in waiting if key.startswith(_HALVES)]
    return max(reversed(halves), key=_harm, default=None)


def _harm(half: Answer) -> tuple[int, int]:
    if half.meaning is Meaning.SIGN:
        return len(Feel), 0
    feels = list(Feel)
    return feels.index(half.feel) if half.feel is not None else 0, half.number or 0


def _without_halves(day: Day, who: int) -> Day:
    """One answer to 'where?' is for all that waited for it."""
    waits = (*_HALVES, "at:")
    left = (item for item in day.pending if item[0] != who or not item[1].startswith(waits))
    return replace(day, pending=tuple(left))


def _wait(day: Day, who: int, key: str) -> Day:
    return replace(day, pending=(*day.pending, (who, key)))


def _without(day: Day, who: int, key: str) -> Day:
    return replace(day, pending=tuple(item for item in day.pending if item != (who, key)))


def spare_filled(day: Day, steps: tuple[Step, ...], now: float, library: Library) -> Change:
    """The steps with easy minutes in the time that is too short for a try."""
    library = day_library.library_of(day, library)
    draft = PlanDraft(day, list(steps), now, day.people[0].who, library)
    return Change(day, tuple(consequences.filled(draft, max(day.ends_at - now, 0.0))))


def climbed(
    day: Day,
    steps: tuple[Step, ...],
    now: float,
    batch: tuple[Step, int, float],
    library: Library,
) -> Change:
    """A batch ended as done: what is left takes as long as she takes for a boulder today.

    `batch` are its step, how many boulders of it were climbed, and in how many seconds. Nothing is
    left out or added by it; `keep_time` fits the rest to the minutes. Minutes that are gained and
    hold no further try bring the end forward.
    """
    day = boulder_time.kept(day, *batch)
    left = boulder_time.stretched(steps, day_library.library_of(day, library))
    return Change(replace(day, home_at=_goes_home(day, left, now, library)), left)


def _goes_home(day: Day, steps: tuple[Step, ...], now: float, library: Library) -> float:
    """When she goes home before the go-ahead: with her minutes, where anything can fill them."""
    if day.go or not fitting.tries(steps):
        return day.home_at
    _, tries = gained(day, steps, now, day.people[0].who, library)
    if tries:
        return day.ends_at
    steps = spare_filled(day, steps, now, library).steps
    ends = now + timeline.seconds_of(steps, now, timeline.of_day(day))
    return home.filled(day, ends + home.CLOSING, home.PACED)


def unopened(
    day: Day, steps: tuple[Step, ...], now: float, library: Library
) -> tuple[Day, tuple[Step, ...]]:
    """What is left where nobody answers the go-ahead: no hard try of whoever has not gone yet."""
    silence = Answer(Meaning.SILENCE)
    for person in day.people:
        if person.who not in day.go and fitting.tries(steps, person.who):
            change = adapt(day, steps, now, person.who, silence, GO_AHEAD, library)
            day, steps = change.day, change.steps
    return day, steps


def made_up(day: Day, steps: tuple[Step, ...], now: float, step: Step, library: Library) -> Change:
    """A step ended as done: where it made up for a skipped one, what that had cost comes back.

    Call it with every step that ends as done; most change nothing.
    """
    stem = step.makes_up
    if not stem:
        return Change(day, steps)
    skipped = tuple(
        item for item in day.skipped if not (item == stem or item.startswith(f"{stem}."))
    )
    if skipped == day.skipped:
        return Change(day, steps)
    day = replace(day, skipped=skipped)
    if not skipped:
        day = replace(day, caps=tuple(c for c in day.caps if c.reason is not CapReason.COLD))
    left = consequences.under_caps(steps, day, day_library.library_of(day, library))
    return Change(day, left, say=message("made-up", tries=fitting.tries(left)))
