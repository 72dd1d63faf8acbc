"""Every panel there is, in the order they are shown."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from coach.model.place import Circuit
from coach.record import climbing, dose_hours, edge_over_time, hard_tries, load, wear
from coach.record.baseline import Baseline
from coach.record.entry import Entry, none_after
from coach.record.panel import Panel
from coach.record.periods import PeriodLength, fitting


@dataclass(frozen=True)
class PanelSource:
    """What the panels are made of."""

    entries: Sequence[Entry]
    span: PeriodLength | None
    """Length of a period; None for the one that suits the days there are."""
    today: date
    circuits: Sequence[Circuit] = ()
    """The place's, from easiest to hardest."""
    fixed: Baseline | None = None
    """A known baseline for readings, in place of one's own."""

    @cached_property
    def by(self) -> PeriodLength:
        """The length of a period."""
        if self.span is not None:
            return self.span
        first = min((entry.day for entry in self.entries), default=self.today)
        return fitting(first, self.today)

    @cached_property
    def weeks(self) -> list[load.LoadWeek]:
        """Every week, made once for the three panels that describe them."""
        return load.weeks(self.entries, self.today)


PANELS: dict[str, Callable[[PanelSource], Panel]] = {
    "doses": lambda asked: dose_hours.doses(asked.entries, asked.by, asked.today),
    "edge": lambda asked: edge_over_time.feels(asked.entries),
    "edge-readings": lambda asked: edge_over_time.readings(asked.entries, asked.fixed),
    "stairs": lambda asked: climbing.stairs(asked.entries),
    "tops": lambda asked: climbing.tops(asked.entries, asked.circuits),
    "tries": lambda asked: hard_tries.tries(asked.entries, asked.by, asked.today),
    "success": lambda asked: hard_tries.success(asked.entries, asked.by, asked.today),
    "tries-per-top": lambda asked: hard_tries.tries_per_top(asked.entries, asked.by, asked.today),
    "best-try": lambda asked: hard_tries.best_try(asked.entries, asked.by, asked.today),
    "drop-off": lambda asked: hard_tries.drop_off(asked.entries),
    "rests": lambda asked: wear.rests(asked.entries, asked.by, asked.today),
    "load": lambda asked: load.load(asked.weeks, asked.by, asked.today),
    "monotony": lambda asked: load.monotony_panel(asked.weeks, asked.by, asked.today),
    "strain": lambda asked: load.strain_panel(asked.weeks, asked.by, asked.today),
    "soreness": lambda asked: wear.soreness(asked.entries, asked.by, asked.today),
    "rules": lambda asked: wear.rules(asked.entries),
}


def trends(asked: PanelSource, names: Sequence[str] = ()) -> tuple[Panel, ...]:
    """The named panels, or all of them; no axis goes on after today."""
    asked = replace(asked, entries=none_after(asked.entries, asked.today))
    return tuple(make(asked) for name, make in PANELS.items() if not names or name in names)
