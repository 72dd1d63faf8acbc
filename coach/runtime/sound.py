"""The sound of a session on this machine: device, voice and ear, as far as they are there.

What is missing never ends a session: it goes on with what is left, keys at the least, and says
once what would help.
"""

import gc
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from coach.audio.silent import SilentDevice
from coach.audio.sound_device import Device
from coach.audio.tones import tones
from coach.distribution import add
from coach.errors import AudioError, CoachError
from coach.files.paths import Paths
from coach.files.words import language_files
from coach.model.messages import Message
from coach.runtime.live_stage import Stage
from coach.runtime.stage import Echo, Speaker, StageListener
from coach.runtime.to_file import ToFile
from coach.session.events import UNWANTED, DeviceLost
from coach.setup.settling import Setup

if TYPE_CHECKING:
    from coach.speech.voice import Voice


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the command line asks of the sound."""

    sound: bool = True
    to_file: Path | None = None
    share: int | None = None
    """Port for browsers; None for none."""
    share_host: str = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Live:
    """A stage that plays and listens."""

    stage: Stage
    missing: tuple[CoachError, ...]
    """What is not there, each with what to install or change."""
    warm: Callable[[tuple[str, ...]], None]
    """Make sentences ready in the background."""


@contextmanager
def opened(setup: Setup, paths: Paths, wanted: Wanted) -> Iterator[Live]:
    """Open what there is; let go of it at the end."""
    missing: list[CoachError] = []
    with ExitStack() as stack:
        voice = listener = library = None
        if wanted.sound:
            library = Thread(target=_library, args=(paths.log,), name="library", daemon=True)
            library.start()
        if wanted.sound and not _deaf(setup, paths):
            listener = _listener(setup, paths, missing, stack)
        if wanted.sound or wanted.to_file is not None:
            voice = _voice(setup, paths, missing, stack)
        # what was loaded left a lot of garbage; meanwhile the system looks for devices
        gc.collect()
        stage = None
        if library is not None:
            library.join()
            stage = _real(setup, paths, wanted, voice, listener, missing)
        if stage is None:
            device = _recorded(SilentDevice(), wanted)
            speaks = voice if wanted.to_file is not None else None
            stage = _stage(device, setup, speaks, None, None)
            listener = None
            stage.start()
        stack.callback(stage.stop)
        if listener is None:
            why = missing[0].what if missing else UNWANTED
            stage.post(DeviceLost(0.0, "microphone", why))
        if wanted.sound:
            missing += _untaught(setup, paths)
        yield Live(stage, tuple(missing), lambda texts: voice.warm(texts) if voice else None)


def _library(log: Path) -> None:
    """Have PortAudio look for devices, which takes a tenth of a second, while all else is loaded.

    What it lacks is told where it is used.
    """
    with suppress(AudioError, ImportError, OSError):
        from coach.audio.quiet import QuietStderr
        from coach.audio.streams import library

        with QuietStderr(log):
            library()


def _deaf(setup: Setup, paths: Paths) -> bool:
    """Whether no answer could be heard: then the ear is shut, and nobody speaks to it in vain."""
    from coach.hearing.knowing import hears_nothing

    code = setup.language.code
    usual = (setup.settings.recogniser or "whisper") == "whisper"
    return usual and hears_nothing(code, setup.language.answers, paths.takes(code))


def _untaught(setup: Setup, paths: Paths) -> list[AudioError]:
    """The answers that the ear can't know until the climber teaches them."""
    from coach.hearing.knowing import unheard

    code = setup.language.code
    file = language_files(paths.user_dirs)[code]
    return unheard(code, setup.language.answers, paths.takes(code), file)


def _real(
    setup: Setup,
    paths: Paths,
    wanted: Wanted,
    voice: Speaker | None,
    listener: StageListener | None,
    missing: list[CoachError],
) -> Stage | None:
    """The stage on this machine's speaker and microphone, started; None if there is none."""
    try:
        from coach.audio.portaudio import PortAudioDevice

        device = _recorded(PortAudioDevice(log=paths.log, delays=setup.settings.delays), wanted)
        stage = _stage(device, setup, voice, listener, paths.notes)
        stage.start()
    except ImportError as error:
        missing.append(_not_installed(error, "sound", "voice"))
        return None
    except AudioError as error:
        missing.append(error)
        return None
    return stage


def _stage(
    device: Device,
    setup: Setup,
    voice: Speaker | None,
    listener: StageListener | None,
    notes: Path | None,
) -> Stage:
    level = setup.voice.loudness_lufs
    echo = _echo() if listener is not None else None
    return Stage(device, voice, tones(level), setup.language.text, listener, notes=notes, echo=echo)


def _echo() -> Echo | None:
    """What takes our own voice out of what is heard; without it there is a headset."""
    from coach.audio.echo import EchoCanceller

    try:
        return EchoCanceller()
    except AudioError:
        return None


def _recorded(device: Device, wanted: Wanted) -> Device:
    return device if wanted.to_file is None else ToFile(device, wanted.to_file)


def _not_installed(error: ImportError, what: str, extra: str) -> AudioError:
    return AudioError(
        f"no {what}: the package {error.name or error} is not installed",
        f"{add(extra)} adds it.",
    )


def _voice(
    setup: Setup, paths: Paths, missing: list[CoachError], stack: ExitStack
) -> "Voice | None":
    """The voice of the profile, by its own engine or by another that is there."""
    try:
        voice = _speaking(setup, paths, missing)
    except ImportError as error:
        missing.append(_not_installed(error, "voice", "voice"))
        return None
    except AudioError as error:
        missing.append(error)
        return None
    stack.callback(voice.close)
    return voice


def _speaking(setup: Setup, paths: Paths, missing: list[CoachError]) -> "Voice":
    """The voice by the first engine that is there; AudioError about the one of its profile.

    Another one than the profile's says so itself, before its first sentence.
    """
    from coach.speech import spelling
    from coach.speech.cache import Cache
    from coach.speech.engines import engine, suiting
    from coach.speech.voice import Voice

    spoken = spelling.of(setup.voice.language, paths.user_dirs).spoken
    problems: list[AudioError] = []
    for name in suiting(setup.voice):
        try:
            made = engine(name, paths.log)
        except AudioError as error:
            problems.append(error)
            continue
        missing += problems[:1]
        first = setup.language.text(Message("other-voice")) if problems else ""
        return Voice(made, setup.voice, Cache(paths.cues), spoken=spoken, first=first)
    raise problems[0]


def _recogniser(setup: Setup, paths: Paths) -> tuple[str, Path | None]:
    """The recogniser that the settings name, with the folder of its model."""
    chosen, model = setup.settings.recogniser or "whisper", setup.settings.model
    return chosen, paths.models / model if chosen == "vosk" and model else None


def _listener(
    setup: Setup, paths: Paths, missing: list[CoachError], stack: ExitStack
) -> StageListener | None:
    """The ear, with its recogniser in a process of its own that comes when it has loaded."""
    try:
        from coach.hearing.child import ChildEngine
        from coach.hearing.recognisers import check

        chosen, folder = _recogniser(setup, paths)
        check(chosen, folder)
        takes = paths.takes(setup.language.code)
        recogniser = ChildEngine(chosen, folder, takes, wait=False)
        stack.callback(recogniser.stop)
        from coach.hearing.listener import Listener as Ear

        answers, outside = setup.language.heard, setup.addressed
        return Ear(recogniser, answers, address=setup.address, addressed=outside)
    except ImportError as error:
        missing.append(_not_installed(error, "ear", "hearing"))
    except AudioError as error:
        missing.append(error)
    return None
