"""`coach notes`: the spoken notes, which are the only sound from the microphone that is kept."""

import click

from coach.audio.note_files import list_notes, load, path_of
from coach.audio.sound_device import RATE
from coach.cli import output
from coach.distribution import add
from coach.errors import CoachError, UsageError
from coach.files.names import advice
from coach.files.paths import Paths, paths
from coach.journal import Journal
from coach.model.facts import NoteMade
from coach.runtime.live_stage import Stage
from coach.session.effects import PlayNote
from coach.session.events import DeviceLost, SoundEnded

#: Seconds until a note that is played begins, and that are waited for its end at most.
BEGINS, LONGEST = 0.5, 40.0


@click.group("notes", invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """List, play and delete spoken notes.

    Without a command: every note with its length and its boulder, the earliest first.
    """
    if ctx.invoked_subcommand is None:
        known = paths()
        boulders = _boulders(known)
        output.table(
            (name, f"{len(load(known.notes, name)) / RATE:.0f} s", boulders.get(name, ""))
            for name in list_notes(known.notes)
        )


@command.command("play")
@click.argument("name")
def play(name: str) -> None:
    """Play a note."""
    known = paths()
    _check(known, name)
    try:
        from coach.audio.portaudio import PortAudioDevice
    except ImportError as error:
        raise CoachError(f"no sound: {error}", f"{add('voice')} adds it.") from error
    stage = Stage(
        PortAudioDevice(log=known.log), None, {}, lambda what: what.key, None, notes=known.notes
    )
    stage.start()
    try:
        stage.carry_out(PlayNote(1, name, stage.now() + BEGINS))
        until = stage.now() + LONGEST
        while (event := stage.wait(until)) is not None and not isinstance(event, SoundEnded):
            if isinstance(event, DeviceLost) and event.device == "speaker":
                raise CoachError(f"the speaker is gone: {event.why}")
    finally:
        stage.stop()


@command.command("delete")
@click.argument("names", nargs=-1, required=True)
def delete(names: tuple[str, ...]) -> None:
    """Delete notes for good; the record keeps that there was one."""
    known = paths()
    for name in names:
        _check(known, name)
    for name in names:
        path_of(known.notes, name).unlink(missing_ok=True)
        output.line(f"Deleted: {name}")


def _check(known: Paths, name: str) -> None:
    """UsageError where there is no such note; a name is never a way to another file."""
    there = list_notes(known.notes)
    if name not in there:
        raise UsageError(f"there is no note {name!r}", advice(name, there))


def _boulders(known: Paths) -> dict[str, str]:
    """The boulder of each note, as the journal tells it."""
    if not known.journal.exists():
        return {}
    with Journal.open(known.journal, write=False) as journal:
        return {
            fact.name: fact.boulder
            for row in journal.sessions()
            for fact in journal.facts(row.id, NoteMade)
            if isinstance(fact, NoteMade)
        }
