"""A stored session again: what is on disk is stepped once more.

Owns the version of the rules, a digest of the pure packages' sources: the same sources replay to
the same state.
"""

import hashlib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from coach.model.start import Start
from coach.runtime.kind_registry import kind_of
from coach.session.events import Event

_PURE = ("model", "planning", "session", "group")


@cache
def rules_version() -> str:
    """Twelve hex digits that change whenever a rule, the chart or the model does."""
    root = Path(__file__).parents[1]
    digest = hashlib.sha256()
    for package in _PURE:
        for path in sorted((root / package).rglob("*.py")):
            digest.update(path.relative_to(root).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def replay(start: Start, events: Iterable[Event]) -> Any:
    """The session as it was after these events; right only under the rules that made them."""
    kind = kind_of(start)
    state = kind.new(start)
    for event in events:
        state, _ = kind.step(state, event)
    return state
