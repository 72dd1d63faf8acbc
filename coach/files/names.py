"""The nearest valid name, so that every error about a name offers the one that was meant."""

from collections.abc import Iterable
from pathlib import Path

from rapidfuzz import fuzz, process

#: Likeness, 0 to 100, under which a guess would only confuse.
LIKE_ENOUGH = 60.0
#: And from which on two names, or a name and an answer, are taken for each other.
ALIKE = 80.0
#: How many names a sentence can list.
FEW = 16


def nearest(name: str, valid: Iterable[str], like: float = LIKE_ENOUGH) -> str | None:
    """The valid name most like the one given, or None if none is like it."""
    found = process.extractOne(name, sorted(valid), scorer=fuzz.ratio, score_cutoff=like)
    return found[0] if found else None


def advice(name: str, valid: Iterable[str]) -> str:
    """What to do about a name that is not valid."""
    known = sorted(valid)
    guess = nearest(name, known)
    offered = ", ".join(known) if 0 < len(known) <= FEW else ""
    if guess is not None:
        return f"Did you mean {guess!r}?" + (f" Valid here: {offered}." if offered else "")
    return f"Valid here: {offered}." if offered else "Leave it out, or add what it names."


def file_advice(path: Path) -> str:
    """What to do about a file that can't be read: the file beside it that was meant, if any."""
    folder = path.absolute().parent
    if not folder.is_dir():
        return f"There is no folder {str(path.parent)!r}."
    if path.exists():
        return "Check that it is a file, and that you may read it."
    guess = nearest(path.name, (beside.name for beside in folder.iterdir() if beside.is_file()))
    return f"Did you mean {str(path.parent / guess)!r}?" if guess else "Check the name."
