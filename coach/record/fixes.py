"""Corrections of a session's numbers."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coach.record.digest import Digest

#: What of the numbers may be corrected.
NUMBERS = ("effort", "try")


@dataclass(frozen=True, slots=True)
class Fix:
    """One correction: another effort, or another result of a try."""

    kind: str
    """'effort' or 'try'."""
    who: int
    number: int = 0
    """Which try of theirs, from 1."""
    value: int | str | None = None


def amended(made: Digest, who: int, fixes: Sequence[Fix]) -> Digest:
    """A digest with what was corrected of one person; a later correction counts."""
    for fix in fixes:
        if fix.who != who:
            continue
        if fix.kind == "effort" and (fix.value is None or isinstance(fix.value, int)):
            made = replace(made, effort=fix.value)
        elif fix.kind == "try" and 1 <= fix.number <= len(made.tried):
            at = fix.number - 1
            changed = (made.tried[at][0], str(fix.value))
            made = replace(made, tried=(*made.tried[:at], changed, *made.tried[at + 1 :]))
    return made
