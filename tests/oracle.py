"""The independent judge of raises: it knows the model and no planner code.

Given the day and steps before and after an answer, it lists every raise, and whether that
answer, in that window, was entitled to it. A raise is a higher peak or dose of a part, a
shorter rest or warm-up, a check that is gone, a lifted cap, or a later end. Loads of 0 and 1
are gentle: they move and warm, so more of them is no raise.

A raise takes the yes of the person it concerns. Nobody's yes raises anything for another; the
minutes of a session are the one thing that all share. A rest concerns whoever climbs after it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from coach.model.answers import Answer, Meaning
from coach.model.body import Cap, CapReason, Feel, Part
from coach.model.day import Day
from coach.model.movement import Feet, Hold, Movement
from coach.model.nature import Tendency
from coach.model.person import AgeBand
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind

GENTLE = 1
#: Whom the minutes of the session concern.
EVERYBODY = 0
#: Seconds that a rest between two hard tries of one person always has, whatever was said: sets of
#: several joints are rested 2 to 3 min (ACSM 2009, Med Sci Sports Exerc 41:687-708).
LEAST_REST = 120.0
#: Seconds between a hard try and strength work: 3 min between like parts of a circuit (JSCR
#: 2006;20(4):978-984, read second-hand).
AFTER_A_TRY = 180.0


@dataclass(frozen=True)
class Raise:
    """One raise: what kind, for whom, of what."""

    kind: str
    who: int
    what: str


#: What each raising answer may raise, and where it counts ('' is everywhere).
ENTITLED: dict[Meaning, tuple[frozenset[str], str]] = {
    Meaning.FEEL: (frozenset({"peak", "dose", "cap"}), "gate-"),
    Meaning.GO: (frozenset({"peak", "dose", "cap"}), "go-ahead"),
    Meaning.LONGER: (frozenset({"dose", "end"}), ""),
    # told after the plan was made by the usual ones, more than those are more minutes
    Meaning.MINUTES: (frozenset({"dose", "end"}), ""),
    Meaning.HARDER: (frozenset({"peak", "dose"}), ""),
    Meaning.REWARM: (frozenset({"dose"}), ""),
    Meaning.READY: (frozenset({"rest"}), ""),
    Meaning.SHORTER: (frozenset({"rest"}), "shorter-rests"),
    # what it is about brings its drill; a rest of one's own may be shorter than the planned one
    Meaning.KEY_MOVE: (frozenset({"dose", "peak"}), ""),
    Meaning.OWN_REST: (frozenset({"rest"}), ""),
    Meaning.ANOTHER: (frozenset({"dose"}), ""),
    Meaning.MORE_TRIES: (frozenset({"dose"}), "time-gained"),
    Meaning.BACK: (frozenset({"peak", "dose"}), ""),
}


def entitled(answer: Answer, question: str) -> frozenset[str]:
    """The kinds of raise that an answer may cause in the window it was given in."""
    raising = answer.tendency is Tendency.RAISING or answer.meaning is Meaning.MINUTES
    if not raising or answer.meaning not in ENTITLED:
        return frozenset()
    kinds, window = ENTITLED[answer.meaning]
    return kinds if question.startswith(window) else frozenset()


def unentitled(
    before: tuple[Day, Sequence[Step]],
    after: tuple[Day, Sequence[Step]],
    who: int,
    answer: Answer,
    question: str,
) -> list[Raise]:
    """The raises that the answer had no right to: of another kind, or of another person."""
    kinds = entitled(answer, question)
    return [
        item
        for item in raises(before, after)
        if item.kind not in kinds
        or item.who not in (who, EVERYBODY)
        or (item.kind == "cap" and not _may_lift(item, answer, question))
    ]


def _may_lift(item: Raise, answer: Answer, question: str) -> bool:
    """A gate's answer lifts that gate, and soreness of the part that the gate is about."""
    reason, rule, part = item.what.split(":")
    if answer.meaning is Meaning.GO:
        return reason == CapReason.GATE and rule == "go-ahead"
    clear = answer.feel in (Feel.FRESH, Feel.FINE)
    if reason == CapReason.GATE:
        return clear and rule == question
    about = {
        "gate-fingers": Part.FINGERS,
        "gate-fingers-now": Part.FINGERS,
        "gate-shoulders": Part.SHOULDERS,
    }.get(question)
    return clear and reason == CapReason.SORE and part == about


def raises(before: tuple[Day, Sequence[Step]], after: tuple[Day, Sequence[Step]]) -> list[Raise]:
    """Every raise between two states of a session."""
    (day0, steps0), (day1, steps1) = before, after
    found: list[Raise] = []
    changed = tuple(steps0) != tuple(steps1)
    for person in day0.people if changed else ():
        who = person.who
        (peaks0, doses0), (peaks1, doses1) = _loads(steps0, who), _loads(steps1, who)
        for part, dose in doses1.items():
            if peaks1[part] > max(peaks0.get(part, 0), GENTLE):
                found.append(Raise("peak", who, part))
            if dose > doses0.get(part, 0.0) + 1e-6:
                found.append(Raise("dose", who, part))
        found += [Raise("rest", who, what) for what in _shorter_rests(steps0, steps1, who)]
        found += [Raise("warm-up", who, what) for what in _lost_warm_up(day1, steps0, steps1, who)]
        found += [Raise("check", who, what) for what in _lost_checks(day1, steps0, steps1, who)]
    caps1 = set(day1.caps)
    for cap in day0.caps:
        if cap not in caps1 and not _covered(cap, day1.caps):
            found.append(Raise("cap", cap.who, f"{cap.reason}:{cap.rule}:{cap.part}"))
    if day1.ends_at > day0.ends_at + 1e-6:
        found.append(Raise("end", EVERYBODY, "minutes"))
    return found


def _covered(cap: Cap, caps: Iterable[Cap]) -> bool:
    """Whether a cap of the same reason and at least as strict stands on the same part."""
    return any(
        c.who == cap.who and c.part is cap.part and c.reason is cap.reason and c.most <= cap.most
        for c in caps
    )


def _loads(steps: Iterable[Step], who: int) -> tuple[dict[Part, int], dict[Part, float]]:
    """The peak of each part of a person, and its dose: load by seconds beyond the gentle."""
    peaks: dict[Part, int] = {}
    doses: dict[Part, float] = {}
    for step in steps:
        for form in step.forms:
            for part, load in form.load.items() if form.who == who else ():
                peaks[part] = max(peaks.get(part, 0), load)
                hard = load * step.seconds if load > GENTLE else 0.0
                doses[part] = doses.get(part, 0.0) + hard
    return peaks, doses


def _shorter_rests(steps0: Sequence[Step], steps1: Sequence[Step], who: int) -> list[str]:
    """Rests of one person that shrank: behind a set, or between two tries that both remain."""
    later = {step.name: step for step in steps1}
    found = [
        step.name
        for step in steps0
        if step.form(who) is not None
        and step.name in later
        and later[step.name].rest < step.rest - 1e-6
    ]
    gaps0, gaps1 = _gaps(steps0, who), _gaps(steps1, who)
    for (first, second), gap in gaps1.items():
        if (first, second) in gaps0 and gap < gaps0[first, second] - 1e-6:
            found.append(f"{first}..{second}")
    # a try that went from between two others leaves at least the rest it had before it
    least = min(gaps0.values(), default=0.0)
    found += [f"{a}..{b}" for (a, b), gap in gaps1.items() if gap < least - 1e-6]
    return found


def _gaps(steps: Sequence[Step], who: int) -> dict[tuple[str, str], float]:
    """Seconds between one person's neighbouring tries, in which they do nothing hard.

    Another's drill in between is time that nobody meant for a rest, and may go with who does it.
    """
    gaps: dict[tuple[str, str], float] = {}
    last, since = "", 0.0
    for step in steps:
        if step.kind is StepKind.TRY and step.turn == who:
            if last:
                gaps[last, step.name] = since
            last, since = step.name, step.rest
        elif step.kind is not StepKind.ASK and not (step.drill and step.form(who) is None):
            since += step.seconds + step.rest
    return gaps


def _lost_warm_up(day1: Day, steps0: Sequence[Step], steps1: Sequence[Step], who: int) -> list[str]:
    """Floor steps that are gone while hard tries are as open as before."""
    left = {step.name for step in steps1}
    warm_up = [s for s in steps0 if s.floor and s.block is not BlockKind.COOL_DOWN]
    gone = [s.name for s in warm_up if s.form(who) is not None and s.name not in left]
    if not gone or not any(s.turn == who for s in steps1):
        return []
    lowered = any(
        cap.who == who and cap.reason in (CapReason.COLD, CapReason.SIGN, CapReason.SORE)
        for cap in day1.caps
    )
    return [] if lowered else gone


def _lost_checks(day1: Day, steps0: Sequence[Step], steps1: Sequence[Step], who: int) -> list[str]:
    """Gates that are no longer asked though they are shut, and tries still stand."""

    def asked(steps: Sequence[Step]) -> set[str]:
        return {s.question for s in steps if s.question and s.form(who) is not None}

    if not any(s.turn == who for s in steps1):
        return []
    if who in day1.go:
        shut = {cap.rule for cap in day1.caps if cap.who == who}
        return sorted((asked(steps0) - asked(steps1)) & shut)
    return sorted({"go-ahead"} & (asked(steps0) - asked(steps1)))


class Rests:
    """Who said yes to shorter rests, and what is still owed after a rest that ended early.

    It sees rests as they run, for what shortens them may stand outside the plan.
    """

    def __init__(self) -> None:
        self._yes: set[int] = set()

    def answered(self, who: int, answer: Answer, question: str) -> None:
        """An answer of a person in the window of a question."""
        if "rest" in entitled(answer, question) and answer.meaning is Meaning.SHORTER:
            self._yes.add(who)

    def begun(self, rest: Step, seconds: float, left: Sequence[Step]) -> list[Raise]:
        """A rest that the plan has begins: the raises where it is shorter than planned.

        `left` is what comes after it. It concerns everybody who still has a try.
        """
        turns = sorted({step.turn for step in left if step.kind is StepKind.TRY})
        unasked = [who for who in turns if who not in self._yes]
        least = rest.seconds if unasked else min(rest.seconds, LEAST_REST)
        if seconds >= least - 1e-6:
            return []
        return [Raise("rest", who, rest.name) for who in unasked or turns]


def cut_short(
    left: float,
    who: int,
    before: Sequence[Step],
    after: Sequence[Step],
    resting: float,
    tried: Iterable[int],
) -> list[Raise]:
    """A rest before tries ended `left` seconds early at the word of `who`: the raises in that.

    It is theirs to end if they climb next. Everybody else who has had a try rests on: the seconds
    that are gone come back before their own next one, or in a rest of `resting` seconds that runs.
    """
    turns = [step.turn for step in before if step.kind is StepKind.TRY]
    found = [Raise("rest", turn, "ended by another") for turn in turns[:1] if turn != who]
    others = sorted(set(tried) & set(turns) - {*turns[:1]})
    return found + [
        Raise("rest", other, "ended early")
        for other in others
        if resting + _wait(after, other) < _wait(before, other) + left - 1e-6
    ]


def _wait(steps: Sequence[Step], who: int) -> float:
    """Seconds before the first try of a person in which they do nothing hard."""
    spent = 0.0
    for step in steps:
        if step.kind is StepKind.TRY and step.turn == who:
            break
        spent += 0.0 if step.kind is StepKind.ASK else step.seconds + step.rest
    return spent


def seconds_of(steps: Iterable[Step]) -> float:
    """Seconds that steps take in this order: cue, work, and the rest of what they load again."""
    at = 0.0
    done: list[tuple[set[tuple[int, Part]], float]] = []
    tried: dict[int, float] = {}
    for step in steps:
        begins = max([at + step.lead, *(until for keys, until in done if keys & _loaded(step))])
        waits = strengthened(step) & tried.keys()
        begins = max([begins, *(tried[who] + AFTER_A_TRY for who in waits)])
        at = begins + step.seconds
        if step.kind is StepKind.TRY:
            tried[step.turn] = at
        if step.rest:
            done.append((_strained(step), at + step.rest))
    return at


def strengthened(step: Step) -> set[int]:
    """Whom a step makes stronger, beyond what is gentle."""
    if step.block is not BlockKind.STRENGTH:
        return set()
    return {form.who for form in step.forms if max([0, *form.load.values()]) > GENTLE}


def unrested(ran: Iterable[tuple[float, float, Step]]) -> list[str]:
    """Work that loads a part before it has rested for as long as what loaded it asks.

    `ran` are the seconds at which the work of each step began and ended, in order, and the step.
    """
    found: list[str] = []
    until: dict[tuple[int, Part], tuple[float, str]] = {}
    tried: dict[int, float] = {}
    for began, ended, step in ran:
        found += [
            f"{step.name}: strength {began - tried[who]:.0f} s after a try"
            for who in strengthened(step) & tried.keys()
            if began < tried[who] + AFTER_A_TRY - 0.05
        ]
        if step.kind is StepKind.TRY:
            tried[step.turn] = ended
        for key in sorted(_loaded(step)):
            free, after = until.get(key, (0.0, ""))
            if began < free - 0.05:
                found.append(f"{step.name}: {key[1]} {free - began:.1f} s early after {after}")
        for key in _strained(step) if step.rest else ():
            until[key] = max(until.get(key, (0.0, "")), (ended + step.rest, step.name))
    return found


def _loaded(step: Step) -> set[tuple[int, Part]]:
    return {(f.who, part) for f in step.forms for part, load in f.load.items() if load > 0}


#: The hands, arms and shoulders that hold a hang.
_HOLDING = {"fingers", "wrists", "elbows", "shoulders", "skin"}


def _strained(step: Step) -> set[tuple[int, Part]]:
    """What a step's rest is for: what holds a hang, and whatever it loads most."""
    found = set()
    for form in step.forms:
        top = max([0, *form.load.values()])
        for part, load in form.load.items():
            if load and (load == top or (step.hangs and part.value in _HOLDING)):
                found.add((form.who, part))
    return found


def above_caps(day: Day, steps: Iterable[Step]) -> list[str]:
    """Steps whose form loads somebody beyond a cap."""
    most: dict[tuple[int, Part], int] = {}
    for cap in day.caps:
        most[cap.who, cap.part] = min(cap.most, most.get((cap.who, cap.part), 3))
    return [
        f"{step.name} of {form.who}: {part} {load}"
        for step in steps
        for form in step.forms
        for part, load in form.load.items()
        if load > most.get((form.who, part), 3)
    ]


def under_age(day: Day, steps: Iterable[Step], movements: dict[str, Movement]) -> list[str]:
    """Steps that the published cautions leave out for somebody's age; unknown is under 18."""
    ages = {person.who: person.age for person in day.people}
    found = []
    for step in steps:
        for form in step.forms:
            age = ages[form.who]
            if age is AgeBand.ADULT or not form.movement:
                continue
            movement = movements[form.movement]
            tags = {"under-18"} | ({"under-16"} if age is AgeBand.UNDER_16 else set())
            hang = movement.hang
            forbidden = hang is not None and (
                age is AgeBand.UNDER_16 or hang.feet is Feet.OFF or hang.hold is not Hold.LARGEST
            )
            if tags & set(movement.leave_out) or forbidden:
                found.append(f"{step.name}: {form.movement}")
    return found
