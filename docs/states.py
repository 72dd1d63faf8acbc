"""The chart of a session as Markdown: the tables of `coach.session.chart` and `waits`."""

from coach.session.chart import CHART, ignore
from coach.session.events import Event
from coach.session.state import Phase
from coach.session.waits import COURSES

#: Events in the words of the diagram; the others lead nowhere.
_LABELS = {
    "Started": "started",
    "Answered": "an answer",
    "TimePassed": "time",
    "SoundEnded": "cue said",
    "ClockJumped": "the machine slept",
    "Reopened": "taken up again",
}


def taken() -> str:
    """Phase by event: what the chart says, as a Markdown table."""
    kinds = list(dict.fromkeys(kind for row in CHART.values() for kind in row))
    rows = [
        "| event | " + " | ".join(CHART) + " |",
        "| --- |" + " :-: |" * len(CHART),
    ]
    for kind in kinds:
        marks = " | ".join(_mark(phase, kind) for phase in CHART)
        rows.append(f"| {kind.__name__} | {marks} |")
    return "\n".join(rows)


def _mark(phase: Phase, kind: type[Event]) -> str:
    line = CHART[phase].get(kind)
    return "refused" if line is None else "." if line.handler is ignore else "yes"


def lines() -> str:
    """Every line of the chart that leads to another phase: by which function, and where."""
    rows = ["| phase | event | taken by | may lead to |", "| --- | --- | --- | --- |"]
    for phase, row in CHART.items():
        for kind, line in row.items():
            if line.to - {phase}:
                name = f"{line.handler.__module__.removeprefix('coach.')}.{line.handler.__name__}"
                to = ", ".join(one for one in Phase if one in line.to and one is not phase)
                rows.append(f"| {phase} | {kind.__name__} | `{name}` | {to} |")
    return "\n".join(rows)


def courses() -> str:
    """What each thing that is awaited comes to by time alone, as a Markdown table."""
    rows = ["| awaited | by time alone |", "| --- | --- |"]
    return "\n".join([*rows, *(f"| {what} | {text} |" for what, text in COURSES.items())])


def diagram() -> str:
    """Which phase may follow which, and by what, as a Mermaid state diagram."""
    names = {phase: phase.value.replace("-", "_") for phase in Phase}
    found = ["stateDiagram-v2", f"    [*] --> {names[Phase.NEW]}"]
    for before, row in CHART.items():
        by: dict[Phase, list[str]] = {}
        for kind, line in row.items():
            label = _LABELS.get(kind.__name__)
            for after in line.to - {before} if label is not None else ():
                by.setdefault(after, []).append(label or "")
        for after in Phase:
            if after in by:
                labels = ", ".join(dict.fromkeys(by[after]))
                found.append(f"    {names[before]} --> {names[after]}: {labels}")
    found.append(f"    {names[Phase.OVER]} --> [*]")
    return "\n".join(found)
