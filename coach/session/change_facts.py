"""Which facts a change of plan leaves on the record."""

from collections.abc import Iterator

from coach.model.day import Change, Day
from coach.model.facts import CapLifted, CapSet, Fact, Felt, Planned, RuleFired
from coach.model.plan import Step, StepKind
from coach.planning.timeline import of_day, seconds_of


def of_change(
    at: float, before: Day, steps: tuple[Step, ...], change: Change, by: str, gate: str
) -> Iterator[Fact]:
    """What was told, capped, lifted, fired and planned; `steps` is what was left before it."""
    day = change.day
    yield from _told(at, before, day, gate)
    yield from _caps(at, before, day, by)
    for fired in change.fired:
        yield RuleFired(at, 0, fired.rule, fired.sure)
    if change.steps != steps:
        hard = sum(step.kind is StepKind.TRY for step in change.steps)
        seconds = seconds_of(change.steps, at, of_day(day))
        yield Planned(at, 0, seconds, hard, by)


def _told(at: float, before: Day, day: Day, gate: str) -> Iterator[Fact]:
    for report in day.reports:
        if report not in before.reports:
            yield Felt(at, report.who, report.part, report.feel, report.tissue, gate)


def _caps(at: float, before: Day, day: Day, by: str) -> Iterator[Fact]:
    if day.caps == before.caps:
        return
    stood, stands = frozenset(before.caps), frozenset(day.caps)
    for cap in day.caps:
        if cap not in stood:
            yield CapSet(at, cap.who, cap.part, cap.most, cap.reason, cap.rule)
    for cap in before.caps:
        if cap not in stands:
            yield CapLifted(at, cap.who, cap.part, cap.reason, by)
