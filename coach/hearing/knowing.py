"""Which phrases the recogniser knows by itself, which were taught, and which it can't know.

Its weights were made from English speech: of another language it hears what it was taught.
"""

from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path

from coach.hearing.takes import load_all

#: Language of the recogniser's weights.
OWN_LANGUAGE = "en"


class Known(StrEnum):
    """How a phrase is known."""

    ITSELF = "by itself"
    TAUGHT = "taught"
    UNKNOWN = "not until taught"


def known_of(code: str, phrases: Sequence[str], folder: Path) -> dict[str, Known]:
    """How each phrase of a language is known; `folder` holds what was taught."""
    taught = load_all(folder)[0]
    usual = Known.ITSELF if code == OWN_LANGUAGE else Known.UNKNOWN
    return {phrase: Known.TAUGHT if phrase in taught else usual for phrase in phrases}
