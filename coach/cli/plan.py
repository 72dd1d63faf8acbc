"""`coach plan`: what a session would hold, without sound."""

from collections.abc import Iterator
from dataclasses import asdict, replace
from datetime import datetime
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import choices, day_options
from coach.files.paths import paths
from coach.language import Language
from coach.model.messages import message
from coach.model.plan import Form, Step, StepKind
from coach.planning import bought, timeline
from coach.planning.pyramid import tiers
from coach.planning.rules.rule import Sure
from coach.planning.why import lengths, once_open, swaps
from coach.runtime.rehearsal import TextWorld, clock_time
from coach.runtime.runner import NoKeeper, Runner
from coach.session.events import Started
from coach.session.state import Session
from coach.session.step import new_session
from coach.setup.earlier_days import recorded
from coach.setup.earlier_days import why as learnt
from coach.setup.settling import Setup, settle

#: The load of a step as a mark in the margin: none, light, middle, full.
LOADS = (" ", ".", ":", "#")


@click.command("plan")
@day_options
@click.option("--why", is_flag=True, help="Also the rules that shaped it, and how sure each is.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
def command(why: bool, as_json: bool, **day: Any) -> None:
    """Print what a session would hold, without sound."""
    known = paths()
    now = datetime.now().astimezone()
    setup = settle(choices(day), known, now)
    setup = recorded(setup, known, now.date(), diagnostics.note)
    session = planned(setup)
    if as_json:
        output.document(_document(setup, session))
        return
    steps = _opened(session)
    total = timeline.seconds_of(steps)
    title = setup.library.routine.title
    output.line(
        f"{title.get(setup.language.code, setup.library.routine.name)}, {total / 60:.0f} min"
    )
    several = len(setup.options.people) > 1
    for who, told in (*setup.options.stands, *setup.options.again):
        values = {**dict(told.values), "who": who if several else 0}
        output.line(setup.language.text(message(told.key, **values)))
    output.table(_rows(steps, setup.language))
    output.line()
    output.lines(_tiers(setup))
    output.line("A check without a clear yes leaves what follows it in an easier form.")
    output.line()
    output.table([_HEADINGS, *(_bought(minutes, setup) for minutes in _lengths(setup))])
    if why:
        output.line()
        output.lines(
            f"{fired.rule}: {setup.language.text(fired.because)} ({fired.sure})"
            for fired in session.course.fired
        )
        output.lines(
            f"{what}: {sentence} ({sure})" for what, sentence, sure in _further(setup, session)
        )


#: What `coach plan` says of each length of a session, with what was told of today.
_HEADINGS = ("minutes", "first try", "tries", "easy", "middle", "easy after", "hangs", "mobility")


def _lengths(setup: Setup) -> list[int]:
    """The lengths that are shown: those that the routine has, and today's own."""
    least = setup.library.routine.least_minutes
    return sorted({*(n for n in bought.MINUTES if n >= least), round(setup.minutes)})


def _bought(minutes: int, setup: Setup) -> tuple[str, ...]:
    """One row of what minutes buy the first person."""
    one = _buys(minutes, setup)
    first = f"minute {one.first_try}" if one.first_try is not None else ""
    numbers = (one.tries, one.easy, one.middle, one.later, one.hangs)
    cells = (str(number) if number else "" for number in numbers)
    return str(minutes), first, *cells, f"{one.mobility} min"


def _buys(minutes: int, setup: Setup) -> bought.Bought:
    told = replace(setup, options=replace(setup.options, minutes=float(minutes)))
    return bought.of(_opened(planned(told)), told.options.people[0].who)


def planned(setup: Setup) -> Session:
    """The session at the moment when its plan has been made; what nobody told is taken as usual.

    A question about what was told stays unanswered, so its cautious answer counts.
    """
    told = setup.options
    options = replace(
        told,
        ageless=(),
        level_asked="",
        minutes=setup.minutes,
        hurting=told.hurting if told.hurting is not None else (),
        same_place=told.same_place if told.same_place is not None else True,
    )
    world = TextWorld(setup.language, ())
    session = new_session(setup.library, options)
    runner = Runner(session, world, NoKeeper(), world.clock.wall)
    runner.take(Started(0.0))
    while not runner.session.course.planned and runner.session.ended is None:
        runner.take(runner.next())
    return runner.session


def _rows(steps: tuple[Step, ...], language: Language) -> Iterator[tuple[str, ...]]:
    """One row for each step: when, which block, how heavy, what, how much, and the rest after."""
    block = ""
    for at, one in zip(timeline.begins(steps), steps, strict=True):
        heading = one.block.value if one.block.value != block else ""
        block = one.block.value
        yield (
            clock_time(at),
            heading,
            LOADS[_load(one)],
            _what(one, language),
            _dose(one),
            f"rest {one.rest:.0f} s" if one.rest else "",
        )


def _opened(session: Session) -> tuple[Step, ...]:
    """What the steps hold once every check before them has been answered well."""
    if session.day is None:
        return ()
    return once_open(session.day, session.course.steps, session.library)


def _further(setup: Setup, session: Session) -> Iterator[tuple[str, str, str]]:
    """What else there is to explain: what, in which words, how sure."""
    sure = Sure.DESIGN_CHOICE.value
    told = [("length", one) for one in lengths(_opened(session), session.library)]
    if session.day is not None:
        told += [("swap", one) for one in swaps(session.day, session.library)]
    for what, one in told:
        yield what, setup.language.text(one), sure
    for sentence in learnt(setup):
        yield "pace", sentence, sure


def _load(one: Step) -> int:
    """The highest load of any part of anybody."""
    return max((max(form.load.values(), default=0) for form in one.forms), default=0)


def _what(one: Step, language: Language) -> str:
    """The movement, or the question."""
    if one.kind is StepKind.ASK:
        return language.text(message(f"ask-{one.question}"))
    movement = next((form.movement for form in one.forms if form.movement), "")
    side = f", {one.side}" if one.side else ""
    return (language.title(movement) if movement else one.kind.value) + side


def _dose(one: Step) -> str:
    """How much, in the unit of the kind."""
    match one.kind:
        case StepKind.STAY | StepKind.REST:
            return f"{one.seconds:.0f} s"
        case StepKind.BREATHE:
            return f"{one.amount} breaths"
        case StepKind.REPEAT:
            return f"{one.amount} times"
        case StepKind.CLIMB:
            return f"{one.amount} boulders"
        case StepKind.DOSE:
            return f"{one.least} to {one.most}"
        case _:
            return ""


def _tiers(setup: Setup) -> Iterator[str]:
    """Which circuits are easy, middle and hard for the first person; nothing where unknown."""
    place = setup.library.place
    found = tiers(setup.options.people[0], place)
    grades = {circuit.name: circuit.grades for circuit in place.circuits}
    for name, circuits in asdict(found).items() if found is not None else ():
        told = (f"{one} ({' to '.join(grades[one])})" if grades[one] else one for one in circuits)
        yield f"{name.capitalize()}: {', '.join(told)}."


def _document(setup: Setup, session: Session) -> dict[str, Any]:
    """The plan as JSON: what the table tells, and each person's load."""
    opened = {one.name: one.forms for one in _opened(session)}
    return {
        "routine": setup.library.routine.name,
        "place": setup.library.place.name,
        "minutes": setup.minutes,
        "tiers": tiers(setup.options.people[0], setup.library.place),
        "seconds": timeline.seconds_of(session.course.steps),
        "steps": [
            {
                "name": one.name,
                "kind": one.kind,
                "block": one.block,
                "amount": one.amount,
                "seconds": one.seconds,
                "rest": one.rest,
                "side": one.side,
                "question": one.question,
                "floor": one.floor,
                "now": [_form(form) for form in one.forms],
                "meant": [_form(form) for form in opened.get(one.name, ())],
            }
            for one in session.course.steps
        ],
        "minutes_buy": {minutes: asdict(_buys(minutes, setup)) for minutes in _lengths(setup)},
        "why": [
            {
                "rule": fired.rule,
                "because": setup.language.text(fired.because),
                "sure": fired.sure,
            }
            for fired in session.course.fired
        ]
        + [
            {"rule": what, "because": sentence, "sure": sure}
            for what, sentence, sure in _further(setup, session)
        ],
    }


def _form(form: Form) -> dict[str, Any]:
    """What one person does, as JSON."""
    return {"who": form.who, "movement": form.movement, "load": dict(form.load)}
