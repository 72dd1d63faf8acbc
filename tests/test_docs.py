"""The documents tell what the program can do: all of it, as it is now."""

import re
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from coach.cli import COMMANDS, commands
from coach.errors import ExitCode
from coach.files.checked_tables import Table
from docs import fields, generate, lasting, states, tries
from tests.audio.faults import Kind

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"


def text(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


REFERENCE = text("commands.md")


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


def test_every_table_of_a_file_is_documented_as_it_is() -> None:
    documented = {table for parts in fields.FILES.values() for _, table, _ in parts}

    assert documented == set(Table.__subclasses__())
    assert fields.reference() in text("files.md"), "run: cog -r docs/*.md"


@pytest.mark.parametrize("part", [generate.answers, generate.questions, generate.keys])
def test_answers_questions_and_keys_are_documented_as_they_are(part: Callable[[], str]) -> None:
    assert part() in text("answers.md"), "run: cog -r docs/*.md"


def test_the_table_of_the_session_is_documented_as_it_is() -> None:
    assert states.taken() in text("states.md"), "run: cog -r docs/*.md"


def test_offers_and_suggested_rests_are_documented_as_they_are() -> None:
    for part in (tries.causes, tries.rests):
        assert part() in text("tries.md"), "run: cog -r docs/*.md"


def test_every_fault_is_documented_as_it_is() -> None:
    assert set(lasting.WHAT) == set(Kind)
    for part in (lasting.faults, lasting.words, lasting.coming):
        assert part() in text("lasting.md"), "run: cog -r docs/*.md"


DOCUMENTS = {path.name: path for path in [*ROOT.glob("*.md"), *DOCS.rglob("*.md")]}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_link_in_a_document_leads_somewhere(name: str) -> None:
    path = DOCUMENTS[name]
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", path.read_text(encoding="utf-8")):
        assert (path.parent / target).exists(), target


def test_a_document_that_the_program_names_is_there() -> None:
    sources = [*(ROOT / "coach").rglob("*.py"), *ROOT.glob("voices/**/*.toml")]
    named = {
        name
        for path in sources
        for name in re.findall(r"docs/[\w-]+\.md", path.read_text(encoding="utf-8"))
    }

    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []
