"""Campaigns on the record: `python -m tests.bench.record CAMPAIGN [NUMBER] [--processes N]`."""

import os
import time
from collections import Counter
from collections.abc import Callable

import click

from tests.bench.record import damage, figures, full, imports, kills, merges
from tests.bench.record.shares import spread


def _full(number: int, processes: int) -> Counter[str]:
    every = full.plan()
    every = every[:: max(len(every) // number, 1)] if number else every
    return spread(full.Full(every), len(every), processes)


#: What each does, how often where no number is given, and the campaign.
CAMPAIGNS: dict[str, tuple[str, int, Callable[[int, int], Counter[str]]]] = {
    "figures": ("every figure of every panel, counted again", 300, figures.figures),
    "kills": ("killed at any moment", 1000, lambda n, p: spread(kills.kills, n, p)),
    "flips": ("a bit flipped", 1000, lambda n, p: spread(damage.flips, n, p)),
    "cuts": ("a file cut short", 200, lambda n, p: spread(damage.cuts, n, p)),
    "full": ("the disk full at a write; 0: at every one", 0, _full),
    "imports": ("spoilt files imported", 10_000, lambda n, p: spread(imports.spoilt, n, p)),
    "merges": ("three journals merged in all orders", 50, lambda n, p: spread(merges.merges, n, p)),
}


@click.command(
    help="\b\n" + "\n".join(f"{name}: {what} ({n})" for name, (what, n, _) in CAMPAIGNS.items())
)
@click.argument("campaign", type=click.Choice(list(CAMPAIGNS)))
@click.argument("number", type=int, required=False)
@click.option("--processes", type=int, default=os.cpu_count() or 1)
def main(campaign: str, number: int | None, processes: int) -> None:
    """Run one and print its counts; its exit code is 1 where anything is wrong."""
    began = time.monotonic()
    _, usual, run = CAMPAIGNS[campaign]
    found = run(usual if number is None else number, processes)
    for name, times in sorted(found.items()):
        click.echo(f"{times:8} {name}")
    wrong = sum(times for name, times in found.items() if name.startswith("WRONG"))
    click.echo(f"{campaign}: {wrong} wrong ({time.monotonic() - began:.0f} s)")
    raise SystemExit(min(wrong, 1))


if __name__ == "__main__":
    main()
