"""From a TOML document to a checked table: strict pydantic models, and their errors in our words.

Models live at this edge only; each kind of file turns its own into the model's dataclasses.
"""

from collections.abc import Iterable, Mapping
from types import NoneType, UnionType
from typing import Annotated, Any, NoReturn, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from coach.files.document import Document
from coach.files.names import advice
from coach.files.positions import Key

#: Enum members are written as their value; everything else is taken by its exact type.
ByValue = Field(strict=False)
Name = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
"""What files call each other by: small letters, digits and hyphens."""
Text = Annotated[str, Field(min_length=1)]
Language = Annotated[str, Field(pattern=r"^[a-z]{2}$")]
Texts = Annotated[dict[Language, Text], Field(min_length=1)]
Seconds = Annotated[float, Field(ge=0, le=24 * 3600, allow_inf_nan=False)]


class Table(BaseModel):
    """Base of every table of a file: no unknown keys, no guessing of types."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


T = TypeVar("T", bound=Table)


def validate(document: Document, model: type[T]) -> T:
    """The document as a table; FileError for the first mistake in the file."""
    try:
        return model.model_validate(document.values)
    except ValidationError as error:
        _refuse(document, model, error)


def _refuse(document: Document, model: type[Table], error: ValidationError) -> NoReturn:
    """Raise the first mistake. A missing key comes last: mostly it is misspelt."""
    found = [
        (detail["type"] == "missing", document.error(key, *_sentence(detail, model, key)))
        for detail in error.errors(include_url=False)
        for key in [_key(detail)]
    ]
    raise min(found, key=lambda item: (item[0], item[1].line))[1] from None


def _key(detail: ErrorDetails) -> Key:
    """Pydantic marks a mistake in the key of a mapping by a last '[key]'."""
    return tuple(part for part in detail["loc"] if part != "[key]")


_TYPES = {
    "int_type": "a whole number",
    "float_type": "a number",
    "string_type": "a text in quotes",
    "bool_type": "true or false",
    "list_type": "an array in [ ]",
    "dict_type": "a table",
    "model_type": "a table",
}


def _sentence(detail: ErrorDetails, model: type[Table], key: Key) -> tuple[str, str]:
    """What is wrong and what to do, for one mistake that pydantic found."""
    kind, given, limits = detail["type"], detail["input"], detail.get("ctx", {})
    if kind == "extra_forbidden":
        return "there is no such key", advice(str(key[-1]), _known(model, key[:-1]))
    if kind == "missing":
        return "is missing", "Add it to this table."
    if kind == "enum":
        return f"there is no {given!r}", advice(str(given), _quoted(str(limits["expected"])))
    if kind in _TYPES:
        return f"must be {_TYPES[kind]}, not {_shown(given)}", ""
    if kind == "string_pattern_mismatch":
        return f"{given!r} is not a name", _pattern_advice(str(limits["pattern"]))
    limit = next((limits[name] for name in ("ge", "gt", "le", "lt") if name in limits), None)
    if limit is not None:
        word = {"greater_than_equal": "at least", "greater_than": "more than"}.get(kind)
        word = word or {"less_than_equal": "at most"}.get(kind, "less than")
        return f"must be {word} {limit:g}, not {_shown(given)}", ""
    if kind in ("too_short", "string_too_short"):
        return "must not be empty", ""
    return f"{detail['msg'].lower()}, not {_shown(given)}", ""


def _pattern_advice(pattern: str) -> str:
    if pattern.startswith("^[a-z]{2}$"):
        return "A language is two small letters, such as en."
    return "Use small letters, digits and hyphens, such as wall-push-ups."


def _shown(given: object) -> str:
    if isinstance(given, str):
        return f"the text {given!r}"
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, Mapping):
        return "a table"
    if isinstance(given, list):
        return "an array"
    return str(given)


def _quoted(expected: str) -> list[str]:
    """The names in pydantic's list of enum values: "'a', 'b' or 'c'"."""
    return expected.split("'")[1::2]


def _known(model: type[Table], key: Key) -> Iterable[str]:
    """The keys that are valid in the table at a place."""
    at: Any = model
    for part in key:
        at = _inside(at, part)
    fields: Iterable[str] = at.model_fields
    return fields


def _inside(annotation: Any, part: str | int) -> Any:
    """The type of what stands under one part of a key."""
    bare = _bare(annotation)
    if isinstance(bare, type) and issubclass(bare, Table):
        return _bare(bare.model_fields[str(part)].annotation)
    return _bare(get_args(bare)[-1])


def _bare(annotation: Any) -> Any:
    """The type without `| None` and without what Annotated adds."""
    if get_origin(annotation) is Annotated:
        return _bare(get_args(annotation)[0])
    if get_origin(annotation) in (Union, UnionType):
        return _bare(next(item for item in get_args(annotation) if item is not NoneType))
    return annotation
