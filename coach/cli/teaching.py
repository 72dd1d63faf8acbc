"""`coach words teach` and `forget`: the climber's own voice and own words."""

import queue
import wave
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click
import numpy as np

from coach.audio.port import RATE, Samples
from coach.cli import diagnostics, output
from coach.cli.arguments import HELP
from coach.cli.packs import language_option, pack_of
from coach.errors import AudioError, UsageError
from coach.files.paths import Paths, paths
from coach.files.settings import load_settings
from coach.files.words import add_own_word, remove_own_word
from coach.language import Language
from coach.language.pack import normal
from coach.model.answers import ANYTIME, parse
from coach.session.events import DeviceLost

if TYPE_CHECKING:
    from coach.hearing.rate import Downsampler
    from coach.hearing.takes import Spoken
    from coach.hearing.teaching import Cutter

#: What is taught where nothing is named: what must not be missed, and what is said most.
USUAL = (*ANYTIME, "done", "skip", "yes", "no")
#: What the word that calls the coach stands for, instead of an answer.
CALL = "call"
#: Takes of each phrase, and how many there may be.
TAKES, FEWEST, MOST = 3, 2, 9
#: Seconds in which a take has to be said, and how often one is asked for again.
PATIENCE, AGAIN = 8.0, 3
#: Answers of a step's end, among which the takes are tried.
BESIDE = ("done", "skip", "more-time", "easier", "again", "whats-next", "how-long", "finish")


@click.command("teach", context_settings=HELP)
@click.argument("phrases", nargs=-1)
@click.option(
    "--answer", metavar="ANSWER", help="What a phrase of your own means: 'done', 'feel:sore'."
)
@click.option(
    "--takes",
    type=click.IntRange(FEWEST, MOST),
    default=TAKES,
    show_default=True,
    metavar="N",
    help="How often each is said.",
)
@click.option(
    "--from",
    "folder",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    metavar="FOLDER",
    help="WAV files instead of the microphone: those of FOLDER/PHRASE, or of FOLDER for one "
    "phrase.",
)
@language_option
def teach(
    phrases: tuple[str, ...],
    answer: str | None,
    takes: int,
    folder: Path | None,
    language: str | None,
) -> None:
    """Teach the coach your voice, or words of your own.

    Each PHRASE, or the first phrase of an answer, is said a few times, best where it is quiet; by
    default what must not be missed and what is said most. A phrase in no pack needs --answer; any
    language will do. No sound is kept: only what the recogniser made of the takes, in a file for
    each phrase; 'coach words forget' removes them.
    """
    known = paths()
    pack = pack_of(known, language)
    call = normal(load_settings(known.settings).call or pack.words.get("call", ""))
    wanted = _meant(pack, phrases, answer, call)
    from coach.hearing import takes as stored
    from coach.hearing.scorer import WhisperScorer
    from coach.hearing.taught import OWN_LANGUAGE
    from coach.hearing.teaching import Lesson, learn

    scorer = WhisperScorer()
    spoken = _spoken(list(wanted), takes, folder, known)
    said = dict(zip(wanted, spoken, strict=True))
    lessons = [
        Lesson(key, phrase, tuple(said[phrase])) for phrase, key in wanted.items() if key != CALL
    ]
    kept = known.takes(pack.code)
    earlier, wrong = stored.load_all(kept)
    for problem in wrong:
        diagnostics.note(f"{problem}")
    centre = stored.centre_of(scorer.encode)
    for phrase in (phrase for phrase, key in wanted.items() if key == CALL):
        stored.save(
            kept, phrase, [stored.take_of(scorer.encode, centre, one) for one in said[phrase]]
        )
        output.line(f"{phrase}: known before an answer that is taught as well")
    scorer.foreign = pack.code != OWN_LANGUAGE
    learnt = learn(scorer, centre, lessons, pack.phrases((*ANYTIME, *BESIDE)), earlier)
    for one in learnt:
        stored.save(kept, one.lesson.phrase, one.takes)
        if one.lesson.phrase not in pack.answers.get(one.lesson.key, ()):
            add_own_word(known.data, pack.code, one.lesson.key, one.lesson.phrase)
    output.table(
        (
            one.lesson.phrase,
            one.lesson.key,
            f"{len(one.takes)} takes",
            f"heard before {one.before}",
            f"now {one.now}",
        )
        for one in learnt
    )
    output.line("Each take was tried with what the others taught.")
    output.line(f"No sound is kept. What was made of the takes: {kept}")


@click.command("forget", context_settings=HELP)
@click.argument("phrases", nargs=-1)
@click.option("--all", "everything", is_flag=True, help="All that was taught in that language.")
@language_option
def forget(phrases: tuple[str, ...], everything: bool, language: str | None) -> None:
    """Remove what was made of your takes, and words of your own."""
    known = paths()
    pack = pack_of(known, language)
    from coach.hearing import takes as stored

    folder = known.takes(pack.code)
    if everything:
        found = sorted(folder.glob("*.npz"))
        for path in found:
            path.unlink()
        output.line(f"Forgotten: {len(found)} phrases. Words of your own stay in their file.")
        return
    if not phrases:
        raise UsageError("nothing is named", "Name phrases, or --all.")
    for phrase in map(normal, phrases):
        path = stored.path_of(folder, phrase)
        taught, own = path.exists(), remove_own_word(known.data, pack.code, phrase)
        path.unlink(missing_ok=True)
        if not taught and not own:
            raise UsageError(f"{phrase!r} was never taught", "'coach words' marks what was.")
        output.line(f"Forgotten: {phrase}")


def _meant(pack: Language, named: Sequence[str], answer: str | None, call: str) -> dict[str, str]:
    """Phrase -> answer key of all that is to be taught; UsageError where one means nothing."""
    if answer is not None:
        try:
            parse(answer)
        except ValueError as error:
            raise UsageError(f"--answer: {error}", "docs/answers.md lists them.") from error
        if not named:
            raise UsageError("--answer needs a phrase", "coach words teach --answer done 'basta'")
    if not named:
        return {pack.phrase(key): key for key in USUAL}
    wanted: dict[str, str] = {}
    for name in named:
        phrase = pack.phrase(name) if name in pack.answers else normal(name)
        there = next((key for key, some in pack.answers.items() if phrase in some), None)
        if there is None and answer is None and phrase == call:
            there = CALL
        if not phrase or (there is None and answer is None):
            raise UsageError(
                f"{name!r} is no phrase of an answer yet", "Say what it means: --answer done"
            )
        if there is not None and answer not in (None, there):
            raise UsageError(f"{phrase!r} already means {there!r}", "Choose another phrase.")
        wanted[phrase] = there or str(answer)
    return wanted


def _spoken(
    phrases: Sequence[str], takes: int, folder: Path | None, known: Paths
) -> "Iterator[list[Spoken]]":
    """The takes of each phrase in turn."""
    if folder is None:
        yield from _said(phrases, takes, known)
        return
    from coach.hearing.teaching import takes_in

    for phrase in phrases:
        inside = folder / phrase
        if not inside.is_dir() and len(phrases) > 1:
            raise UsageError(f"{inside}: there is no such folder", "One folder for each phrase.")
        files = sorted((inside if inside.is_dir() else folder).glob("*.wav"))
        found = [spoken for file in files for spoken in takes_in(_wav(file))[:1]]
        if len(found) < FEWEST:
            raise UsageError(
                f"{inside if inside.is_dir() else folder}: {len(found)} takes of {phrase!r} "
                f"in {len(files)} WAV files",
                f"At least {FEWEST} are needed, with one phrase in each.",
            )
        yield found


def _wav(path: Path) -> Samples:
    """A WAV file at the rate of hearing, mono; UsageError where it is none."""
    import soxr

    from coach.hearing.listener import clean
    from coach.hearing.port import HEARING_RATE

    try:
        with wave.open(str(path), "rb") as file:
            if file.getsampwidth() != 2:
                raise UsageError(f"{path}: not 16 bits a sample", "Save it as 16-bit WAV.")
            raw = file.readframes(file.getnframes())
            channels, rate = file.getnchannels(), file.getframerate()
    except (OSError, EOFError, wave.Error) as error:
        raise UsageError(f"{path}: can't be read as WAV ({error})", "Save it again.") from error
    samples = np.frombuffer(raw[: len(raw) // (2 * channels) * 2 * channels], "<i2")
    sound = clean(samples.reshape(-1, channels).astype(np.float32) / np.float32(32768))
    return np.asarray(soxr.resample(sound, rate, HEARING_RATE), np.float32)


def _said(phrases: Sequence[str], takes: int, known: Paths) -> "Iterator[list[Spoken]]":
    """Takes from the microphone, each asked for by a line."""
    from coach.audio.portaudio import PortAudioDevice
    from coach.hearing.rate import Downsampler
    from coach.hearing.teaching import Cutter

    blocks: queue.SimpleQueue[Samples | AudioError] = queue.SimpleQueue()
    device = PortAudioDevice(log=known.log)
    device.start(
        lambda n: np.zeros(n, np.float32),
        lambda block, first: blocks.put(block.copy()),
        lambda event: (
            blocks.put(AudioError("the microphone is gone", "Plug it in again."))
            if isinstance(event, DeviceLost)
            else None
        ),
    )
    ears, down = Cutter(), Downsampler()
    try:
        for phrase in phrases:
            found: list[Spoken] = []
            tries = 0
            while len(found) < takes:
                diagnostics.note(f"Say: {phrase} ({len(found) + 1} of {takes})")
                one = _one(blocks, ears, down)
                tries = 0 if one else tries + 1
                if one is not None:
                    found.append(one)
                elif tries == AGAIN:
                    raise AudioError(
                        "nothing was heard", "'coach soundcheck' looks at the microphone."
                    )
            yield found
    finally:
        device.stop()


def _one(
    blocks: "queue.SimpleQueue[Samples | AudioError]", ears: "Cutter", down: "Downsampler"
) -> "Spoken | None":
    """The next thing said, or None where nobody spoke in time."""
    from coach.hearing.listener import clean

    left = round(PATIENCE * RATE)
    while left > 0:
        try:
            block = blocks.get(timeout=PATIENCE)
        except queue.Empty:
            return None
        if isinstance(block, AudioError):
            raise block
        left -= len(block)
        for spoken in ears.feed(down.feed(clean(block))):
            return spoken
    return None
