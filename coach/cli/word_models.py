"""`coach words model`: the recognisers, and models for the one that hears other languages."""

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import click

from coach import distribution
from coach.cli import diagnostics, output
from coach.errors import AudioError, UsageError
from coach.files.model_sources import model_of
from coach.files.names import advice
from coach.files.paths import Paths, paths
from coach.files.settings import load_settings, save_settings
from coach.hearing import vosk_models
from coach.hearing.fetching import fetch
from coach.hearing.recognisers import FIGURES, NAMES


@click.group("model")
def model() -> None:
    """Choose the recogniser, and add models for vosk, which hears other languages."""


@model.command("list")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
def list_(as_json: bool) -> None:
    """List the recognisers with what was measured of each, and the models that are here."""
    known, there = load_settings(paths().settings), vosk_models.installed(paths().models)
    used = known.recogniser or NAMES[0]
    if as_json:
        output.document(
            {"used": used, "figures": FIGURES, "models": there, "model": known.model or ""}
        )
        return
    for name in NAMES:
        output.line(f"{'*' if name == used else ' '} {name}: {FIGURES[name]}")
    for one in there:
        output.line(f"{'*' if used == 'vosk' and one == known.model else ' '} model {one}")
    if not there:
        output.line("  no model is here; 'coach words model fetch LANGUAGE' gets one")


@model.command("use")
@click.argument("name")
def use(name: str) -> None:
    """Use a recogniser: whisper, or vosk with the model NAME."""
    known = paths()
    there = vosk_models.installed(known.models)
    if name not in ("whisper", *there):
        hint = advice(name, ["whisper", *there])
        raise UsageError(f"no recogniser and no model is called {name!r}", hint)
    settings = load_settings(known.settings)
    if name == "whisper":
        settings = replace(settings, recogniser="whisper")
    else:
        settings = replace(settings, recogniser="vosk", model=name)
    save_settings(known.settings, settings)
    used = settings.recogniser or "whisper"
    output.line(f"{used} listens from the next session on: {FIGURES[used]}")


@model.command("add")
@click.argument("folder", type=click.Path(path_type=Path))
def add(folder: Path) -> None:
    """Add a model from the FOLDER it was unpacked into."""
    _ready(vosk_models.add(folder, paths().models))


@model.command("fetch")
@click.argument("language")
@click.option("--url", metavar="URL", help="Another file than the one that is known.")
@click.option("--sha256", metavar="HEX", help="Its checksum, where none is known.")
@click.option("--unchecked", is_flag=True, help="Take a file whose checksum nobody knows here.")
def fetch_(language: str, url: str | None, sha256: str | None, unchecked: bool) -> None:
    """Get a model for LANGUAGE, such as 'de', from the network, and check it.

    What was known when the program was made stands in voices/models/vosk.toml. A fetch that broke
    off goes on where it stopped. Nothing else here ever fetches anything.
    """
    known = paths()
    wanted = model_of(language, known.user_dirs)
    if url is not None:
        if not url.lower().startswith(("http://", "https://")):
            raise UsageError(f"{url!r} is no address", "One begins with https:// or http://.")
        wanted = replace(wanted, url=url, sha256=None)
    digest = sha256.lower() if sha256 is not None else wanted.sha256
    if digest is None and not unchecked:
        raise UsageError(
            f"no checksum is known for {wanted.url}, so it could not be checked",
            "Give it with --sha256, or take it as it comes with --unchecked.",
        )
    if (known.models / wanted.name).exists():
        raise UsageError(f"{known.models / wanted.name} is there already", "Remove it first.")
    archive = known.models / f".{wanted.name}.zip"
    diagnostics.note(f"Fetching {wanted.url}")
    found = fetch(wanted.url, archive, _progress(), digest)
    if digest is None:
        diagnostics.note(f"It can't be checked. Its sha256 is {found}")
    try:
        made = vosk_models.unpack(archive, known.models, wanted.name)
    finally:
        archive.unlink(missing_ok=True)
    _ready(made)


def _ready(place: Path) -> None:
    """Try the model where vosk is installed; one that can't be loaded goes again."""
    lacking = _tried(place, paths())
    output.line(f"{place.name} is here.{lacking}")
    output.line(f"'coach words model use {place.name}' lets it listen.")


def _tried(place: Path, known: Paths) -> str:
    """Load it in a process of its own; a word on what could not be tried."""
    from importlib.util import find_spec

    from coach.hearing.child import ChildEngine

    if find_spec("vosk") is None:
        return f" It was not tried: {distribution.add('vosk')} adds what loads it."
    try:
        ChildEngine("vosk", place).stop()
    except AudioError as error:
        vosk_models.remove(place, known.models)
        raise AudioError(
            f"{error.what}", "It was not added. Fetch it anew, or use another."
        ) from error
    return ""


def _progress() -> Callable[[int, int | None], None]:
    """Tell how much is here: on one line at a terminal, else every tenth part."""
    terminal = sys.stderr.isatty()
    told = -1

    def tell(have: int, total: int | None) -> None:
        nonlocal told
        step = have * 10 // total if total else have // 10_000_000
        size = f"{have / 1e6:.1f} MB" + (f" of {total / 1e6:.1f} MB" if total else "")
        if terminal:
            sys.stderr.write(f"\r{size}" + ("\n" if have == total else ""))
            sys.stderr.flush()
        elif step != told:
            diagnostics.note(size)
        told = step

    return tell
