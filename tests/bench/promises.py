"""Ten thousand random blocks of one to three people: rests, drills and changes keep their promises.

python -m tests.bench.promises [BLOCKS]
"""

import sys

from tests.session import coached, promises


def main(blocks: int = 10_000) -> None:
    """Print how many blocks, calls, drills and changes were judged, and what was broken."""
    calls, drills, changes, broken = 0, 0, 0, []
    for seed in range(blocks):
        rested, beside = promises.block(seed, tries=5), coached.block(seed)
        calls += rested.calls + beside.calls
        drills += beside.drills
        changes += beside.changes
        broken += [f"seed {seed}: {what}" for what in (*rested.broken, *beside.broken)]
    print(f"{blocks} blocks of each kind: {calls} calls, {drills} drills, {changes} changes")
    print(f"{len(broken)} broken promises")
    for what in broken[:20]:
        print(what)
    raise SystemExit(bool(broken))


if __name__ == "__main__":
    main(*(int(arg) for arg in sys.argv[1:]))
