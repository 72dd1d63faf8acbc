"""A reader of what is public guesses who is limited: `python -m tests.bench.guessing`.

`... guessing 500` for fewer sessions than 10,000. Each is run through the real core; the reader
learns from every one after it has guessed, and from the first tenth without guessing. A rota, which
depends on its turns and places alone, is worked out once for each that occurs.
"""

import sys
from collections.abc import Sequence
from unittest.mock import patch

from coach.group import programme, station_turns
from coach.planning.rota import LOOKS, rota
from coach.planning.stations import FREE, Held, Rota, Station, Turn
from tests.group.readers import Reader, public_words
from tests.group.runs import group
from tests.group.test_privacy import drawn

SESSIONS = 10_000
_known: dict[object, Rota] = {}


def known(
    wanted: Sequence[Turn], stations: Sequence[Station], held: Held = FREE, looks: int = LOOKS
) -> Rota:
    """The rota of these turns, as `rota` gives it."""
    key = (*wanted, *stations, *sorted(held.people.items()), *sorted(held.places.items()), looks)
    if key not in _known:
        _known[key] = rota(wanted, stations, held, looks)
    return _known[key]


def main(sessions: int = SESSIONS) -> None:
    """Print how often the reader was right, and how often a lot would be."""
    reader, asked, right, chance, spread = Reader(), 0, 0, 0.0, 0.0
    for seed in range(sessions):
        ages, hurting = drawn(seed)
        limited = {who for who, _, _ in hurting}
        words = public_words(group(ages, minutes=30, hurting=tuple(hurting)))
        if seed >= sessions // 10 and limited:
            share = len(limited) / len(ages)
            asked += 1
            right += reader.guess(words, len(ages)) in limited
            chance += share
            spread += share * (1 - share)
        reader.learn(words, len(ages), limited)
        if seed + 1 in (300, 1_000, 2_000, 5_000, sessions):
            told(seed + 1, asked, right, chance, spread)


def told(sessions: int, asked: int, right: int, chance: float, spread: float) -> None:
    """Print what it came to so far."""
    share = max(asked, 1)
    print(
        f"{sessions} sessions, {asked} guesses: {right} right ({right / share:.1%}), by lot "
        f"{chance:.0f} ({chance / share:.1%}), three standard errors {3 * spread**0.5:.0f}, "
        f"{len(_known)} rotas",
        flush=True,
    )


if __name__ == "__main__":
    with patch.object(station_turns, "rota", known), patch.object(programme, "rota", known):
        main(int(sys.argv[1]) if len(sys.argv) > 1 else SESSIONS)
