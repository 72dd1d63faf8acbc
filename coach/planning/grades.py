"""Grades of boulders, as ranges of the comparative scale; route grades are never mixed in.

Source: Draper N et al. (2015) Sports Technology 8(3-4):88-94 (position statement of the
International Rock Climbing Research Association), from three open transcriptions of its
chart; where copies differ the range holds both. V17 and Font 9A are not in the chart. Grades
are opinions: a range orders boulders, it measures nobody.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum

from coach.errors import UsageError


class Scale(StrEnum):
    """How a boulder grade is written."""

    V = "V"
    FONT = "Font"


class Sex(StrEnum):
    """Whose table of ability groups: the paper has one for each."""

    FEMALE = "female"
    MALE = "male"


@dataclass(frozen=True, slots=True)
class Grade:
    """A boulder grade and the least and most it stands for on the comparative scale."""

    name: str
    scale: Scale
    least: int
    most: int


#: Grades of boulders with their least and most place on the scale: Draper N et al. (2015), seen in
#: transcriptions; where these differ, both.
_V: dict[str, tuple[int, int]] = {
    "VB": (9, 9),
    "V0-": (11, 11),
    "V0": (12, 12),
    "V0+": (13, 13),
    "V1": (14, 14),
    "V2": (15, 16),
    "V3": (16, 17),
    "V4": (18, 18),
    "V5": (19, 19),
    "V6": (20, 20),
    "V7": (21, 21),
    "V8": (22, 23),
    "V9": (23, 24),
    "V10": (24, 25),
    "V11": (26, 26),
    "V12": (27, 27),
    "V13": (28, 28),
    "V14": (29, 30),
    "V15": (30, 31),
    "V16": (32, 32),
}
_FONT: dict[str, tuple[int, int]] = {
    "2": (9, 9),
    "3": (11, 11),
    "4": (12, 12),
    "4+": (13, 13),
    "5": (14, 14),
    "5+": (15, 15),
    "6A": (15, 16),
    "6A+": (16, 17),
    "6B": (17, 17),
    "6B+": (18, 18),
    "6C": (19, 19),
    "6C+": (19, 20),
    "7A": (20, 20),
    "7A+": (21, 21),
    "7B": (22, 22),
    "7B+": (23, 23),
    "7C": (24, 25),
    "7C+": (25, 25),
    "8A": (26, 26),
    "8A+": (27, 27),
    "8B": (28, 28),
    "8B+": (29, 30),
    "8C": (30, 31),
    "8C+": (32, 32),
}
GRADES: dict[str, Grade] = {
    **{name: Grade(name, Scale.V, *span) for name, span in _V.items()},
    **{name: Grade(name, Scale.FONT, *span) for name, span in _FONT.items()},
}
#: Route grades of the chart, French and UIAA, with their place on the scale. They are known only
#: to be refused: the same number means something else on a boulder.
ROUTES: dict[str, tuple[int, int]] = {
    "5+": (10, 10),
    "6a": (11, 11),
    "6a+": (12, 12),
    "6b": (13, 13),
    "6b+": (14, 14),
    "6c": (15, 15),
    "6c+": (16, 16),
    "7a": (17, 17),
    "7a+": (18, 18),
    "7b": (19, 19),
    "7b+": (20, 20),
    "7c": (21, 21),
    "7c+": (22, 22),
    "8a": (23, 23),
    "8a+": (24, 24),
    "8b": (25, 25),
    "8b+": (26, 26),
    "8c": (27, 27),
    "8c+": (28, 28),
    "9a": (29, 29),
    "9a+": (30, 30),
    "9b": (31, 31),
    "9b+": (32, 32),
    "VII": (13, 14),
    "VIII": (17, 17),
    "XII": (32, 32),
}
#: Least number of each ability group, from lower grade to higher elite.
_GROUPS: dict[Sex, tuple[int, ...]] = {
    Sex.MALE: (1, 10, 18, 24, 28),
    Sex.FEMALE: (1, 10, 15, 21, 27),
}


def grade(name: str) -> Grade:
    """The boulder grade that a name means; 'v4' and 'V4' are the same, '7A' and '7a' are not.

    Raises UsageError with the nearest valid name, and for a route grade with the reason.
    """
    text = name.strip()
    upper = text.upper() if text[:1] in ("v", "V") and text not in ROUTES else text
    if upper in GRADES:
        return GRADES[upper]
    if text in ROUTES:
        raise UsageError(
            f"{text!r} is a route grade",
            "boulder and route grades are never mixed; write a boulder grade such as "
            f"{_nearest(text.upper())}",
        )
    raise UsageError(f"no boulder grade is called {name!r}", f"the nearest is {_nearest(upper)}")


def _nearest(text: str) -> str:
    """The most alike name, of those that begin alike where there are some."""
    names = [name for name in GRADES if name[:1] == text[:1]] or list(GRADES)
    close = get_close_matches(text, names, n=1, cutoff=0.0)
    return close[0] if close else names[0]


def span(names: Iterable[str]) -> tuple[int, int] | None:
    """Least and most of several boulder grades; None for none."""
    grades = [grade(name) for name in names]
    if not grades:
        return None
    return min(item.least for item in grades), max(item.most for item in grades)


def group(number: int, sex: Sex) -> int:
    """The ability group, 1 (lower grade) to 5 (higher elite), of a number from 1 to 32.

    Raises UsageError outside the chart.
    """
    if not 1 <= number <= 32:
        raise UsageError(f"{number} is not in the chart", "it goes from 1 to 32")
    return sum(number >= least for least in _GROUPS[sex])
