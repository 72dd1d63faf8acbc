"""A frozen value with some of its fields changed.

`dataclasses.replace` gives every field to the constructor again, and a session of fifty fields is
changed several times an event: that alone was most of what a replay took.
"""

from collections.abc import Mapping
from typing import Any, TypeVar

T = TypeVar("T")


def changed(value: T, new: Mapping[str, Any]) -> T:
    """The value with some fields new; KeyError where it has no such field.

    Its class is a dataclass whose fields lie in its `__dict__` (no slots) and are all that the
    constructor sets (no `__post_init__`): they are copied as they are.
    """
    fields = {**vars(value), **new}
    if len(fields) > len(vars(value)):
        raise KeyError(*(new.keys() - vars(value).keys()))
    made = object.__new__(type(value))
    object.__setattr__(made, "__dict__", fields)
    return made
