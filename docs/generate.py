"""What the documents hold that the program already knows: help texts, exit codes, fields.

`cog -r docs/*.md` writes it into them; `.ci/run` and the tests say when they are stale.
"""

import click

from coach.cli import COMMANDS, commands
from coach.errors import ExitCode

WIDTH = 90

#: What each exit code means to who called the program.
EXIT_CODES = {
    ExitCode.OK: "all went well; also a session that was ended early: it is saved",
    ExitCode.FAILED: "something else failed; `coach --debug ...` shows its trace",
    ExitCode.USAGE: "the command line, or a settings, routine, place, voice or answers file, is "
    "not valid: the message names file, key and line",
    ExitCode.AUDIO: "a sound device or an engine is missing: the message says what to install",
    ExitCode.JOURNAL: "the journal can't be read or written, or another session writes to it",
    ExitCode.INTERRUPTED: "interrupted with Ctrl-C: what was announced is saved, "
    "`coach start --resume` goes on",
}


def help_of(*names: str) -> str:
    """The help text of a command, or of a command of a command, as a terminal shows it."""
    command: click.Command = commands
    ctx = click.Context(command, info_name="coach", terminal_width=WIDTH)
    for name in names:
        assert isinstance(command, click.Group)
        found = command.get_command(ctx, name)
        assert found is not None, f"no command {name!r}"
        command = found
        ctx = click.Context(command, info_name=name, parent=ctx, terminal_width=WIDTH)
    return command.get_help(ctx)


def every_command() -> list[tuple[str, ...]]:
    """The names of every command, those inside others included."""
    found: list[tuple[str, ...]] = []
    ctx = click.Context(commands)
    for name in COMMANDS:
        command = commands.get_command(ctx, name)
        found.append((name,))
        if isinstance(command, click.Group):
            found.extend((name, inner) for inner in command.list_commands(ctx))
    return found


def command_reference() -> str:
    """Every command with its help, as Markdown."""
    sections = []
    for names in [(), *every_command()]:
        title = " ".join(("coach", *names))
        sections.append(f"## {title}\n\n```text\n{help_of(*names)}\n```")
    return "\n\n".join(sections)


def exit_codes() -> str:
    """The exit codes as a Markdown table."""
    rows = [f"| {code.value} | {EXIT_CODES[code]} |" for code in ExitCode]
    return "\n".join(["| code | meaning |", "| ---: | --- |", *rows])
