"""What the documents hold that the program already knows: help texts, exit codes, fields.

`cog -r docs/*.md docs/figures/*.md` writes it into them; `.ci/run` and the tests say when they
are stale.
"""

from collections.abc import Iterable

import click

from coach.cli import COMMANDS, commands
from coach.errors import ExitCode
from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.model.answers import ANYTIME, CALLED, SHOWN, parse
from coach.model.nature import Tendency
from coach.model.questions import QUESTIONS
from coach.screen.keys import KEYS, QUIET

WIDTH = 90

#: When an answer counts that no question asked for.
WHEN = {
    ANYTIME: "at any time",
    CALLED: "after the call word",
    SHOWN: "in any window, to somebody alone",
}

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
    ctx = click.Context(
        command, info_name="coach", terminal_width=WIDTH, **command.context_settings
    )
    for name in names:
        assert isinstance(command, click.Group)
        found = command.get_command(ctx, name)
        assert found is not None, f"no command {name!r}"
        command = found
        ctx = click.Context(command, info_name=name, parent=ctx, terminal_width=WIDTH)
    return command.get_help(ctx)


def every_command() -> list[tuple[str, ...]]:
    """The names of every command, those inside others included."""
    return [names for name in COMMANDS for names in _inside(commands, (name,))]


def _inside(group: click.Group, names: tuple[str, ...]) -> list[tuple[str, ...]]:
    """A command of a group, by the names that lead to it, and every one inside it."""
    ctx = click.Context(group)
    command = group.get_command(ctx, names[-1])
    if not isinstance(command, click.Group):
        return [names]
    inner = command.list_commands(ctx)
    return [names, *(one for name in inner for one in _inside(command, (*names, name)))]


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


def table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A Markdown table."""
    heads = list(heads)
    lines = [heads, ["---"] * len(heads), *(list(row) for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def answers() -> str:
    """Every answer with the phrases of the English pack, and what the table says of it."""
    language = load_language("en", load_movements())
    rows = []
    for key, phrases in language.answers.items():
        answer = parse(key)
        nature, tendency = answer.meaning.nature, answer.tendency
        moves = "" if tendency is Tendency.NEUTRAL else tendency.value
        when = next((words for keys, words in WHEN.items() if key in keys), "")
        said = ", ".join(f'"{one}"' for one in phrases)
        rows.append((f"`{key}`", said, nature.does, moves, when))
    return table(("answer", "say", "does", "load", "when"), rows)


def questions() -> str:
    """Every question with the answers that its window takes, and what silence stands for."""
    language = load_language("en", load_movements())
    rows = []
    for question in QUESTIONS.values():
        silence = f"`{question.silence}`" if question.silence is not None else "nothing"
        words = language.says.get(question.words, "")
        offered = ", ".join(f"`{key}`" for key in question.answers)
        if question.also:
            offered += f", and any from `{question.also[0]}` to `{question.also[-1]}`"
        rows.append((f"`{question.name}`", words, offered, f"{question.wait:g} s", silence))
    return table(("question", "asked as", "answers", "open for", "silence is"), rows)


def keys() -> str:
    """Every key of the screen and of typed lines."""
    rows = []
    for name, key in KEYS.items():
        meaning = f"`{key.answer}`" if key.answer else "the one expected answer"
        also = f"`{key.also}` while that one counts" if key.also else ""
        rows.append((f"`{name}`", meaning, also, "twice" if key.twice else ""))
    rows.append((", ".join(f"`{name}`" for name in sorted(QUIET)), "nothing", "", ""))
    return table(("key", "sends", "or", "pressed"), rows)
