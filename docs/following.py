"""Which sentence of the transcripts follows from which answer, and by which rule.

Each row is held against its transcript when the page is written: the sentence has to come after
the answer and before the next one.
"""

from docs.generate import table
from docs.tries import HEARD, rehearsed

#: Transcript -> answer as it was said, the sentence that follows from it, and why.
FOLLOWS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "leap": (
        (
            "a big leap, move five, left hand",
            "On flint 4 it is about a leap, move 5. Left hand.",
            "what it is about is said back",
        ),
        (
            "let's try",
            "The boulder's drill first: low and easy.",
            "a key move has a drill before its try",
        ),
        ("let's try", "Eyes on the far hold. Know how you land.", "one thing before the go"),
        (
            "move five, bad timing",
            "Twice at that move: the drill once more. Skip leaves it out.",
            "two falls at the key move bring the drill back",
        ),
        (
            "move five, bad timing",
            "Move 5 again. Next: one swing, or from a standstill?",
            "the second fall for a known cause offers two changes that fit it",
        ),
        ("one swing", "First one swing, then.", "she chooses; one change at a time"),
        ("move five", "Now from a standstill, then.", "both get a try, the chosen one first"),
        ("move seven", "2 holds further than before.", "a win is named as a fact"),
        (
            "move seven",
            "That helped: from a standstill. We'll stay with it.",
            "a change that got her further stays",
        ),
    ),
    "slab": (
        (
            "the head",
            "Next: three slow breaths, or the sequence on the ground?",
            "changes for the head, not for the feet",
        ),
        ("three slow breaths", "Three slow breaths, then climb.", "the change, before she goes"),
        ("went for it", "You went for it. Noted.", "going for it is a win below the top"),
    ),
    "edges": (
        ("last move, no power left", "A minute more of rest, then.", "tired: rest, at once"),
        (
            "last move, no power left",
            "Another boulder may suit you better now.",
            "who has no power left is offered rest or another boulder",
        ),
        (
            "in the middle",
            "Lower twice. One last go, another boulder, or enough?",
            "two tries lower than before propose the end",
        ),
        ("that's enough", "No further tries. Nothing hard from here.", "her word ends it"),
    ),
    "top": (
        (
            "got to the top",
            "Topped. Another hard one, the same again, or enough?",
            "a top asks what next",
        ),
        ("another boulder", "Which boulder? A number, or nothing.", "a new boulder, two questions"),
        ("a big leap", "Say one more, and the drill comes first.", "its drill by her own word"),
    ),
    "pair": (
        ("1: on the mat", "Mira: Try 1. Decide, then climb.", "called once the other is down"),
        ("1: on the mat", "Ada: Spot, and keep the landing clear.", "whoever has rested spots"),
        ("1: last move", "Ada: Higher than before.", "each of two has results of her own"),
        (
            "2: that's enough",
            "Mira: No further tries. Nothing hard from here.",
            "each ends only for herself",
        ),
    ),
    "five": (
        (
            "move five",
            "Move 5 again. Next: hips closer to the wall, or another foothold?",
            "the third fall without a cause offers two changes",
        ),
        ("move five", "Hips in before you reach.", "in silence the first of the two begins"),
        ("move five", "Now another foothold, then.", "the second gets its try, too"),
    ),
}


def follows() -> str:
    """The table; ValueError where a sentence does not follow from its answer any more."""
    rows = []
    for heard in HEARD:
        entries = [
            (entry.kind == "heard", entry.text)
            for entry in rehearsed(heard).transcript.entries
            if entry.kind in ("said", "heard")
        ]
        for answer, sentence, why in FOLLOWS[heard.name]:
            if sentence not in after(entries, answer):
                raise ValueError(f"{heard.name}: {sentence!r} does not follow from {answer!r}")
            rows.append((heard.title, f'"{answer}"', f'"{sentence}"', why))
    return table(("in", "after", "comes", "because"), rows)


def after(entries: list[tuple[bool, str]], answer: str) -> list[str]:
    """What is said after an answer and before the next one, wherever it was given."""
    found: list[str] = []
    given = False
    for heard, text in entries:
        if heard:
            given = text == answer
        elif given:
            found.append(text)
    return found
