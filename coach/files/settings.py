"""What was told once and is remembered: `config.toml`, which the climber may edit as well.

Writing keeps the climber's own comments and order.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Annotated

import tomlkit
from pydantic import Field

from coach.errors import UsageError
from coach.files.atomic import write_text
from coach.files.checked_tables import ByValue, Table, validate
from coach.files.document import read
from coach.files.names import advice
from coach.model.person import AgeBand
from coach.model.place import Place
from coach.planning import pyramid

_HEAD = "What the coach remembers. Edit it freely; a key that is left out is asked again."


@dataclass(frozen=True, slots=True)
class Settings:
    """Remembered settings; None where never told."""

    age: AgeBand | None = None
    place: str | None = None
    """Name of a file of `routines/places`."""
    climbing: int | None = None
    """Months of climbing when it was told."""
    climbing_on: str | None = None
    """The day (YYYY-MM-DD) on which it was told; since then they have become more."""
    comfortable: str | None = None
    """The comfortable circuit at that place."""
    best: str | None = None
    """The best boulder so far: a circuit of that place, or a grade."""
    edge: str | None = None
    """The usual edge for the edge check."""
    voice: str | None = None
    """Name of a file of `voices`."""
    minutes: int | None = None
    """Length of the last session."""
    call: str | None = None
    """The word that calls the coach outside windows; `off` for none."""
    build_weeks: int | None = None
    """Weeks that are built up before an easier one is proposed; 0 for never by counting."""
    rest: float | None = None
    """Your rest between hard tries in seconds, 120 to 360, instead of the one that is learnt."""
    tries: int | None = None
    """Hard tries of a day at most, instead of what is learnt."""
    warm_up: str | None = None
    """`long` for a longer warm-up, `usual` for none, instead of what is learnt."""
    paces: Mapping[str, float] | None = None
    """Place and tier, such as `tarnwick easy` -> seconds of one boulder, instead of the learnt."""
    forgotten: Mapping[str, str] | None = None
    """What was learnt and is forgotten -> the day (YYYY-MM-DD) from which it is learnt anew."""
    recogniser: str | None = None
    """The recogniser: `whisper` or `vosk`; `coach words model list` tells of both."""
    model: str | None = None
    """Name of the model of vosk, one of `coach words model list`."""
    delays: Mapping[str, float] | None = None
    """Speaker -> seconds by which it is heard late, as `coach soundcheck --delay` measured."""


class SettingsTable(Table):
    """The file, key by key."""

    age: Annotated[AgeBand, ByValue] | None = None
    place: str | None = None
    climbing: Annotated[int, Field(ge=0, le=900)] | None = None
    climbing_on: Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\d$")] | None = None
    comfortable: str | None = None
    best: str | None = None
    edge: str | None = None
    voice: str | None = None
    minutes: Annotated[int, Field(ge=1, le=300)] | None = None
    call: str | None = None
    build_weeks: Annotated[int, Field(ge=0, le=12)] | None = None
    rest: Annotated[float, Field(ge=120, le=360)] | None = None
    tries: Annotated[int, Field(ge=1, le=9)] | None = None
    warm_up: Annotated[str, Field(pattern=r"^(long|usual)$")] | None = None
    paces: dict[str, Annotated[float, Field(ge=10, le=900)]] | None = None
    forgotten: dict[str, Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\d$")]] | None = None
    recogniser: Annotated[str, Field(pattern=r"^(whisper|vosk)$")] | None = None
    model: str | None = None
    delays: dict[str, Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]] | None = None


def load_settings(path: Path) -> Settings:
    """The settings of a file; all None where there is no file; FileError for a mistake in it."""
    if not path.exists():
        return Settings()
    return Settings(**dict(validate(read(path), SettingsTable)))


def save_settings(path: Path, settings: Settings) -> None:
    """Write the settings, all at once or not at all; comments that are there stay.

    A setting that is None loses its key. FileError if the file there is not valid.
    """
    if path.exists():
        load_settings(path)
        document = tomlkit.parse(path.read_text(encoding="utf-8"))
    else:
        document = tomlkit.document()
        document.add(tomlkit.comment(_HEAD))
    for key, value in asdict(settings).items():
        if value is not None:
            document[key] = str(value) if isinstance(value, AgeBand) else value
        elif key in document:
            del document[key]
    write_text(path, tomlkit.dumps(document))


def check_settings(path: Path, settings: Settings, place: Place) -> None:
    """FileError if a remembered circuit, grade or edge does not exist at the place."""
    edges = [edge.name for board in place.boards for edge in board.edges]
    names: Mapping[str, tuple[str | None, list[str]]] = {
        "comfortable": (settings.comfortable, [circuit.name for circuit in place.circuits]),
        "edge": (settings.edge, edges),
    }
    for key, (name, valid) in names.items():
        if name is not None and name not in valid:
            what = f"{place.name} has no {'circuit' if key == 'comfortable' else 'edge'} {name!r}"
            raise read(path).error((key,), what, advice(name, valid))
    try:
        pyramid.check_best(settings.best or "", place)
    except UsageError as error:
        raise read(path).error(("best",), error.what, error.do) from None
