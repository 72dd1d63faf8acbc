"""Spoilt files imported: no traceback, and all of one or nothing of it."""

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from tests.journal.test_mutated_imports import spoilt as imported


def spoilt(folder: Path, numbers: Sequence[int]) -> Counter[str]:
    """So many files; an exception or half a file stops it."""
    return Counter({**imported(folder, len(numbers), 7 + numbers[0]), "files": len(numbers)})
