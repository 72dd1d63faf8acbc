"""Two hours of session in which sound fails in every way: `python -m tests.bench.long_session`.

Everything is real but the hardware, the speech detector and the recogniser; the clock is made up,
so that two hours take about two minutes. Prints what was lost (nothing should be), how far times
were off, and what the climber was told. Ends with an error where something is not as it should be.
"""

import argparse
import tempfile
import time
from pathlib import Path

from coach.session.state import Phase
from tests.audio.faults import Kind
from tests.audio.long_session import Outcome, every_fault, simulate


def main() -> int:
    """Run and print; 1 where something was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--routine", default="full")
    parser.add_argument("--minutes", type=float, default=120.0)
    told = parser.parse_args()
    seconds = 60.0 * told.minutes
    # one fault after the other up to the last tenth, and ten minutes of unbroken talk between them
    each = 0.75 * seconds / len(Kind)
    faults = every_fault(120.0, each, min(60.0, each / 3), sleeps=900.0)
    talks = (120.0 + 4.5 * each, 120.0 + 4.5 * each + min(600.0, 2 * each))
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        outcome = simulate(Path(folder), told.routine, told.minutes, faults, talks)
    took = time.monotonic() - begun
    came = [fault for fault in faults if fault.at < outcome.seconds]
    by_voice = [one for one in outcome.said if one.heard is not None]
    well = [one for one in outcome.said if outcome.well(one.at)]
    strays, late = outcome.strays(), outcome.late()
    print(
        f"session           {outcome.seconds / 60:.1f} min, {outcome.session.how}, in {took:.0f} s"
    )
    print(f"machine asleep    {outcome.slept / 60:.0f} min")
    print(f"faults            {len(came)} of {len(faults)}: {', '.join(one.kind for one in came)}")
    print(f"others talked     {(talks[1] - talks[0]) / 60:.0f} min without a pause")
    print(f"events            {len(outcome.events)}, on disk {len(outcome.on_disk)}")
    print(
        f"journal           {'whole, runs again to the same end' if sound(outcome) else 'BROKEN'}"
    )
    print(f"sounds            {len(late)} planned, most off {1e3 * max(map(abs, late)):.3f} ms")
    print(f"without an end    {len(outcome.unended())}")
    print(f"answers           {len(outcome.said)}, by voice {len(by_voice)}")
    print(f"  where all was well {len(well)}, by key {sum(one.pressed for one in well)}")
    if strays:
        print(f"  onsets off by      {1e3 * max(map(abs, strays)):.0f} ms at most")
    print(f"hangs, tries deaf {len(outcome.begun_deaf)} without a key")
    for (what, device), count in sorted(outcome.told().items()):
        print(f"{what:17} {device}: {count}")
    whole = sound(outcome) and not outcome.unended() and not outcome.begun_deaf
    done = outcome.session.phase is Phase.OVER and len(came) == len(faults)
    return 0 if whole and done and outcome.events == outcome.on_disk else 1


def sound(outcome: Outcome) -> bool:
    """Whether the journal is whole and replays."""
    verdict = outcome.verdict
    return bool(verdict.whole and verdict.replayed == 1)


if __name__ == "__main__":
    raise SystemExit(main())
