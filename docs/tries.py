"""The tables of docs/tries.md, from the program itself."""

from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.model.messages import message
from coach.model.tries import CAUSES
from coach.planning import recovery
from docs.generate import table


def causes() -> str:
    """Each cause with its phrase and its offers in their own words."""
    language = load_language("en", load_movements())
    rows = []
    for cause, offers in CAUSES.items():
        words = " then ".join(f'"{language.text(message(f"offer-{one}"))}"' for one in offers)
        rows.append((f'"{language.phrase(f"cause:{cause}")}"', words))
    return table(("told as", "offered"), rows)


def rests() -> str:
    """Suggested rests by effort, and what the published series give for them."""
    rows = []
    for effort in recovery.SUGGESTED:
        least, most = recovery.suggested(effort)
        (low, _), (_, high) = recovery.band(least), recovery.band(most)
        rows.append((effort, f"{least:g} to {most:g} s", f"{low:.0f} to {high:.0f} %"))
    return table(("effort", "suggested rest", "back by the series"), rows)
