"""A library by which one it is, so that what was worked out for it is used again.

What it holds can't be hashed, and one lasts a whole session.
"""

from coach.model.day import Library


class Same:
    """Equal to another only where both stand for the very same library."""

    __slots__ = ("library",)

    def __init__(self, library: Library) -> None:
        self.library = library

    def __hash__(self) -> int:
        return id(self.library)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.library is other.library
