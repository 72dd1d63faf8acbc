"""A frozen value with some of its fields changed.

`dataclasses.replace` takes twice as long, for it asks every field how it is made, each time; and
a session of fifty fields is changed several times an event.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields
from functools import cache
from operator import attrgetter
from typing import Any, TypeVar

T = TypeVar("T")


def changed(value: T, new: Mapping[str, Any]) -> T:
    """The value with some fields new; KeyError where it has no such field.

    Every field is given to the constructor in order, so none may be left out of it
    (`init=False`) or be taken by name only.
    """
    kind: Callable[..., T] = type(value)
    places, all_of = _of(kind)
    values = list(all_of(value))
    for name, told in new.items():
        values[places[name]] = told
    return kind(*values)


@cache
def _of(kind: Any) -> tuple[dict[str, int], Callable[[Any], tuple[Any, ...]]]:
    names = [field.name for field in fields(kind)]
    return {name: place for place, name in enumerate(names)}, attrgetter(*names)
