"""A scale's reading at the edge check: how it is written, and from where to where it is believed.

It is told by key or line alone, as a claim: no voice is heard with figures after the point.
"""

import re

#: Head of the claim that a key makes of a reading, such as 'reading:42.5'.
READING = "reading:"
#: Least and most kilograms that are taken (our choice: beyond them it is a slip of the key).
LEAST, MOST = 1.0, 200.0

_WRITTEN = re.compile(r"(?P<number>-?\d{1,6}(?:[.,]\d{1,3})?)(?P<unit>\s*kg)?", re.IGNORECASE)


def kilograms(text: str) -> float | None:
    """The number in '42.5', '42,5' or '42.5 kg', whatever its range; None for anything else."""
    match = _WRITTEN.fullmatch(text.strip())
    return float(match["number"].replace(",", ".")) if match is not None else None


def has_unit(text: str) -> bool:
    """Whether kilograms are named, so that it can't be the figure of an answer."""
    match = _WRITTEN.fullmatch(text.strip())
    return match is not None and match["unit"] is not None


def believed(reading: float) -> bool:
    """Whether a reading is within the range that is taken."""
    return LEAST <= reading <= MOST


def written(reading: float) -> str:
    """A reading with no more figures than it needs."""
    return f"{round(reading, 3):.10g}"


def claim(reading: float) -> str:
    """The claim of a reading."""
    return f"{READING}{written(reading)}"
