"""`coach journal delete`: a session or a person gone for good, wherever this program kept them."""

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

import click

from coach.cli import diagnostics, output
from coach.cli.progress_bar import shown, working
from coach.cli.recorded import journal_option, opened, someone
from coach.errors import CoachError, ExitCode, UsageError
from coach.files.paths import Paths, paths
from coach.journal import Journal, SessionId, rolling
from coach.journal.deletion import (
    Gone,
    cleared_again,
    cleared_of,
    delete_person,
    delete_session,
    find,
)
from coach.record.amounts import count
from coach.record.people import OWN, Someone
from coach.runtime import spare


@click.command("delete")
@click.option("--session", type=int, metavar="NUMBER", help="A session, as 'coach history' says.")
@click.option("--person", metavar="NAME", help="Everything of a person.")
@click.option("--prove", is_flag=True, help="Read every file of ours again, for what is deleted.")
@click.option("-f", "--force", is_flag=True, help="Do not ask.")
@journal_option
@click.pass_context
def command(
    ctx: click.Context,
    session: int | None,
    person: str | None,
    prove: bool,
    force: bool,
    file: Path | None,
) -> None:
    """Delete a session or a person for good.

    Nothing of it is left in the file, in spoken notes, in sentences that are kept ready, or in the
    backups that this program made; with you go the takes of your voice. No merge brings it back.
    Copies and exports that you made yourself are not reached.
    """
    if (session is None) == (person is None):
        raise UsageError("what is to be deleted?", "Either --session NUMBER or --person NAME.")
    what = f"session {session}" if session is not None else f"everything of {person!r}"
    if not force and not click.confirm(f"Delete {what} for good?", err=True):
        raise CoachError("nothing was deleted")
    now = datetime.now().astimezone()
    with opened(file, write=True) as journal:
        spare.take_back(journal)  # what an earlier session could not save is of the record, too
        whose: Someone | None = None
        with working("Clearing") as told:
            gone = _before(journal, session, person, told)
            if gone is None:
                whose = None if person is None else someone(journal, person)
                gone = _deleted(journal, session, whose, now, told)
        path = journal.path
    _beside_gone(paths(), gone, whose)
    renewed = rolling.renew(path, now.date())
    if renewed:
        output.line(f"Backups of before: {renewed} deleted, one made anew.")
    if not gone.scoured:
        diagnostics.note(
            "Old pages are still in the file or its log, since another program reads it or this "
            "was stopped. End that program and give this command again."
        )
    if prove:
        files = _ours(path)
        left = list(find(shown(files, len(files), "Searching"), gone.words))
        output.lines(left or ["No file of ours holds any of it."])
        if left:
            ctx.exit(ExitCode.JOURNAL)
    diagnostics.note("Copies and exports that you made yourself still hold it.")


def _before(
    journal: Journal, session: int | None, person: str | None, told: Callable[[], None]
) -> Gone | None:
    """Clear the file anew of what an earlier deletion could not; None where there was none."""
    if person is None:
        gone = cleared_again(journal, SessionId(session or 0), told)
    else:
        gone = cleared_of(journal, person, told)
    if gone is not None:
        output.line("That was deleted before; the file is cleared again.")
    return gone


def _deleted(
    journal: Journal,
    session: int | None,
    whose: Someone | None,
    now: datetime,
    told: Callable[[], None],
) -> Gone:
    if whose is None:
        gone = delete_session(journal, SessionId(session or 0), now, told)
        output.line(f"Session {session} is gone.")
    else:
        gone = delete_person(journal, whose, now, told)
        alone = count(gone.alone, "session")
        output.line(f"Gone: {alone}. Kept for others, without the name: {gone.shared}.")
    return gone


def _beside_gone(known: Paths, gone: Gone, whose: Someone | None) -> None:
    """Delete spoken notes, sentences that may say a name or a boulder, and one's own takes."""
    from coach.audio.note_files import path_of

    for name in gone.notes:
        path_of(known.notes, name).unlink(missing_ok=True)
    _unlinked(known.names.glob("*"))
    cues = _unlinked(known.cues.glob("*"))
    if cues:
        output.line(f"Sentences kept ready: {cues} deleted; they are made again when needed.")
    if whose is not None and whose.id == OWN:
        takes = _unlinked(known.takes("").glob("*/*.npz"))
        if takes:
            output.line(f"Takes of your voice: {takes} deleted.")
        if known.settings.exists():
            output.line(f"What you told of yourself for the next time stays in {known.settings}.")


def _unlinked(files: Iterable[Path]) -> int:
    found = [file for file in files if file.is_file()]
    for file in found:
        file.unlink(missing_ok=True)
    return len(found)


def _ours(journal: Path) -> list[Path]:
    """Every file that this program keeps, the journal's own first."""
    known = paths()
    folders = (journal.parent, known.data, known.state, known.cache, known.config)
    found = dict.fromkeys(file for folder in folders for file in folder.rglob("*"))
    return [file for file in found if file.is_file() and not file.is_symlink()]
