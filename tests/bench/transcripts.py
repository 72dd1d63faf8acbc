"""The same sessions before and after a change: `python tests/bench/transcripts.py [RUNS] [FIRST]`.

Plays sessions whose answers, minutes, ages and mishaps are drawn by a seed, and prints a digest of
what each of them said, opened, recorded and asked to be woken for. Run it with another version of
the package first in PYTHONPATH to get the digests of that version; the two lists are then
compared line by line. It uses nothing of the program but `step`, events, effects and the files.
"""

import hashlib
import heapq
import sys
from collections.abc import Callable, Sequence
from random import Random

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import ANYTIME, parse
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.session import effects as requests
from coach.session import events as happened
from coach.session.state import Session
from coach.session.step import new_session, step

ROUTINES = ("full", "full", "full", "full-150", "easy-day", "quick", "rests", "outdoors-board")
Queue = list[tuple[float, int, happened.Event]]
Window = requests.OpenWindow | None
#: Events after which a run is cut off: a session may hang or spin.
MOST = 1500


def libraries() -> dict[str, Library]:
    """Every shipped routine that the runs use."""
    return {name: load_library(name, None, ()) for name in dict.fromkeys(ROUTINES)}


def settled(chance: Random, _: Library) -> Options:
    """Who comes, for how long, and what was told before."""
    several = chance.choice((1, 1, 1, 2, 3))
    ages = [chance.choice(list(AgeBand)) for _ in range(several)]
    people = tuple(Person(n + 1, age=age, edge="medium") for n, age in enumerate(ages))
    minutes = chance.choice((None, 5.0, 20.0, 45.0, 60.0, 75.0, 90.0, 90.0, 120.0, 180.0))
    one = (1, chance.choice(list(Part)), chance.choice(list(Feel)))
    hurting = chance.choice((None, (), (), (one,)))
    return Options(people, minutes, hurting, chance.choice((None, True, False)))


def mishap(now: float, drawn: float, chance: Random) -> happened.Event | None:
    """Sleep, a crash, a device that goes or comes; None for none of them."""
    if drawn < 0.004:
        return happened.ClockJumped(now + 1.0, chance.choice((3.0, 70.0, 1300.0)))
    if drawn < 0.006:
        return happened.Reopened(now + 60.0, chance.choice((60.0, 1500.0)))
    device = chance.choice(("microphone", "speaker"))
    if drawn < 0.009:
        return happened.DeviceLost(now, device, "gone")
    return happened.DeviceReturned(now, device) if drawn < 0.012 else None


def something_said(
    now: float,
    due: float | None,
    window: Window,
    chance: Random,
    keys: Sequence[str],
    never: tuple[str, ...],
) -> happened.Event | None:
    """An answer of the window, of those for any time, or of all there are; None for silence."""
    pool = keys if chance.random() < 0.25 else ANYTIME if chance.random() < 0.12 else ()
    if window is not None and not pool:
        pool = window.answers
    pool = [one for one in pool if not one.startswith(never)] if never else pool
    if not pool:
        return None
    at = max(now, window.at if window is not None else 0.0)
    at = max(min(at + chance.uniform(0.2, 3.0), due if due is not None else at + 9.0), now)
    key, who = chance.choice(pool), chance.choice((1, 1, 2, 3))
    number = window.window if window is not None and key in window.answers else None
    source = chance.choice((happened.Source.VOICE, happened.Source.KEY))
    sure = happened.Sureness(chance.choice(("sure", "sure", "sure", "unsure")))
    named = chance.random() < 0.3
    return happened.Answered(at, parse(key), who, at, number, source, sure, addressed=named)


def next_event(
    session: Session,
    queue: Queue,
    window: Window,
    chance: Random,
    keys: Sequence[str],
    never: tuple[str, ...],
) -> happened.Event | None:
    """What happens next: the world's own events, time, or something that somebody does."""
    now, drawn = session.at, chance.random()
    times = [
        *([session.wake] if session.wake is not None else []),
        *(queue[0][:1] if queue else []),
    ]
    due = min(times, default=None)
    running = session.phase.value != "over"
    event = mishap(now, drawn, chance) if running else None
    if event is None and running and drawn < 0.16:
        event = something_said(now, due, window, chance, keys, never)
    if event is not None:
        return event
    if due is None and window is not None and running:
        at, key = now + 30.0, chance.choice(window.answers)
        return happened.Answered(at, parse(key), 1, at, window.window, happened.Source.KEY)
    if queue and due is not None and queue[0][0] <= due:
        return heapq.heappop(queue)[2]
    return None if due is None else happened.TimePassed(due)


def played(
    seed: int,
    found: dict[str, Library],
    keys: Sequence[str],
    also: Callable[[Session], None] = lambda _: None,
    settle: Callable[[Random, Library], Options] = settled,
    never: tuple[str, ...] = (),
) -> tuple[str, list[str]]:
    """How the session of a seed ended, and everything that it asked for.

    `also` sees each state; nobody says an answer whose key begins with one of `never`.
    """
    chance = Random(seed)
    name = chance.choice(ROUTINES)
    session = new_session(found[name], settle(chance, found[name]))
    queue: Queue = []
    window: Window = None
    count = 0
    told: list[str] = []
    event: happened.Event | None = happened.Started(0.0)
    while event is not None and count < MOST:
        session, effects = step(session, event)
        also(session)
        count += 1
        for effect in effects:
            told.append(repr(effect))
            match effect:
                case requests.Say() | requests.Play() | requests.PlayNote():
                    long = 0.15 if isinstance(effect, requests.Play) else 2.0
                    at = max(effect.at, session.at) + long
                    heapq.heappush(queue, (at, len(told), happened.SoundEnded(at, effect.sound)))
                case requests.KeepNote():
                    at = effect.at + 4.0
                    kept = happened.NoteKept(at, effect.name, 4.0, "silence")
                    heapq.heappush(queue, (at, len(told), kept))
                case requests.OpenWindow():
                    window = effect
                case requests.CloseWindow():
                    window = None
                case requests.Cut():
                    queue = [one for one in queue if not isinstance(one[2], happened.SoundEnded)]
                    heapq.heapify(queue)
                case requests.End():
                    return "ended", told
        event = next_event(session, queue, window, chance, keys, never)
    return ("waits" if event is None else "spins"), told


def main() -> int:
    """Print a line for each run: seed, how it ended, how much it asked for, its digest."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    whole = "--whole" in sys.argv
    found = libraries()
    keys = tuple(sorted(load_language("en", found["full"].movements).answers))
    for seed in range(first, first + runs):
        try:
            how, told = played(seed, found, keys)
        except Exception as broken:  # noqa: BLE001 told as the end of the run
            how, told = f"raised {type(broken).__name__}: {broken}", []
        digest = hashlib.sha256("\n".join(told).encode()).hexdigest()[:16]
        print(seed, how, len(told), digest, flush=True)
        if whole:
            print("\n".join(told))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
