"""Ten thousand random blocks of one to three people: no rest is under what was promised.

python -m tests.bench.promises [BLOCKS]
"""

import sys

from tests.session.promises import block


def main(blocks: int = 10_000) -> None:
    """Print how many blocks and calls were judged, and each promise that was broken."""
    calls, broken = 0, []
    for seed in range(blocks):
        judge = block(seed, tries=5)
        calls += judge.calls
        broken += [f"seed {seed}: {what}" for what in judge.broken]
    print(f"{blocks} blocks, {calls} calls, {len(broken)} broken promises")
    for what in broken[:20]:
        print(what)
    raise SystemExit(bool(broken))


if __name__ == "__main__":
    main(*(int(arg) for arg in sys.argv[1:]))
