"""`coach journal`: verify, copy, merge, delete, and what the climber is after."""

import os
from collections.abc import Sequence
from pathlib import Path

import click

from coach.cli import diagnostics, output
from coach.cli.aims import command as aim_command
from coach.cli.deleting import command as delete_command
from coach.cli.page import command as page_command
from coach.cli.progress_bar import copying, showing, shown, working
from coach.cli.recorded import journal_option, opened
from coach.errors import ExitCode, JournalError
from coach.exports.whole import whole_file
from coach.files.paths import paths
from coach.journal import Journal, Recorded, rolling
from coach.journal.transfer import Transferred
from coach.model.start import Start
from coach.record.amounts import count
from coach.runtime.kind_registry import kind_of
from coach.runtime.replay import rules_version
from coach.session.effects import Record

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.group("journal")
def command() -> None:
    """Verify, back up, merge and delete; aims.

    The journal is one file. 'coach paths' tells where.
    """


@command.command("verify")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@journal_option
@click.pass_context
def verify_command(ctx: click.Context, as_json: bool, file: Path | None) -> None:
    """Check the file, every checksum, and replay what these rules made.

    Reads only.
    """
    from coach.journal.journal_checks import verify

    processes = os.cpu_count() or 1
    verdict = verify(
        file or paths().journal, replayed, rules_version(), processes, showing("Verifying")
    )
    if as_json:
        output.document(verdict)
    else:
        output.line(
            f"Read {count(verdict.sessions, 'session')}, {verdict.events} events and "
            f"{verdict.facts} facts; "
            f"{verdict.replayed} replayed alike, {verdict.other_rules} made under other rules."
        )
        output.lines(f"{finding.where}: {finding.what}" for finding in verdict.findings)
        output.line("All of it is whole." if verdict.whole else "Not whole.")
    if not verdict.whole:
        diagnostics.note("'coach journal rescue' copies what can be read into a new journal.")
        ctx.exit(ExitCode.JOURNAL)


def replayed(start: Start, recorded: Sequence[Recorded]) -> str:
    """Run a stored session again; where its facts first differ, '' where they do not."""
    kind = kind_of(start)
    session = kind.new(start)
    for one in recorded:
        session, effects = kind.step(session, one.event)
        facts = tuple(effect.fact for effect in effects if isinstance(effect, Record))
        if facts != one.facts:
            return f"event {one.seq} ({type(one.event).__name__}) gives other facts"
    return ""


@command.command("backup")
@click.argument("to", type=_FILE)
@journal_option
def backup_command(to: Path, file: Path | None) -> None:
    """Copy the journal to TO, also while a session runs."""
    from coach.journal.backup import backup

    with copying("Copying") as told:
        backup(file or paths().journal, to, told)
    diagnostics.note(f"Wrote {to}.")


@command.command("restore")
@click.argument("copy", type=_FILE, required=False)
@journal_option
def restore_command(copy: Path | None, file: Path | None) -> None:
    """Put a backup where the journal belongs, if none is there.

    Without COPY the backups that the program made after sessions are listed, the latest first.
    """
    from coach.journal.backup import may_restore, put_back

    if copy is None:
        found = rolling.backups(file or paths().journal)
        output.table((day.isoformat(), str(path)) for day, path in reversed(found))
        if not found:
            diagnostics.note("No backup yet: one is made after each session.")
        return
    may_restore(copy, file or paths().journal, os.cpu_count() or 1, showing("Verifying"))
    with copying("Restoring") as told:
        put_back(copy, file or paths().journal, told)
    diagnostics.note(f"Restored to {file or paths().journal}.")


@command.command("import")
@click.argument("source", type=_FILE)
@click.option(
    "--partly", is_flag=True, help="Of a damaged file take what stands before the damage."
)
@journal_option
def import_command(source: Path, partly: bool, file: Path | None) -> None:
    """Add what a JSON Lines export holds: all of it or nothing, and nothing twice."""
    from coach.journal import lines

    lines.check(source)
    with opened(file, write=True) as journal:
        imported = lines.read(source, journal, partly=partly, shown=showing("Importing"))
    if imported.wrong and not partly:
        raise JournalError(
            f"{source}: {imported.wrong}",
            "Nothing of it was taken; --partly takes what stands before that.",
        )
    _outcomes(imported.outcomes)
    if imported.wrong:
        raise JournalError(
            f"{source}: {imported.wrong}", "What stands before that is in the journal now."
        )


@command.command("merge")
@click.argument("other", type=_FILE)
@journal_option
def merge_command(other: Path, file: Path | None) -> None:
    """Add what another journal holds; nothing twice."""
    from coach.journal.transfer import merge, wholes

    with Journal.open(other, write=False) as source, opened(file, write=True) as journal:
        number = len(source.sessions(twins=True))
        _outcomes(merge(journal, source, shown(wholes(source), number, "Merging")))


@command.command("rescue")
@click.argument("damaged", type=_FILE)
@click.argument("to", type=_FILE)
def rescue_command(damaged: Path, to: Path) -> None:
    """Copy what can be read of a damaged journal to a new one.

    The damaged file is left as it is.
    """
    from coach.journal.database import beside
    from coach.journal.rescue import rescue

    with whole_file(to) as part:
        try:
            with Journal.open_damaged(damaged) as source, Journal.open(part, write=True) as journal:
                rescued = rescue(source, journal, showing("Saving"))
        finally:
            for left in beside(part):
                left.unlink(missing_ok=True)
    output.line(f"Saved whole: {count(rescued.whole, 'session')}.")
    output.lines(f"cut short: {text}" for text in rescued.cut)
    output.lines(f"lost: {text}" for text in rescued.lost)


def _outcomes(outcomes: dict[Transferred, int]) -> None:
    told = [f"{number} {outcome}" for outcome, number in outcomes.items() if number]
    output.line(f"Sessions: {', '.join(told) or 'none'}.")


command.add_command(page_command, "page")
command.add_command(aim_command, "aim")
command.add_command(delete_command, "delete")


@command.command("seal")
@journal_option
def seal_command(file: Path | None) -> None:
    """Pack the sessions of an older journal: a tenth of the space, each checksummed.

    A copy is kept beside it until all of it is verified. Ctrl-C stops it at any moment; the same
    line goes on.
    """
    from coach.journal.sealing import copy_of, finish, pending, seal_each

    with opened(file, write=True) as journal:
        number = len(pending(journal))
        for _ in shown(seal_each(journal), number, "Sealing"):
            pass
        path = journal.path
    finish(path, showing("Verifying"), working("Packing"))
    output.line(f"Sealed {count(number, 'session')}. Verified; {copy_of(path).name} is gone.")
