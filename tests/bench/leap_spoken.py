"""A block of hard tries by voice alone, on a fake clock: `python -m tests.bench.leap_spoken`.

The lines of `tests.bench.leap_by_voice` with the real recogniser in a quiet room, by each voice in
turn: which were heard, how often each was said, and what was heard that nobody said.
"""

import tempfile
from pathlib import Path

from coach.hearing.recognisers import load
from coach.model.facts import Tried, Varied
from tests.hearing.leap_session import TALK, Block, block
from tests.hearing.voices import VOICES


def row(voice: tuple[str, str], one: Block) -> str:
    """One voice."""
    said, tried = one.speaker.said, [f for f in one.facts if isinstance(f, Tried)]
    gave = [(f.variation, f.gave) for f in one.facts if isinstance(f, Varied)]
    at_once = sum(times == 1 for times in said)
    return (
        f"{'/'.join(voice):>22}: {len(said)} of {len(TALK)} lines heard, {at_once} at once; "
        f"not said: {one.speaker.others or 'nothing'}; missing: {one.speaker.waits or 'nothing'}; "
        f"tries {[(f.boulder, f.move, f.result) for f in tried]}, changes {gave}; "
        f"{one.seconds / 60:.1f} min in {one.took:.0f} s"
    )


def main() -> None:
    """Run and print; fails where a voice did not come to the end."""
    recogniser, short = load("whisper"), 0
    for voice in VOICES:
        with tempfile.TemporaryDirectory() as folder:
            one = block(recogniser, voice, Path(folder))
        print(row(voice, one), flush=True)
        short += len(one.speaker.said) < len(TALK)
    raise SystemExit(bool(short))


if __name__ == "__main__":
    main()
