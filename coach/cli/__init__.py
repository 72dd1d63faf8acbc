"""The command line: the table of commands, and the one way in and out of the process.

Each command lives in a file of its own, which is imported only when that command runs: `COMMANDS`
holds all that the overview needs, so that `coach --help` pays for no engine and no screen.
"""

import gc
import sys
from importlib import import_module
from typing import NoReturn

import click

from coach.cli import diagnostics
from coach.errors import UsageError

#: Command -> its one line in the overview; the file of the same name in this package holds it.
COMMANDS = {
    "start": "Run a session.",
    "group": "Warm up a group with its leader.",
    "large": "Show the running session large, for reading from afar.",
    "rest": "Time the rests between hard tries, and nothing else.",
    "plan": "Print what a session would hold, without sound.",
    "rehearse": "Run a session in seconds, with answers from a file.",
    "soundcheck": "Test speaker, microphone, engines and journal.",
    "words": "List what may be said, and teach it.",
    "routines": "List, show, check or copy routines.",
    "history": "List sessions, show one, compare two, correct one.",
    "trends": "Show how many sessions add up, in charts and words.",
    "suggest": "Suggest what the next session could be, with the reasons.",
    "year": "Show a year on one page.",
    "learnt": "Show what was learnt of you, change it, forget it.",
    "trial": "Try one change for four sessions; without WHAT, show how earlier trials went.",
    "boulders": "List your hard boulders, or show all about one.",
    "notes": "List, play and delete spoken notes.",
    "export": "Write the record to OUT for other programs.",
    "journal": "Verify, back up, merge and delete; aims.",
    "people": "List who the journal knows, and what stands for them.",
    "paths": "Print where things are kept.",
}

#: As `gc.set_threshold` takes them: from a long record hundreds of thousands of values are read,
#: and to look for garbage among them at the usual pace takes a fifth of the time.
SELDOM = (50_000, 20, 50)

OVERVIEW = """\
Plan a bouldering session, speak it, listen, and bend to short answers.

\b
  coach start                  a session with the usual routine
  coach start --until 19:10    one that is over by then
  coach plan --minutes 45      what 45 minutes would hold
"""


class Commands(click.Group):
    """The commands by name, each imported when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command, the most used first."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        if cmd_name not in COMMANDS:
            return None
        # What is imported stays: looking for garbage in it costs a tenth of the time.
        gc.disable()
        command = import_module(f"coach.cli.{cmd_name}").command
        gc.freeze()
        gc.set_threshold(*SELDOM)
        gc.enable()
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that the line names; a wrong name is told the nearest one."""
        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
            from coach.files.names import advice

            raise UsageError(f"there is no command {args[0]!r}", advice(args[0], COMMANDS))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the overview from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _version(ctx: click.Context, option: click.Parameter, asked: bool) -> None:
    """Print the version; what looks it up is loaded for nothing else."""
    if asked:
        from coach.distribution import program

        click.echo(f"coach {program()}")
        ctx.exit()


@click.group(
    cls=Commands,
    help=OVERVIEW,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="'coach COMMAND -h' tells more of each; exit codes: docs/commands.md",
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_version,
    help="Show the version and leave.",
)
@click.option("--debug", is_flag=True, help="Show the whole trace of an unexpected error.")
@click.pass_context
def commands(ctx: click.Context, debug: bool) -> None:
    """Show the overview where no command is named."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def main() -> NoReturn:
    """Run the command line and leave with its exit code."""
    raise SystemExit(diagnostics.guarded(commands, sys.argv[1:]))
