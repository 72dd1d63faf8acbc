"""Random walks over the session's core: `python -m tests.bench.walks [WALKS] [FIRST_SEED]`.

The state machine test's own rules and oracle, driven by seeded chance instead of a search, so that
many long sessions can be walked in a short time and any of them again by its seed.
"""

import sys
import time
from random import Random
from typing import Any

from coach.model.answers import parse
from coach.model.body import Feel, Part
from coach.model.person import AgeBand
from coach.session.events import Answered, Source, Sureness
from coach.session.state import Phase
from tests.session.test_machine import KEYS, Machine

EVENTS = 60


def begun(chance: Random) -> Any:
    """A machine whose session has started, for one to three people."""
    machine: Any = Machine()
    hurting = chance.choice([None, [], [(1, chance.choice(list(Part)), chance.choice(list(Feel)))]])
    machine.begin(
        ages=[chance.choice(list(AgeBand)) for _ in range(chance.randint(1, 3))],
        minutes=chance.choice([None, 50.0, 75.0, 90.0, 120.0]),
        hurting=hurting,
    )
    return machine


def answer_the_window(machine: Any, chance: Random) -> None:
    """One of the open window's answers, by voice."""
    window = machine.session.window
    if window is None:
        return
    at = max(machine.now, window.opens)
    answer, sure = parse(chance.choice(window.answers)), chance.choice(list(Sureness))
    machine.event = Answered(machine.now, answer, 1, at, window.number, Source.VOICE, sure)
    machine.send(machine.event)


def one_event(machine: Any, chance: Random) -> None:
    """Any event of the test's rules; time and the window's answers most often."""
    drawn = chance.random()
    if drawn < 0.45:
        machine.time_passes(times=chance.randint(1, 12))
    elif drawn < 0.75:
        answer_the_window(machine, chance)
    elif drawn < 0.88:
        machine.anything_said(
            key=chance.choice(KEYS),
            who=chance.randint(1, 3),
            ago=chance.uniform(0.0, 2.0),
            source=chance.choice(list(Source)),
            sure=chance.choice(list(Sureness)),
            window=chance.randint(-2, 1),
            addressed=chance.random() < 0.5,
        )
    elif drawn < 0.91:
        machine.machine_sleeps(gap=chance.choice([5.0, 70.0, 1000.0, 1300.0]))
    elif drawn < 0.93 and machine.session.phase is not Phase.OVER:
        machine.process_dies(gap=chance.choice([3.0, 400.0, 1300.0, 11000.0]))
    elif drawn < 0.96:
        machine.device(device=chance.choice(["microphone", "speaker"]), back=chance.random() < 0.5)
    elif drawn < 0.98:
        machine.speech(ended=chance.random() < 0.5)
    else:
        machine.cleared(part=chance.choice(list(Part)), who=chance.randint(1, 3))


def walk(seed: int) -> None:
    """One session under chance; raises AssertionError where an invariant breaks."""
    chance = Random(seed)
    machine = begun(chance)
    for _ in range(EVENTS):
        one_event(machine, chance)
        machine.time_adds_up()
        machine.nothing_above_a_cap()
        machine.one_window()


def main() -> int:
    """Walk, print what was found; 1 if an invariant broke."""
    walks = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    began, found = time.monotonic(), 0
    for seed in range(first, first + walks):
        try:
            walk(seed)
        except AssertionError as broken:
            found += 1
            print(f"seed {seed}: {str(broken)[:400]}")
        except Exception as broken:
            broken.add_note(f"seed {seed}")
            raise
    print(f"{walks} walks from seed {first}: {found} findings, {time.monotonic() - began:.0f} s")
    return int(found > 0)


if __name__ == "__main__":
    raise SystemExit(main())
