"""Where models of the recogniser vosk can be had: `voices/models/vosk.toml`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import Field

from coach.errors import UsageError
from coach.files.checked_tables import Language, Table, validate
from coach.files.document import read
from coach.files.find import FileKind, find
from coach.files.names import advice


@dataclass(frozen=True, slots=True)
class Model:
    """One model that can be fetched."""

    name: str
    """Name of its folder, once it is here."""
    url: str
    """Where its zip file is."""
    sha256: str | None = None
    """Checksum of the zip file; None where it is not known, so that it can't be checked."""


class ModelTable(Table):
    """One model of the file."""

    name: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$")]
    url: Annotated[str, Field(pattern=r"^https?://[^\s]+$")]
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")] | None = None


class ModelsTable(Table):
    """The file: models by language."""

    models: dict[Language, ModelTable]


def load_models(user_dirs: Sequence[Path] = ()) -> Mapping[str, Model]:
    """Every model by language; FileError for the first mistake in the file."""
    table = validate(read(find(FileKind.MODELS, "vosk", user_dirs)), ModelsTable)
    return {
        language: Model(one.name, one.url, one.sha256) for language, one in table.models.items()
    }


def model_of(language: str, user_dirs: Sequence[Path] = ()) -> Model:
    """The model of a language; UsageError with those there are."""
    known = load_models(user_dirs)
    if language not in known:
        hint = f"{advice(language, known)} 'coach words model add FOLDER' takes any other.".strip()
        raise UsageError(f"no model is known for the language {language!r}", hint)
    return known[language]
