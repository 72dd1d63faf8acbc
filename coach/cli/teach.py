"""`coach words teach` and `forget`: the climber's own voice and own words."""

from collections.abc import Sequence
from pathlib import Path

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import HELP
from coach.cli.packs import language_option, pack_of
from coach.errors import UsageError
from coach.files.paths import paths
from coach.files.settings import load_settings
from coach.files.words import add_own_word, remove_own_word
from coach.language import Language
from coach.language.pack import normal
from coach.model.answers import ANYTIME, parse

#: What is taught where nothing is named: what must not be missed, and what is said most.
USUAL = (*ANYTIME, "done", "skip", "yes", "no")
#: What the word that calls the coach stands for, instead of an answer.
CALL = "call"
#: Takes of each phrase, and how many there may be.
TAKES, FEWEST, MOST = 3, 2, 9
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
    from coach.cli.taking import spoken_of
    from coach.hearing import takes as stored
    from coach.hearing.scorer import WhisperScorer
    from coach.hearing.teaching import Lesson, learn
    from coach.hearing.weights import OWN_LANGUAGE

    scorer = WhisperScorer()
    spoken = spoken_of(list(wanted), takes, FEWEST, folder, known)
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
        if one.lesson.phrase not in pack.heard.get(one.lesson.key, ()):
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
@click.option(
    "--gathered", is_flag=True, help="Only what was learnt of your answers since, of all phrases."
)
@language_option
def forget(
    phrases: tuple[str, ...], everything: bool, gathered: bool, language: str | None
) -> None:
    """Remove what was made of your takes, and words of your own."""
    known = paths()
    pack = pack_of(known, language)
    from coach.hearing import takes as stored

    folder = known.takes(pack.code)
    if everything or gathered:
        later = sorted(folder.glob(f"*{stored.GATHERED}.npz"))
        found = sorted(set(folder.glob("*.npz")) - set(later)) if everything else []
        for path in (*found, *later):
            path.unlink()
        if everything:
            output.line(f"Forgotten: {len(found)} phrases. Words of your own stay in their file.")
        else:
            output.line("Forgotten: what was learnt of your answers. What you taught stays.")
        return
    if not phrases:
        raise UsageError("nothing is named", "Name phrases, or --all, or --gathered.")
    for phrase in map(normal, phrases):
        path = stored.path_of(folder, phrase)
        taught, own = path.exists(), remove_own_word(known.data, pack.code, phrase)
        path.unlink(missing_ok=True)
        stored.path_of(folder, phrase, gathered=True).unlink(missing_ok=True)
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
        phrase = pack.phrase(name) if name in pack.heard else normal(name)
        there = next((key for key, some in pack.heard.items() if phrase in some), None)
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
