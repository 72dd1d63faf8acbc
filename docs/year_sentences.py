"""The sentences about the year, as a table; cog writes it into `docs/year.md`."""

from coach.files.library import load_library
from coach.files.words import load_language
from coach.language.script import script

#: Heads of their keys.
HEADS = ("trial-", "review-", "aim-", "year-hours")


def listed() -> str:
    """Each sentence in its longest form, with the words of it."""
    language = load_language("en", load_library("full", "tarnwick").movements)
    longest: dict[str, int] = {}
    texts: dict[str, str] = {}
    for line in script(language):
        if line.key.startswith(HEADS) and line.words > longest.get(line.key, 0):
            longest[line.key], texts[line.key] = line.words, line.text
    rows = [f"| `{key}` | {texts[key]} | {longest[key]} |" for key in texts]
    return "\n".join(("| key | at its longest | words |", "| --- | --- | --- |", *rows))
