"""`coach history`: the list of sessions, one as a story, two compared."""

import shlex
from datetime import datetime
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.fixing import command as fix_command
from coach.cli.recorded import Read, record, record_options, titles
from coach.errors import UsageError
from coach.journal import SessionId
from coach.journal.digests import Maker
from coach.journal.entries import number_of
from coach.journal.persons import known_people, sessions_of
from coach.record.entry import Entry
from coach.record.history import compare, line, numbered
from coach.record.story import Sentence, story

#: Sessions that the list shows when no days and no number are asked for.
LATEST = 20


class _History(click.Group):
    """A group whose first command needs no name: 'coach history 12'."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take what names no command as words for the first one."""
        asks = any(arg in ("-h", "--help") for arg in args[:1])
        if not asks and (not args or args[0] not in self.commands):
            args = [SHOW, *args]
        return super().parse_args(ctx, args)


SHOW = "show"


@click.group("history", cls=_History)
def command() -> None:
    """List sessions, show one, compare two, correct one.

    'coach history' and 'coach history 12' are short for 'coach history show'.
    """


command.add_command(fix_command, "fix")


@command.command(SHOW)
@click.argument("number", type=int, required=False)
@click.argument("other", type=int, required=False)
@click.option("--all", "everything", is_flag=True, help=f"All sessions, not the latest {LATEST}.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@record_options
def show_command(
    number: int | None, other: int | None, everything: bool, as_json: bool, **asked: Any
) -> None:
    """List sessions, show one, compare two.

    Without a number: the latest sessions, each with its number. With one: what happened in it.
    With two: both, side by side.
    """
    few = number is None and not (everything or asked["since"] or asked["until"])
    with record(**asked, latest=LATEST if few else None) as read:
        if number is None:
            _list(read, as_json)
        elif other is None:
            _tell(read, _entry(read, number), as_json)
        else:
            first, second = _entry(read, number), _entry(read, other)
            if as_json:
                output.document([first, second])
            else:
                output.table(compare(first, second))


def _entry(read: Read, number: int) -> Entry:
    found = numbered(read.every, number)
    if found is not None:
        return found
    if all(row.id != number for row in read.journal.sessions()):
        raise UsageError(f"there is no session {number}", "'coach history --all' lists them.")
    there = known_people(read.journal).people
    others = [one.name for one in there if number in sessions_of(read.journal, one) and one.name]
    others = [f"'coach history {number} --person {shlex.quote(name)}' tells it" for name in others]
    raise UsageError(
        f"{read.person.name or 'you'} took no part in session {number}",
        f"{others[0]}." if others else "It was one of others, without names.",
    )


def _list(read: Read, as_json: bool) -> None:
    if as_json:
        output.document(read.asked)
        return
    shown = [line(entry) for entry in read.each_asked()]
    output.table(shown)
    if not shown:
        diagnostics.note(_none(read))
    elif len(shown) == read.latest:
        every = number_of(read.journal, read.person)
        if every > len(shown):
            diagnostics.note(f"The latest {len(shown)} of {every}; --all lists the rest.")


def _none(read: Read) -> str:
    """Why nothing is listed: none in those days, none of one's own, or none at all."""
    if number_of(read.journal, read.person):
        return "No session in those days."
    others = len(read.journal.sessions())
    if not others:
        return "No session yet."
    return f"No session of your own yet. Of a group or of others: {others}."


def _tell(read: Read, entry: Entry, as_json: bool) -> None:
    session = SessionId(entry.id)
    facts = Maker(read.journal.db).facts(session)
    names = titles(read.journal.start_of(session).library)
    sentences = story(entry, facts, names)
    sentences += [Sentence(entry.digest.seconds, text) for text in _corrected(read, entry)]
    if as_json:
        output.document({"session": entry, "story": sentences})
    else:
        output.table((f"{int(s.at // 60):3}:{int(s.at % 60):02}", s.text) for s in sentences)


def _in_words(kind: str, value: object) -> str:
    """A value of a correction as it is read."""
    if value in (None, ""):
        return "nothing"
    return (
        f"{datetime.fromisoformat(str(value)):%d %B %Y, %H:%M}" if kind == "begun" else str(value)
    )


def _corrected(read: Read, entry: Entry) -> list[str]:
    """What was corrected of a session, with what stood there before."""
    from coach.journal.statements import fixes

    told = []
    for _, field, old, value in fixes(read.journal, entry.uid):
        kind, *numbers = field.split()
        if not numbers or int(numbers[0]) == entry.who:
            which = f" {numbers[1]}" if len(numbers) > 1 else ""
            now, before = (_in_words(kind, one) for one in (value, old))
            what = "date" if kind == "begun" else kind
            told.append(f"(Corrected: {what}{which} is {now}; it was {before}.)")
    return told
