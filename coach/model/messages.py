"""What the program has to say, before it is words: a key and its values.

The core decides *that* something is said; `coach.language` decides how.
"""

from dataclasses import dataclass

Value = str | int | float


@dataclass(frozen=True, slots=True)
class Message:
    """A sentence of the language pack by key, with the values to put in."""

    key: str
    values: tuple[tuple[str, Value], ...] = ()

    def value(self, name: str) -> Value | None:
        """The value called name, or None."""
        return dict(self.values).get(name)


def message(key: str, **values: Value) -> Message:
    """Build a Message; values are kept in name order so that equal ones compare equal."""
    return Message(key, tuple(sorted(values.items())))
