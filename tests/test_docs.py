"""The documents tell what the program can do: all of it, as it is now."""

from pathlib import Path

import click
import pytest

from coach.cli import COMMANDS, commands
from coach.errors import ExitCode
from docs import generate

DOCS = Path(__file__).parents[1] / "docs"
REFERENCE = (DOCS / "commands.md").read_text(encoding="utf-8")


def found(names: tuple[str, ...]) -> click.Command:
    """The command that the names lead to."""
    command: click.Command = commands
    for name in names:
        assert isinstance(command, click.Group)
        inner = command.get_command(click.Context(command), name)
        assert inner is not None
        command = inner
    return command


@pytest.mark.parametrize("names", generate.every_command(), ids=" ".join)
def test_a_command_is_documented_as_it_is(names: tuple[str, ...]) -> None:
    assert generate.help_of(*names) in REFERENCE, "run: cog -r docs/*.md"


@pytest.mark.parametrize("names", [(), *generate.every_command()], ids=" ".join)
def test_every_option_says_what_it_does(names: tuple[str, ...]) -> None:
    options = [param for param in found(names).params if isinstance(param, click.Option)]

    assert [option.opts for option in options if not option.help] == []


@pytest.mark.parametrize("name", COMMANDS)
def test_the_overview_says_of_a_command_what_the_command_says(name: str) -> None:
    assert found((name,)).get_short_help_str(200) == COMMANDS[name]


@pytest.mark.parametrize("code", ExitCode)
def test_an_exit_code_is_documented(code: ExitCode) -> None:
    assert f"| {code.value} | {generate.EXIT_CODES[code]} |" in REFERENCE
