"""The tables of docs/tries.md, from the program itself."""

from dataclasses import dataclass
from pathlib import Path
from statistics import median

from coach.files.answers_file import read_answers
from coach.files.key_move_files import load_key_moves
from coach.files.library import load_library
from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.model.key_moves import CAUSES
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning import recovery
from coach.runtime.rehearsal import Rehearsed, clock_time, rehearse
from coach.session.state import Session
from coach.session.step import new_session
from coach.setup.typed_boulders import boulders_of
from docs.generate import table as table_of


def causes() -> str:
    """Each cause with its phrase, and what it offers where nobody told the key move."""
    movements = load_movements()
    language, table = load_language("en", movements), load_key_moves(movements)
    rows = []
    for cause in CAUSES:
        words = ", ".join(language.word(name) for name in table.causes[cause])
        rows.append((f'"{language.phrase(f"cause:{cause}")}"', words))
    return table_of(("told as", "offered, the first two that fit"), rows)


def key_moves() -> str:
    """Each key move with its drills from the gentlest, its focus, preparation and changes."""
    movements = load_movements()
    language, table = load_language("en", movements), load_key_moves(movements)
    rows = []
    for move in table.moves.values():
        drills = dict.fromkeys(name for tier in move.drills.values() for name in tier)
        rows.append(
            (
                language.word(move.name),
                ", ".join(map(language.title, drills)),
                ", ".join(map(language.title, move.focus)),
                move.prepare["en"],
                ", ".join(map(language.word, move.variations)),
            )
        )
    heads = ("about", "drills", "focus", "said before the first try", "changes after a fall")
    return table_of(heads, rows)


def rests() -> str:
    """Suggested rests by effort, and what the published series give for them."""
    rows = []
    for effort in recovery.SUGGESTED:
        least, most = recovery.suggested(effort)
        (low, _), (_, high) = recovery.band(least), recovery.band(most)
        rows.append((effort, f"{least:g} to {most:g} s", f"{low:.0f} to {high:.0f} %"))
    return table_of(("effort", "suggested rest", "back by the series"), rows)


@dataclass(frozen=True)
class Heard:
    """One transcript: a script of docs/heard, and on which boulders."""

    name: str
    title: str
    boulders: tuple[str, ...]
    people: tuple[str, ...] = ("",)


SCRIPTS = Path(__file__).parent / "heard"
HEARD = (
    Heard("leap", "A leap, missed twice for timing", ("flint 4, overhang, 9 moves",)),
    Heard("slab", "A slab, and fear", ("slate 2, slab, balance",)),
    Heard("edges", "Tired fingers on small edges", ("marble 6, wall, small edges",)),
    Heard("top", "A top on the second go", ("basalt 3, overhang, hooks",)),
    Heard("pair", "A pair on two boulders", ("flint 4, leap", "slate 2, balance"), ("Ada", "Mira")),
    Heard("five", "Five falls, and no cause told", ("gneiss 5, 9 moves",)),
)
MINUTES = 60.0


def rehearsed(heard: Heard) -> Rehearsed[Session]:
    """The session of a transcript, run by the core on the clock of a rehearsal."""
    library = load_library("rests")
    people = tuple(
        Person(who, name, age=AgeBand.ADULT) for who, name in enumerate(heard.people, start=1)
    )
    language = load_language("en", library.movements).naming(people)
    options = Options(
        people, MINUTES, (), same_place=True, boulders=boulders_of(heard.boulders, people)
    )
    script = read_answers(SCRIPTS / f"{heard.name}.txt", language.breath)
    return rehearse(new_session(library, options), language, script)


def transcript(heard: Heard) -> str:
    """What is said and heard of it, a line each."""
    lines = [
        f"{clock_time(entry.at)}  {'>' if entry.kind == 'heard' else ' '} {entry.text}"
        for entry in rehearsed(heard).transcript.entries
        if entry.kind in ("said", "heard")
    ]
    return "\n".join(["```text", *lines, "```"])


def transcripts() -> str:
    """All of them, each with its boulder."""
    parts = []
    for heard in HEARD:
        on = " and ".join(f"`{text}`" for text in heard.boulders)
        parts.append(f"## {heard.title}\n\n{on}\n\n{transcript(heard)}")
    return "\n\n".join(parts)


#: Questions about a try.
ABOUT_TRIES = (
    "ask-try-result",
    "ask-try-cause",
    "ask-what-ended-it",
    "ask-try-effort",
    "ask-went-for-it",
    "ask-after-top",
    "ask-own-view",
)


def asked_by_try(made: Rehearsed[Session]) -> list[int]:
    """How often a question was said after each try and before the next; said twice counts twice."""
    says = made.transcript.language.says
    words = tuple(says[key] for key in ABOUT_TRIES)
    call = says["try"].partition("{")[0]
    found: list[int] = []
    for entry in made.transcript.entries:
        if entry.kind == "said" and call in entry.text and entry.text.endswith(", then climb."):
            found.append(0)
        elif found and entry.question and entry.text.endswith(words):
            found[-1] += 1
    return found


def costs() -> str:
    """What each of them costs: tries, questions after a try, and the part of the time spoken."""
    rows, every = [], []
    for heard in HEARD:
        made = rehearsed(heard)
        asked = asked_by_try(made)
        every += asked
        share = 100.0 * speech_share(made)
        rows.append((heard.title, *_asked(asked), f"{share:.0f} %"))
    rows.append(("all of them", *_asked(every), ""))
    heads = ("transcript", "tries", "questions", "a try on average", "median", "speech")
    return table_of(heads, rows)


def _asked(asked: list[int]) -> tuple[str, str, str, str]:
    return (
        str(len(asked)),
        str(sum(asked)),
        f"{sum(asked) / len(asked):.1f}",
        f"{median(asked):g}",
    )


def speech_share(made: Rehearsed[Session]) -> float:
    """The part of the block's time in which the coach spoke."""
    totals = made.transcript.totals()
    return totals.speech_seconds / (60.0 * totals.minutes)
