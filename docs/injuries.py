"""What is said to somebody who is hurt, as real rehearsals of the session give it."""

from collections.abc import Mapping, Sequence
from itertools import groupby

from coach.files.answers_file import Scripted
from coach.files.library import load_library
from coach.files.words import load_language
from coach.group.group_step import new_group
from coach.group.kind import GROUP
from coach.group.phrases import heard_from
from coach.model.person import AgeBand, Person
from coach.model.signs import HEAD_QUESTIONS
from coach.model.start import Options
from coach.planning.stations import Station
from coach.runtime.rehearsal import Transcript, clock_time, rehearse
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Effect
from coach.session.events import Event, Started
from coach.session.state import Session
from coach.session.step import new_session
from docs.saying import Saying

#: Second at which the first word is said.
FIRST = 120.0
HURT, HEAD = "i got hurt", "i hit my head"
#: Title -> what is said, the first word at FIRST, each other when its question is open.
SCRIPTS: dict[str, tuple[str, ...]] = {
    "A wrist, no sign, and she goes on": (HURT, "no", "my wrist", "no", "carry on"),
    "A knee that is swollen": (HURT, "no", "my knee", "yes", "finish"),
    "A pop in a finger, told at once": ("something popped", "my fingers", "finish"),
    "The back, and numb legs": (HURT, "no", "my back", "yes", "finish"),
    "A fall on the back": ("i fell on my back", "finish"),
    "Torn skin that bleeds on": (HURT, "no", "torn skin", "yes", "finish"),
    "'Head' at 'Where?'": (HURT, "no", "head", "yes", "i'm fine", "carry on", "finish"),
    "A knock on the head, no sign": (HURT, HEAD, *(7 * ("no",)), "finish"),
    "Chest pain": ("chest pain", "again", "finish"),
    "Faint": ("i feel faint", "finish"),
    "A leg that bears no weight": ("i can't stand on it", "finish"),
    "A fever": ("i have a fever", "finish"),
}
#: The same in German, for a wrist, a head and a chest.
GERMAN: dict[str, tuple[str, ...]] = {
    "Ein Handgelenk, kein Zeichen": (
        "ich bin verletzt", "nein", "mein handgelenk", "nein", "hier beenden",
    ),
    "Ein geschwollenes Knie": ("ich bin verletzt", "mein knie", "ja", "hier beenden"),
    "Ein Stoß am Kopf, und ein Zeichen": (
        "ich bin verletzt", "ein schlag auf den kopf", "nein", "ja", "hier beenden",
    ),
    "Schmerzen in der Brust": ("schmerzen in der brust", "hier beenden"),
}  # fmt: skip
#: Question -> what is said before it is met by silence.
SILENT: dict[str, tuple[str, ...]] = {
    "fall-head": (HURT,),
    "which-part": (HURT, "no"),
    "fall-sign": (HURT, "no", "my wrist"),
    "after-hurt": (HURT, "no", "my wrist", "no"),
    "fall-over": (HURT, "neck"),
    **{one.name: (HURT, HEAD, *(number * ("no",))) for number, one in enumerate(HEAD_QUESTIONS)},
}

#: In a group of six at boards and wall: title -> what the leader says, at which second of the day.
LED: dict[str, dict[int, str]] = {
    "Number two's wrist, no sign, and back later": {
        720: "i got hurt", 728: "number two", 738: "my wrist", 746: "no", 754: "carry on",
        900: "number two", 905: "is back", 915: "let them in",
    },
    "Chest pain, and nobody says whose": {720: "chest pain", 740: "carry on"},
}  # fmt: skip
#: Seconds after the last word up to which the group is quoted.
AFTER = 12


def transcripts() -> str:
    """Each script with the minute and second of every sentence."""
    return "\n".join(f"### {title}\n\n{_block(said(words))}" for title, words in SCRIPTS.items())


def in_a_group() -> str:
    """What a leader says and hears from the first word on."""
    return "\n".join(f"### {title}\n\n{_block(_led(words))}" for title, words in LED.items())


def _led(words: Mapping[int, str]) -> list[tuple[float, str]]:
    """Second and text of every sentence; what the leader says is quoted."""
    library = load_library("group", "tarnwick")
    language = heard_from(load_language("en", library.movements), {})
    script = []
    for number, (at, text) in enumerate(words.items()):
        answer = language.find(text)
        assert answer is not None, text
        script.append(Scripted(float(at), 1, answer, text, number))
    people = tuple(Person(who, age=AgeBand.ADULT) for who in range(1, 7))
    stations = (Station("board", "board", 1), Station("wall", "wall", 6))
    given = new_group(library, Options(people, 40.0), stations)
    done = rehearse(given, language, tuple(script), kind=GROUP)
    assert not done.unsaid, words
    first, last = min(words), max(words) + AFTER
    entries = (one for one in done.transcript.entries if first <= one.at <= last)
    return [
        (one.at, f'"{words[int(one.at)]}"' if one.kind == "heard" else one.text)
        for one in entries
        if one.kind in ("said", "heard")
    ]


def in_german() -> str:
    """Some of them in German."""
    return "\n".join(
        f"### {title}\n\n{_block(said(words, 'de'))}" for title, words in GERMAN.items()
    )


def silences() -> str:
    """Each question of the script when nobody answers it; equal lines in a row are one."""
    return "\n".join(_silence(question, words) for question, words in SILENT.items())


def _silence(question: str, words: tuple[str, ...]) -> str:
    lines = said(words)
    spoken = [number for number, (_, text) in enumerate(lines) if text.startswith('"')]
    before = ", ".join(text for _, text in lines[: spoken[-1] + 1] if text.startswith('"'))
    return f"### `{question}`, after {before}\n\n{_block(lines[spoken[-1] + 1 :])}"


def _block(lines: Sequence[tuple[float, str]]) -> str:
    told = []
    for text, run in groupby(lines, key=lambda line: line[1]):
        times = [at for at, _ in run]
        more = f"   ({len(times)} times, the last at {clock_time(times[-1])})"
        told.append(f"{clock_time(times[0])}  {text}{more if len(times) > 3 else ''}")
        told += [f"{clock_time(at)}  {text}" for at in times[1:] if len(times) <= 3]
    return "```text\n" + "\n".join(told) + "\n```\n"


def said(words: tuple[str, ...], code: str = "en") -> list[tuple[float, str]]:
    """Second and text of every sentence from the first word on; what the climber says is quoted."""
    library = load_library("full", "tarnwick")
    language = load_language(code, library.movements)
    script = []
    for number, text in enumerate(words):
        answer = language.find(text)
        assert answer is not None, text
        script.append(Scripted(0.0, 1, answer, text, number))
    options = Options((Person(1, age=AgeBand.ADULT),), 90.0, (), True)
    world, transcript = (
        Saying(language, tuple(script), anyhow=True, first=FIRST),
        Transcript(language),
    )

    def seen(now: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        transcript.seen(now, event, effects)

    Runner(new_session(library, options), world, NoKeeper(), world.clock.wall, seen).run(
        Started(0.0)
    )
    assert len(world.spoken) == len(words), words
    entries = [one for one in transcript.entries if one.kind in ("said", "heard")]
    first = next(number for number, one in enumerate(entries) if one.kind == "heard")
    spoken = iter(world.spoken)
    return [
        (one.at, f'"{next(spoken, one.text)}"' if one.kind == "heard" else one.text)
        for one in entries[first:]
    ]
