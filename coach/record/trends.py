"""Every panel there is, in the order they are shown."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from coach.model.place import Circuit
from coach.record import climbing, doses, edge, load, wear
from coach.record.baseline import Baseline
from coach.record.entry import Entry, none_after
from coach.record.panel import Panel
from coach.record.periods import Span


@dataclass(frozen=True)
class Asked:
    """What the panels are made of."""

    entries: Sequence[Entry]
    span: Span
    today: date
    circuits: Sequence[Circuit] = ()
    """The place's, from easiest to hardest."""
    fixed: Baseline | None = None
    """A known baseline for readings, in place of one's own."""

    @cached_property
    def weeks(self) -> list[load.Week]:
        """Every week, made once for the three panels that describe them."""
        return load.weeks(self.entries, self.today)


PANELS: dict[str, Callable[[Asked], Panel]] = {
    "doses": lambda asked: doses.doses(asked.entries, asked.span),
    "edge": lambda asked: edge.feels(asked.entries),
    "edge-readings": lambda asked: edge.readings(asked.entries, asked.fixed),
    "stairs": lambda asked: climbing.stairs(asked.entries, asked.circuits),
    "tries": lambda asked: climbing.tries(asked.entries, asked.span),
    "rests": lambda asked: wear.rests(asked.entries, asked.span),
    "load": lambda asked: load.load(asked.weeks),
    "monotony": lambda asked: load.monotony_panel(asked.weeks),
    "strain": lambda asked: load.strain_panel(asked.weeks),
    "soreness": lambda asked: wear.soreness(asked.entries, asked.span),
    "rules": lambda asked: wear.rules(asked.entries),
}


def trends(asked: Asked, names: Sequence[str] = ()) -> tuple[Panel, ...]:
    """The named panels, or all of them; no axis goes on after today."""
    asked = replace(asked, entries=none_after(asked.entries, asked.today))
    return tuple(make(asked) for name, make in PANELS.items() if not names or name in names)
