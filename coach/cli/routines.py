"""`coach routines`: list, show, verify and copy the files that a session is made from."""

from pathlib import Path

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import routine_names
from coach.errors import ExitCode, FileError, UsageError
from coach.files.file_checks import verify_all, verify_file
from coach.files.find import FileKind
from coach.files.movements import load_movements
from coach.files.paths import paths
from coach.files.routines import copy_routine, list_routines, load_routine
from coach.model.movement import Movement
from coach.model.routine import BlockSpec, Item


@click.group("routines")
def command() -> None:
    """List, show, check or copy routines."""


@command.command("list")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@click.pass_context
def list_command(ctx: click.Context, as_json: bool) -> None:
    """List the routines there are: ours, and your own. A broken one is named and left out."""
    movements = load_movements(paths().user_dirs)
    routines, mistakes = [], []
    for name in list_routines(paths().user_dirs):
        try:
            routines.append(load_routine(name, movements, paths().user_dirs))
        except FileError as mistake:
            mistakes.append(mistake)
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
    for told in mistakes:
        diagnostics.note(f"{told}")
    if mistakes:
        ctx.exit(ExitCode.USAGE)


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
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@click.pass_context
def verify(ctx: click.Context, file: Path | None, as_json: bool) -> None:
    """Check every file of movements, routines, places, voices and words.

    Ours and your own; with FILE only that one, wherever it stands. Names the first mistake of
    each file with its key and line.
    """
    checked, mistakes = _verified(file)
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


def _verified(file: Path | None) -> tuple[list[Path], list[FileError]]:
    """The files without a mistake, and the first mistake of each other one."""
    if file is None:
        return verify_all(paths().user_dirs)
    try:
        verify_file(file, paths().user_dirs)
    except FileError as mistake:
        return [], [mistake]
    return [file], []


@command.command("copy")
@click.argument("name", shell_complete=routine_names)
@click.argument("new_name")
def copy(name: str, new_name: str) -> None:
    """Copy a routine under a new name into your own folder, to change it there."""
    if not new_name or Path(new_name).name != new_name:
        raise UsageError(f"{new_name!r} is no name for a routine", "Take letters and hyphens.")
    target = paths().data / FileKind.ROUTINE.value / f"{new_name}.toml"
    output.line(str(copy_routine(name, target, paths().user_dirs)))
    diagnostics.note("Edit it, then 'coach routines verify' checks it.")


def _title(texts: object) -> str:
    """The title in English, or in the first language there is."""
    assert isinstance(texts, dict)
    return str(texts.get("en") or next(iter(texts.values()), ""))
