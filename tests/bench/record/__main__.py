"""Campaigns on the record: `python -m tests.bench.record CAMPAIGN [NUMBER] [--processes N]`."""

import os
import time
from collections import Counter
from collections.abc import Callable

import click

from tests.bench.record import damage, figures, full, imports, kills, merges
from tests.bench.record.shares import Work, spread


def _full(number: int, processes: int, first: int) -> Counter[str]:
    every = full.plan()[first:]
    every = every[:: max(len(every) // number, 1)] if number else every
    return spread(full.Full(every), len(every), processes)


def _each(work: Work) -> "Campaign":
    return lambda number, processes, first: spread(work, number, processes, first)


Campaign = Callable[[int, int, int], Counter[str]]
"""Takes how often, in how many processes, and the number of the first."""


#: What each does, how often where no number is given, and the campaign.
CAMPAIGNS: dict[str, tuple[str, int, Campaign]] = {
    "figures": ("every figure of every panel, counted again", 300, figures.figures),
    "kills": ("killed at any moment", 1000, _each(kills.kills)),
    "flips": ("a bit flipped", 1000, _each(damage.flips)),
    "cuts": ("a file cut short", 200, _each(damage.cuts)),
    "full": ("the disk full at a write; 0: at every one", 0, _full),
    "imports": ("spoilt files imported", 10_000, _each(imports.spoilt)),
    "merges": ("three journals merged in all orders", 50, _each(merges.merges)),
}


@click.command(
    help="\b\n" + "\n".join(f"{name}: {what} ({n})" for name, (what, n, _) in CAMPAIGNS.items())
)
@click.argument("campaign", type=click.Choice(list(CAMPAIGNS)))
@click.argument("number", type=int, required=False)
@click.option("--processes", type=int, default=os.cpu_count() or 1)
@click.option("--first", type=int, default=0, help="Begin with this one, to go on elsewhere.")
def main(campaign: str, number: int | None, processes: int, first: int) -> None:
    """Run one and print its counts; its exit code is 1 where anything is wrong."""
    began = time.monotonic()
    _, usual, run = CAMPAIGNS[campaign]
    found = run(usual if number is None else number, processes, first)
    for name, times in sorted(found.items()):
        click.echo(f"{times:8} {name}")
    wrong = sum(times for name, times in found.items() if name.startswith("WRONG"))
    click.echo(f"{campaign}: {wrong} wrong ({time.monotonic() - began:.0f} s)")
    raise SystemExit(min(wrong, 1))


if __name__ == "__main__":
    main()
