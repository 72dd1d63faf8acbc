"""What is said to somebody who is hurt, as real rehearsals of the session give it."""

from coach.files.answers import Scripted
from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.rehearsal import rehearse
from coach.session.step import new_session

#: Title -> what is said after "i got hurt", each when its question is open.
SCRIPTS: dict[str, tuple[str, ...]] = {
    "A wrist, no sign": ("no", "my wrist", "no", "finish here"),
    "A knee that is swollen": ("no", "my knee", "yes it is", "finish here"),
    "A knock on the head, one sign": ("i hit my head", "no", "yes", "finish here"),
    "A knock on the head, no sign": ("i hit my head", *(7 * ("no",)), "finish here"),
    "Chest pain": ("chest pain", "finish here"),
    "Nobody answers": (),
}


def transcripts() -> str:
    """Each script with the minute and second of every sentence."""
    return "\n".join(f"### {title}\n\n{transcript(words)}" for title, words in SCRIPTS.items())


def transcript(words: tuple[str, ...]) -> str:
    """One rehearsal from the word 'hurt' to its end, as a block of text."""
    library = load_library("full", "tarnwick")
    language = load_language("en", library.movements)
    spoken = ("i got hurt", *words)
    script = tuple(
        Scripted(120.0 + 12.0 * n, 1, language.find(text) or language.find("yes it does"), text, n)
        for n, text in enumerate(spoken, 1)
    )
    options = Options((Person(1, age=AgeBand.ADULT),), 90.0, (), True)
    done = rehearse(new_session(library, options), language, script)
    entries = [e for e in done.transcript.entries if e.kind in ("said", "heard")]
    first = next(i for i, e in enumerate(entries) if e.kind == "heard")
    lines = [
        f"{int(e.at) // 60:02}:{int(e.at) % 60:02}  "
        + (f'"{e.text}"' if e.kind == "heard" else e.text)
        for e in entries[first:]
    ]
    return "```text\n" + "\n".join(lines) + "\n```\n"
