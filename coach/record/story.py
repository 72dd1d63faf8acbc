"""One session as a readable story: what happened, when, in plain sentences."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from coach.model.body import Part
from coach.model.facts import (
    BoulderNamed,
    CapLifted,
    CapSet,
    CauseTold,
    Climbed,
    Decided,
    EdgeChecked,
    EffortFelt,
    Fact,
    Felt,
    Filmed,
    Finished,
    GateAnswered,
    NoteMade,
    Planned,
    RestChosen,
    Rested,
    Retold,
    RuleFired,
    ScaleRead,
    SignTold,
    StepEnded,
    Tried,
    Varied,
    WentForIt,
    Won,
)
from coach.record.amounts import count, duration, in_words, listed
from coach.record.edge_over_time import setup_in_words
from coach.record.entry import Entry
from coach.record.history import ENDS

#: Rests shorter than this are not worth a sentence.
WORTH_TELLING = 60.0

_ENDED = {
    "topped": "topped",
    "below": "not topped",
    "untold": "how it ended was not told",
}
_WON = {
    "topped": "topped for the first time",
    "higher": "higher than before",
    "closer": "closer than before",
    "move-done": "the hard move went",
    "went-for-it": "gone for",
}


@dataclass(frozen=True, slots=True)
class Sentence:
    """Something that happened."""

    at: float
    """Seconds since the session began."""
    text: str


def story(entry: Entry, facts: Iterable[Fact], titles: Mapping[str, str]) -> list[Sentence]:
    """The sentences of one person's session; `titles` names movements in the reader's words."""
    own = [fact for fact in facts if fact.who in (0, entry.who)]
    told = [Sentence(0.0, _opening(entry))]
    for steps, group in groupby(own, key=_belongs_with):
        if steps.startswith("cap:"):
            told.append(_caps([fact for fact in group if isinstance(fact, CapSet | CapLifted)]))
        elif steps:
            told.append(_block([fact for fact in group if isinstance(fact, StepEnded)], titles))
        else:
            told += [Sentence(fact.at, text) for fact in group if (text := _sentence(fact))]
    if entry.how != "done":
        told.append(Sentence(entry.digest.seconds, f"({ENDS.get(entry.how, entry.how)})"))
    return told


def _opening(entry: Entry) -> str:
    begun = f"{entry.begun:%A} {entry.begun.day} {entry.begun:%B %Y, %H:%M}"
    others = f", with {count(entry.with_others, 'other')}" if entry.with_others else ""
    return f"{begun}, {entry.place}: {entry.routine}, {entry.minutes} min planned{others}."


#: The checks as they are called.
_CHECKS = {
    "gate-body": "body check",
    "gate-shoulders": "shoulder check",
    "gate-fingers": "edge check",
    "gate-fingers-now": "finger check",
}


def _belongs_with(fact: Fact) -> str:
    """What follows each other and is told together: steps of a block, caps of one cause."""
    if isinstance(fact, CapSet):
        return f"cap:set {fact.most} {fact.rule}"
    if isinstance(fact, CapLifted):
        return f"cap:lifted {fact.by}"
    if isinstance(fact, StepEnded) and fact.kind not in ("try", "ask"):
        return fact.block
    return ""


def _caps(caps: Sequence[CapSet | CapLifted]) -> Sentence:
    """Caps that one cause set, or lifted."""
    named = list(dict.fromkeys(cap.part.value for cap in caps))
    what = "Everything" if len(named) == len(Part) else listed(named).capitalize()
    first = caps[0]
    if isinstance(first, CapSet):
        return Sentence(
            first.at, f"{what} at most {first.most} of 3 from here ({in_words(first.rule)})."
        )
    by = "the warm-up was made up" if first.by.endswith("-make-up") else in_words(first.by)
    return Sentence(first.at, f"{what} as usual again ({by}).")


def _block(steps: Sequence[StepEnded], titles: Mapping[str, str]) -> Sentence:
    done = [step for step in steps if step.outcome == "done"]
    names = dict.fromkeys(titles.get(step.movement, step.movement) for step in done)
    what = steps[0].block.capitalize()
    text = f"{what}: {duration(sum(step.seconds for step in steps))}"
    named = [name for name in names if name]
    if named:
        text += f" of {listed(named)}"
    for outcome in ("skipped", "cut", "left-out", "untold"):
        times = sum(step.outcome == outcome for step in steps)
        if times:
            text += f"; {times} {outcome.replace('-', ' ')}"
    return Sentence(steps[0].at, f"{text}.")


def _sentence(fact: Fact) -> str:  # noqa: C901 - one case for each kind of fact
    """One fact in words; '' for what the story does not need."""
    match fact:
        case Planned(seconds=seconds, hard=hard, because=because):
            tries = count(hard, "hard try", "hard tries")
            return f"Plan ({in_words(because)}): {duration(seconds)} with {tries}."
        case Rested(seconds=seconds, suggested=suggested) if seconds >= WORTH_TELLING:
            return f"Rested {duration(seconds)} ({duration(suggested)} suggested)."
        case Felt(part=part, feel=feel, tissue=tissue):
            return f"{part.capitalize()}: {feel}{f' ({tissue})' if tissue else ''}."
        case EdgeChecked(edge=edge, grip=grip, feet=feet, feel=feel, reading=reading):
            scale = "" if reading is None else f", {reading:g} kg"
            return f"Edge check, {setup_in_words(edge, grip, feet)}: {feel}{scale}."
        case ScaleRead(reading=reading):
            return f"Scale at the edge check: {reading:g} kg."
        case Tried(boulder=boulder, number=number, result=result, move=move):
            ended = _ENDED.get(result, f"ended at the {result}")
            ended += f", move {move}" if move else ""
            return f"Try {number}, {boulder}: {ended}."
        case Retold(boulder=boulder, number=number, result=result, move=move):
            ended = _ENDED.get(result, f"ended at the {result}")
            return f"Told anew, try {number}, {boulder}: {ended}{f', move {move}' if move else ''}."
        case BoulderNamed(boulder=boulder, style=style, moves=moves, about=about):
            known = [word for word in (style, about.replace("-", " ")) if word]
            known += [count(moves, "move")] if moves else []
            return f"On {boulder}{f' ({listed(known)})' if known else ''}."
        case CauseTold(boulder=boulder, cause=cause, offer=offer):
            offered = f"; offered: {offer.replace('-', ' ')}" if offer else ""
            return f"Ended by {cause}, {boulder}{offered}."
        case Varied(boulder=boulder, number=number, variation=variation, gave=gave):
            return f"Try {number}, {boulder}, {variation.replace('-', ' ')}: {gave}."
        case RestChosen(seconds=seconds):
            return f"Rests of {duration(seconds)} from here, as told."
        case EffortFelt(boulder=boulder, felt=felt):
            beside = "as hard as" if felt == "same" else f"{felt} than"
            return f"{boulder.capitalize()}: {beside} the try before."
        case NoteMade(boulder=boulder, name=name, seconds=seconds):
            return f"Note about {boulder}: {name}, {seconds:.0f} s."
        case Filmed(boulder=boulder, number=number, clock=clock):
            return f"Filmed: try {number}, {boulder}{f', {clock}' if clock else ''}."
        case WentForIt(boulder=boulder, gone=False):
            return f"Held back, {boulder}."
        case Won(boulder=boulder, what=what, moves=moves):
            further = f"{count(moves, 'move')} further than before"
            return f"{boulder.capitalize()}: {_WON.get(what, further)}."
        case Climbed(tier=tier, boulders=boulders):
            return f"{count(boulders, 'boulder')} {tier}."
        case GateAnswered(question=question, answer="silence"):
            return f"No answer to the {_CHECKS.get(question, question)}: it stayed shut."
        case RuleFired(rule=rule, sure=sure):
            return f"Rule {in_words(rule)} ({sure})."
        case SignTold(sign="hurt", part=None):
            return "Hurt; where is not told yet."
        case SignTold(sign="settled"):
            return ""
        case SignTold(sign=sign, part=part):
            return f"Warning sign: {sign}{f', {part}' if part else ''}."
        case Decided(go=go):
            return "Go-ahead: go." if go else "Go-ahead: not today."
        case Finished(who=who, effort=effort) if who:
            return "" if effort is None else f"Effort of the whole: {effort}."
        case Finished(seconds=seconds, effort=effort, how=how):
            told = "" if effort is None else f" Effort {effort}."
            return f"Over after {duration(seconds)} ({how}).{told}"
        case _:
            return ""
