"""`coach routines`: list, show, verify and copy the files that a session is made from."""

import shutil
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import routine_names
from coach.errors import CoachError, ExitCode, FileError, UsageError
from coach.files.find import Kind, files, find
from coach.files.movements import load_movements, movement_files
from coach.files.paths import paths
from coach.files.places import load_place
from coach.files.routines import list_routines, load_routine
from coach.files.voices import load_voice
from coach.files.words import list_languages, load_language
from coach.model.movement import Movement
from coach.model.routine import BlockSpec, Item


@click.group("routines")
def command() -> None:
    """List, show, check or copy routines."""


@command.command("list")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
def list_command(as_json: bool) -> None:
    """List the routines there are: ours, and your own."""
    movements = load_movements(paths().user_dirs)
    routines = [
        load_routine(name, movements, paths().user_dirs)
        for name in list_routines(paths().user_dirs)
    ]
    if as_json:
        output.document(
            [
                {"name": one.name, "minutes": one.minutes, "least_minutes": one.least_minutes}
                for one in routines
            ]
        )
    else:
        output.table(
            (one.name, f"{one.minutes} min", f"at least {one.least_minutes}", _title(one.title))
            for one in routines
        )


@command.command("show")
@click.argument("name", shell_complete=routine_names)
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
def show(name: str, as_json: bool) -> None:
    """Show what a routine holds, block by block."""
    movements = load_movements(paths().user_dirs)
    routine = load_routine(name, movements, paths().user_dirs)
    if as_json:
        output.document(routine)
        return
    output.line(f"{_title(routine.title)}: {routine.minutes} min, at least {routine.least_minutes}")
    for block in routine.blocks:
        output.line()
        output.line(_heading(block))
        output.table((_item(item, movements) for item in block.items), indent="  ")


def _heading(block: BlockSpec) -> str:
    """One line that tells a block's length and its gate."""
    floor = f", floor {block.floor / 60:g} min" if block.floor else ""
    gate = f", ends with {block.gate}" if block.gate else ""
    return f"{block.name or block.kind}: up to {block.most / 60:g} min{floor}{gate}"


def _item(item: Item, movements: dict[str, Movement]) -> tuple[str, ...]:
    """One line of a block: what, how often, how much."""
    movement = movements[item.movement]
    sets = f"{item.sets} x " if item.sets > 1 else ""
    amount = item.amount if item.amount is not None else movement.amount
    return (item.movement, f"{sets}{amount} {movement.unit}", _title(movement.title))


@command.command("verify")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@click.pass_context
def verify(ctx: click.Context, as_json: bool) -> None:
    """Check every file of movements, routines, places, voices and words.

    Ours and your own. Tells the first mistake of each file with its key and line.
    """
    checked, mistakes = _verified(paths().user_dirs)
    if as_json:
        output.document(
            {
                "checked": checked,
                "mistakes": [
                    {"file": one.path, "line": one.line, "key": one.key, "what": one.what}
                    for one in mistakes
                ],
            }
        )
    else:
        output.lines(f"good  {path}" for path in checked)
        for mistake in mistakes:
            diagnostics.note(f"{mistake}")
    if mistakes:
        ctx.exit(ExitCode.USAGE)


def _verified(user_dirs: Sequence[Path]) -> tuple[list[Path], list[FileError]]:
    """The files without a mistake, and the first mistake of each other one."""
    checked: list[Path] = []
    mistakes: list[FileError] = []

    def check(read: Sequence[Path], load: Callable[[], object]) -> bool:
        try:
            load()
        except FileError as mistake:
            mistakes.append(mistake)
            return False
        checked.extend(read)
        return True

    if check(movement_files(user_dirs), partial(load_movements, user_dirs)):
        movements = load_movements(user_dirs)
        for name, path in files(Kind.ROUTINE, user_dirs).items():
            check([path], partial(load_routine, name, movements, user_dirs))
        for code in list_languages(user_dirs):
            load = partial(load_language, code, movements, user_dirs)
            check([Path(f"voices/words/{code}.toml")], load)
    for name, path in files(Kind.PLACE, user_dirs).items():
        check([path], partial(load_place, name, user_dirs))
    for name, path in files(Kind.VOICE, user_dirs).items():
        check([path], partial(load_voice, name, user_dirs))
    return checked, mistakes


@command.command("copy")
@click.argument("name", shell_complete=routine_names)
@click.argument("new_name")
def copy(name: str, new_name: str) -> None:
    """Copy a routine under a new name into your own folder, to change it there."""
    if not new_name or Path(new_name).name != new_name:
        raise UsageError(f"{new_name!r} is no name for a routine", "Take letters and hyphens.")
    source = find(Kind.ROUTINE, name, paths().user_dirs)
    target = paths().data / Kind.ROUTINE.value / f"{new_name}.toml"
    if target.exists():
        raise UsageError(f"{target} is there already", "Take another name, or edit that file.")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
    except OSError as error:
        raise CoachError(f"{target} can't be written: {error.strerror}") from error
    output.line(str(target))
    diagnostics.note("Edit it, then 'coach routines verify' checks it.")


def _title(texts: object) -> str:
    """The title in English, or in the first language there is."""
    assert isinstance(texts, dict)
    return str(texts.get("en") or next(iter(texts.values()), ""))
