"""What an earlier version of the program made of the groups of `tests.bench.rotas`.

Runs with that version's folder as the path: reads cases as JSON from the standard input, and writes
for each what it planned, or how many minutes it asked for and what it planned then; and how long
its rota of the turns of now is. It knows the earlier version's names, and nothing of today's.
"""

import json
import re
import sys
from importlib import import_module
from typing import Any

from coach.errors import UsageError
from coach.files.library import load_library
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning.stations import Station, Turn

#: Where the earlier version had them.
make: Any = import_module("coach.group.making").make
rota: Any = import_module("coach.planning.stations").rota


def planned(case: dict[str, Any]) -> dict[str, Any]:
    """Length, share of the rota without a station, and the longest gap before a seat."""
    people = tuple(Person(who, age=AgeBand.ADULT) for who in range(1, case["people"] + 1))
    stations = [Station(f"board {n}", "board", 1) for n in range(1, case["boards"] + 1)]
    stations.append(Station("wall", "wall", case["walls"]))
    library = load_library("group", "tarnwick", ())
    minutes, refused = case["minutes"], False
    try:
        plan = make(Options(people, float(minutes), ()), library, stations)
    except UsageError as error:
        refused = True
        asked = re.search(r"need --minutes (\d+)", str(error.do))
        if asked is None:
            return {"refused": True, "minutes": None}
        minutes = int(asked[1])
        plan = make(Options(people, float(minutes), ()), library, stations)
    seats = plan.rota.seats
    worked = sum(seat.turn.seconds for seat in seats)
    free: dict[int, int] = {}
    gap = 0
    for seat in sorted(seats, key=lambda one: one.start):
        gap = max(gap, seat.start - free.get(seat.turn.who, 0))
        free[seat.turn.who] = seat.end
    whole = len(people) * plan.rota.seconds
    idle = 1.0 - worked / whole if whole else 0.0
    return {"refused": refused, "minutes": minutes, "idle": idle, "gap": gap}


def length(case: dict[str, Any]) -> int:
    """Seconds of its rota of given turns."""
    stations = [Station(*one) for one in case["stations"]]
    return int(rota([Turn(*one) for one in case["turns"]], stations).seconds)


def main() -> None:
    """Each case, one line."""
    for line in sys.stdin:
        case = json.loads(line)
        print(json.dumps({**planned(case), "length": length(case)}), flush=True)


if __name__ == "__main__":
    main()
