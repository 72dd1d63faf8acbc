"""What the bands make of kept looks: `python -m tests.bench.hearing.fusion LOOKS.jsonl`.

LOOKS is what `looks` wrote. Prints for every group and place how many were acted on, asked back,
taken for another answer; with `--weight 0` without the scorer's part, with `--costs` what other
thresholds would cost on the groups that choose. There a miss costs 1, of what must not be missed 3,
asking .35, a wrong act 10 (60 where somebody said stop), asking about something else 1.3, talk that
is obeyed 10 and talk that is asked about .7: our own choice. People count three times.
"""

import argparse
import json
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coach.hearing import acceptor, bands
from coach.hearing.acceptor import HOPELESS
from coach.hearing.bands import Band, Bands
from coach.hearing.recogniser_port import Scored
from coach.model.answers import ANYTIME, parse
from coach.record.evidence import wilson
from coach.session.events import Sureness
from tests.bench.hearing.trials import CONDITIONS

Look = Mapping[str, Any]

#: What may come of one thing said, the worst last.
KINDS = ("ignored", "asked", "acted", "asked wrong", "wrong")

#: Decibels over the room where it is quiet.
QUIET = 40.0

OVER = {one.name: one.snr_db if one.noise else QUIET for one in CONDITIONS}


def scored(look: Look, weight: float) -> list[tuple[Scored, str]]:
    """The phrases of a look with their answers, best first, joined as the program does."""
    keys = {phrase: key for phrase, key, *_ in look["of"]}
    known = [Scored(phrase, logit) for phrase, _, logit, _ in look["of"] if logit >= HOPELESS]
    known.sort(key=lambda one: -one.score)
    if weight:
        exact = {phrase: told for phrase, _, _, told in look["of"]}
        asked = acceptor.doubtful(known)
        known = list(acceptor.weighed(known, {phrase: exact[phrase] for phrase in asked}))
    alone = [(Scored(p, acceptor.alone(told)), key) for p, key, told in look["alone"]]
    return sorted([*((one, keys[one.phrase]) for one in known), *alone], key=lambda x: -x[0].score)


def kind_of(look: Look, table: Bands, weight: float) -> str:
    """One of KINDS."""
    found = scored(look, weight)
    if not found:
        return "ignored"
    (best, key), *_ = found
    following = max((one.score for one, other in found if other != key), default=-math.inf)
    short = 0.0 if " " in best.phrase else table.short
    sure = bands.judge(table.of(parse(key)), best.score, following, short)
    if sure is None:
        return "ignored"
    right = key == look["key"]
    if sure is Sureness.SURE:
        return "acted" if right else "wrong"
    return "asked" if right else "asked wrong"


Results = dict[tuple[str, str], dict[int, tuple[str, Look]]]


def results(looks: Sequence[Look], table: Bands | None, weight: float) -> Results:
    """Group and place -> thing said -> the worst that came of its looks."""
    made: Results = {}
    for look in looks:
        used = table or bands.bands("whisper", OVER[look["place"]])
        kind = kind_of(look, used, weight)
        items = made.setdefault((look["group"], look["place"]), {})
        before = items.get(look["item"], ("ignored", look))[0]
        if KINDS.index(kind) >= KINDS.index(before):
            items[look["item"]] = (kind, look)
    return made


def cost(kind: str, look: Look) -> float:
    """What it costs that this came of it; see above."""
    if not look["key"]:
        return {"wrong": 10.0, "asked wrong": 0.7}.get(kind, 0.0)
    if kind == "ignored":
        return 3.0 if look["key"] in ANYTIME else 1.0
    if kind == "wrong":
        return 60.0 if look["key"] == "stop" else 10.0
    return {"asked": 0.35, "acted": 0.0, "asked wrong": 1.3}[kind]


def total(looks: Sequence[Look], table: Bands, weight: float) -> float:
    """What a table of bands costs on the groups that choose."""
    return sum(
        cost(kind, look) * (3.0 if group == "people, chooses" else 1.0)
        for (group, _), items in results(looks, table, weight).items()
        if group.endswith("chooses")
        for kind, look in items.values()
    )


def costs(looks: Sequence[Look], weight: float) -> None:
    """Of each noise, what other thresholds would cost."""
    for over in dict.fromkeys(OVER[look["place"]] for look in looks):
        some = [one for one in looks if OVER[one["place"]] == over]
        table = bands.bands("whisper", over)
        print(f"\n{over:.0f} dB over the room, costs by how much stricter than now")
        for act in (-1.0, -0.5, 0.0, 0.5, 1.0):
            row = [total(some, moved(table, act, ask), weight) for ask in (-0.5, 0.0, 0.5, 1.0)]
            print(f"  act {act:+.1f}, ask -.5, 0, +.5, +1: " + ", ".join(f"{x:.1f}" for x in row))


def moved(table: Bands, act: float, ask: float) -> Bands:
    """Every band of a table, moved."""

    def one(band: Band) -> Band:
        return Band(band.act + act, min(band.ask + ask, band.act + act), band.margin)

    return Bands(
        one(table.danger), one(table.lowering), one(table.neutral), one(table.raising), table.short
    )


def report(looks: Sequence[Look], weight: float) -> None:
    """A line for each group and place."""
    print("| said by | where | acted on | with asking | wrong | asked about another |")
    print("|---|---|---|---|---|---|")
    for (group, place), items in sorted(results(looks, None, weight).items()):
        found, n = Counter(kind for kind, _ in items.values()), len(items)
        cells = []
        for right in (found["acted"], found["acted"] + found["asked"]):
            low, high = wilson(right, n)
            cells.append(f"{right} of {n}, {right / n:.3f} ({low:.2f}-{high:.2f})")
        cells += [str(found["wrong"]), str(found["asked wrong"])]
        print(f"| {group} | {place} | " + " | ".join(cells) + " |")


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("looks", type=Path)
    parser.add_argument("--weight", type=float, default=acceptor.WEIGHT, help="0 or ours")
    parser.add_argument("--costs", action="store_true")
    options = parser.parse_args()
    looks = [json.loads(line) for line in options.looks.read_text("utf-8").splitlines()]
    report(looks, options.weight)
    if options.costs:
        costs(looks, options.weight)


if __name__ == "__main__":
    main()
