"""The list of sessions, and two of them side by side."""

from collections.abc import Sequence

from coach.model.doses import DOSES
from coach.record.amounts import count, duration, in_words
from coach.record.edge_over_time import setup_in_words
from coach.record.entry import Entry

#: What a way to end is called; others are shown as they are.
ENDS = {None: "not closed", "cut": "its end was lost"}


def line(entry: Entry) -> tuple[str, ...]:
    """One session as a row: number, when, routine, length, place, what stood out."""
    digest = entry.digest
    parts = [count(number, "boulder") for number in [sum(digest.boulders.values())] if number]
    if digest.hard_tries:
        tries = count(digest.hard_tries, "hard try", "hard tries")
        parts.append(f"{tries}, {count(len(digest.tops), 'top')}")
    if digest.effort is not None:
        parts.append(f"effort {digest.effort}")
    if digest.signs:
        parts.append("warning sign")
    if entry.how not in ("done", "ended"):
        parts.append(ENDS.get(entry.how, str(entry.how)))
    return (
        str(entry.id),
        when(entry),
        entry.routine,
        duration(digest.seconds),
        entry.place,
        ", ".join(parts),
    )


def when(entry: Entry) -> str:
    """'Tue 2026-03-03 18:30', at the time of the place."""
    return f"{entry.begun:%a %Y-%m-%d %H:%M}"


def compare(first: Entry, second: Entry) -> list[tuple[str, str, str]]:
    """Two sessions side by side: what, in the one, in the other."""
    rows = [("", when(first), when(second))]
    one, other = _told(first), _told(second)
    names = dict.fromkeys([*one, *other])
    return rows + [(name, one.get(name, "-"), other.get(name, "-")) for name in names]


def _told(entry: Entry) -> dict[str, str]:
    """Everything of a session that can stand in a row."""
    digest = entry.digest
    told = {"routine": entry.routine, "place": entry.place, "length": duration(digest.seconds)}
    told |= {dose: duration(digest.doses[dose]) for dose in DOSES if dose in digest.doses}
    told |= {f"focus {name}": duration(amount) for name, amount in digest.focuses.items()}
    told |= {f"{tier} boulders": str(number) for tier, number in digest.boulders.items()}
    if digest.hard_tries:
        told["hard tries"] = str(digest.hard_tries)
        told["tops"] = str(len(digest.tops))
    if digest.go_aheads:
        told["went for it"] = f"{digest.gone_for} of {digest.go_aheads}"
    asked = digest.tries_gone_for + digest.tries_held_back
    if asked:
        told["tries gone for"] = f"{digest.tries_gone_for} of {asked} asked about"
    for check in digest.edges:
        reading = "" if check.reading is None else f", {check.reading:g} kg"
        told[setup_in_words(check.edge, check.grip, check.feet)] = f"{check.feel}{reading}"
    told |= {part.value: feel.value for part, feel in digest.felt.items()}
    if digest.effort is not None:
        told["effort"] = str(digest.effort)
    told |= {f"rule {in_words(name)}": count(times, "time") for name, times in digest.rules.items()}
    return told


def numbered(entries: Sequence[Entry], number: int) -> Entry | None:
    """The entry of a number in this journal, or None."""
    return next((entry for entry in entries if entry.id == number), None)
