"""A reader of what is public guesses who is limited: `python -m tests.bench.guessing`.

`... guessing 500` for fewer sessions than 10,000. Each is run through the real core; the reader
learns from every one after it has guessed, and from the first tenth without guessing.
"""

import sys
import tempfile
from pathlib import Path

from tests.group.readers import Reader, public_words
from tests.group.runs import group
from tests.group.test_privacy import drawn

SESSIONS = 10_000


def main(sessions: int = SESSIONS) -> None:
    """Print how often the reader was right, and how often a lot would be."""
    reader, asked, right, chance, spread = Reader(), 0, 0, 0.0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(sessions):
            ages, hurting = drawn(seed)
            limited = {who for who, _, _ in hurting}
            words = public_words(group(ages, minutes=30, hurting=tuple(hurting)), Path(folder))
            if seed >= sessions // 10 and limited:
                share = len(limited) / len(ages)
                asked += 1
                right += reader.guess(words, len(ages)) in limited
                chance += share
                spread += share * (1 - share)
            reader.learn(words, len(ages), limited)
    print(
        f"{sessions} sessions, {asked} guesses: {right} right ({right / asked:.1%}), by lot "
        f"{chance:.0f} ({chance / asked:.1%}), three standard errors {3 * spread**0.5:.0f}"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else SESSIONS)
