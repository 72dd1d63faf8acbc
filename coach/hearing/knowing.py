"""Which phrases the recogniser knows by itself, which were taught, and which it can't know.

Its weights were made from English speech: of another language it hears what it was taught.
"""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from pathlib import Path

from coach.errors import AudioError
from coach.hearing.weights import OWN_LANGUAGE


class Known(StrEnum):
    """How a phrase is known."""

    ITSELF = "by itself"
    TAUGHT = "taught"
    UNKNOWN = "not until taught"


def known_of(code: str, phrases: Sequence[str], folder: Path) -> dict[str, Known]:
    """How each phrase of a language is known; `folder` holds what was taught."""
    usual = Known.ITSELF if code == OWN_LANGUAGE else Known.UNKNOWN
    if not folder.exists():  # nothing was taught: no list of words waits for numpy
        return dict.fromkeys(phrases, usual)
    from coach.hearing.takes import load_all

    taught = load_all(folder)[0]
    return {phrase: Known.TAUGHT if phrase in taught else usual for phrase in phrases}


def hears_nothing(code: str, answers: Mapping[str, Sequence[str]], folder: Path) -> bool:
    """Whether no phrase of any answer can be heard yet."""
    how = known_of(code, [phrase for some in answers.values() for phrase in some], folder)
    return all(one is Known.UNKNOWN for one in how.values())


def unheard(
    code: str, answers: Mapping[str, Sequence[str]], folder: Path, file: Path
) -> list[AudioError]:
    """What to tell about answers of which no phrase can be heard yet, by phrase and file."""
    how = known_of(code, [phrase for some in answers.values() for phrase in some], folder)
    lost = [some[0] for some in answers.values() if all(how[one] is Known.UNKNOWN for one in some)]
    if not lost:
        return []
    more = f" and {len(lost) - 1} other answers" if len(lost) > 1 else ""
    return [
        AudioError(
            f"{file}: {lost[0]!r}{more} can't be heard until taught: the ear knows English",
            f"Keys do; 'coach words teach --language {code}' teaches, 'coach words' lists them.",
        )
    ]
