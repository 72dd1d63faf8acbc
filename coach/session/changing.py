"""A frozen value with some of its fields changed.

`dataclasses.replace` asks every field how it is made, each time; for a session of fifty fields,
changed several times an event, that was half of all the work of a step.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields
from functools import cache
from operator import attrgetter
from typing import Any, TypeVar

T = TypeVar("T")


def changed(value: T, new: Mapping[str, Any]) -> T:
    """The value with some fields new; TypeError where it has no such field.

    Every field is given to the constructor, so none may be left out of it (`init=False`).
    """
    kind: Callable[..., T] = type(value)
    names, values = _of(kind)
    return kind(**{**dict(zip(names, values(value), strict=True)), **new})


@cache
def _of(kind: Any) -> tuple[tuple[str, ...], Callable[[Any], tuple[Any, ...]]]:
    names = tuple(field.name for field in fields(kind))
    return names, attrgetter(*names)
