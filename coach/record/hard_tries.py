"""Hard tries over time: how many, how they ended, which was the best, and how they fell off.

Owns what is counted of a try. 'Topped' is known of a try whose end was told at all; one that was
not told ('untold') is a try, and stands in no share.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date

from coach.record.amounts import count, listed, median
from coach.record.climbing import has_no_name
from coach.record.digest import HEIGHTS
from coach.record.entry import Entry
from coach.record.evidence import wilson
from coach.record.panel import Panel, Series, Shape
from coach.record.periods import Period, PeriodLength, grouped, over_time

#: Tries with a told place that a session needs for its best one to tell anything (our choice).
ENOUGH = 3
#: Numbers of the day that are told apart; later tries count together (our choice).
LATE = 10
#: Two-sided 95 % of the normal distribution, for Wilson's interval.


def tries(entries: Sequence[Entry], span: PeriodLength, today: date) -> Panel:
    """Hard tries, tops and new heights per period, and how often the go-ahead was taken."""
    groups = grouped(entries, span, today)
    new = new_heights(entries)
    asked = sum(entry.digest.go_aheads for entry in entries)
    gone = sum(entry.digest.gone_for for entry in entries)
    columns: Mapping[str, tuple[float, ...]] = {
        "hard tries": _per(groups, lambda e: e.digest.hard_tries),
        "tops": _per(groups, lambda e: len(e.digest.tops)),
        "new heights": _per(groups, lambda e: len(new[e.uid])),
    }
    totals = [count(sum(values), name.removesuffix("s"), name) for name, values in columns.items()]
    totals[0] = count(sum(columns["hard tries"]), "hard try", "hard tries")
    text = [f"{listed(totals)}."]
    if asked:
        text.append(f"Went for it at {gone} of {count(asked, 'go-ahead')}.")
        halves = _halves(entries)
        if halves:
            text.append(halves)
    told = sum(e.digest.tries_gone_for + e.digest.tries_held_back for e in entries)
    if told:
        went = sum(entry.digest.tries_gone_for for entry in entries)
        text.append(f"Tries gone for: {went} of {told} asked about.")
    return over_time(
        groups,
        today,
        "tries",
        f"Hard tries by {span}",
        "times",
        Shape.LINE,
        tuple(Series(name, values) for name, values in columns.items()),
        text,
        note="A new height is a try that ended higher on a boulder than any before it.",
    )


def _per(groups: Sequence[Period], of: Callable[[Entry], int]) -> tuple[float, ...]:
    return tuple(float(sum(of(entry) for entry in one.entries)) for one in groups)


def _halves(entries: Sequence[Entry]) -> str:
    """How the share of go-aheads taken differs between the first and the second half."""
    asked = [entry for entry in entries if entry.digest.go_aheads]
    if len(asked) < 10:
        return ""
    middle = len(asked) // 2
    parts = (asked[:middle], asked[middle:])
    first, second = (
        (sum(e.digest.gone_for for e in part), sum(e.digest.go_aheads for e in part))
        for part in parts
    )
    return f"First half: {first[0]} of {first[1]}; second half: {second[0]} of {second[1]}."


def new_heights(entries: Sequence[Entry]) -> dict[str, tuple[str, ...]]:
    """Session uid -> boulders on which it got higher than in any session before.

    On a boulder that was not tried before only a top counts, and so on one without a name: it
    may be another one each day.
    """
    best: dict[tuple[str, str], int] = {}
    found: dict[str, tuple[str, ...]] = {}
    for entry in entries:
        higher = []
        for boulder, height in entry.digest.highest.items():
            reached = HEIGHTS.index(height)
            key = (entry.place, f"{entry.uid} {boulder}" if has_no_name(boulder) else boulder)
            before = best.get(key, HEIGHTS.index("top"))
            if reached > before:
                higher.append(boulder)
            best[key] = max(best.get(key, reached), reached)
        found[entry.uid] = tuple(higher)
    return found


def success(entries: Sequence[Entry], span: PeriodLength, today: date) -> Panel:
    """The share of hard tries that were topped, per period."""
    groups = grouped(entries, span, today)
    shares = [_share([result for e in one.entries for result in _told(e)]) for one in groups]
    every = [result for entry in entries for result in _told(entry)]
    untold = sum(entry.digest.hard_tries for entry in entries) - len(every)
    text = ["No hard try was told how it ended."]
    if every:
        topped = every.count("topped")
        low, high = wilson(topped, len(every))
        tried = count(len(every), "try", "tries")
        text = [
            (
                f"Topped: {topped} of {tried}, {_percent(topped / len(every))}; "
                f"so few tries could come from {_percent(low)} to {_percent(high)}."
            )
        ]
    if untold:
        text.append(f"How {count(untold, 'more try', 'more tries')} ended was not told.")
    return over_time(
        groups,
        today,
        "success",
        f"Hard tries topped by {span}",
        "% of tries",
        Shape.LINE,
        (Series("topped", tuple(shares)),),
        text,
        note="The range is Wilson's interval, 95 % (Newcombe 1998, Stat Med 17:857-872). Harder "
        "boulders are topped less often: the share says nothing without them.",
    )


def tries_per_top(entries: Sequence[Entry], span: PeriodLength, today: date) -> Panel:
    """How many tries a boulder took from the first one to its first top, per period of the top."""
    groups = grouped(entries, span, today)
    taken = dict(_first_tops(entries))
    values = [median(float(n) for e in one.entries for n in taken.get(e.uid, ())) for one in groups]
    every = [n for numbers in taken.values() for n in numbers]
    text = ["No hard boulder was topped."]
    if every:
        at_once = sum(n == 1 for n in every)
        text = [
            (
                f"{count(len(every), 'boulder')} topped: median {median(every):g} tries, "
                f"most {max(every)}; {at_once} at the first try."
            )
        ]
    return over_time(
        groups,
        today,
        "tries-per-top",
        f"Tries to the first top by {span}",
        "tries",
        Shape.LINE,
        (Series("median", tuple(values)),),
        text,
        note="Tries of earlier days count for a boulder with a name at the same place.",
    )


def _first_tops(entries: Sequence[Entry]) -> Iterator[tuple[str, list[int]]]:
    """Session uid -> the number of tries of each boulder that was topped in it the first time."""
    tried = Counter[tuple[str, str]]()
    done: set[tuple[str, str]] = set()
    for entry in entries:
        found: list[int] = []
        for boulder, result in entry.digest.tried:
            key = (entry.place, f"{entry.uid} {boulder}" if has_no_name(boulder) else boulder)
            tried[key] += 1
            if result == "topped" and key not in done:
                done.add(key)
                found.append(tried[key])
        yield entry.uid, found


def best_try(entries: Sequence[Entry], span: PeriodLength, today: date) -> Panel:
    """Which try of the day went best, per period: its number, the first of equally good ones."""
    groups = grouped(entries, span, today)
    values = [
        median(float(n) for e in one.entries if (n := _best(e)) is not None) for one in groups
    ]
    every = [n for entry in entries if (n := _best(entry)) is not None]
    text = [f"No day with {ENOUGH} tries whose end was told."]
    if every:
        early = sum(n <= ENOUGH for n in every)
        text = [
            (
                f"On {count(len(every), 'day')} the best try was number {median(every):g} in the "
                f"median; on {early} one of the first {ENOUGH}."
            )
        ]
    return over_time(
        groups,
        today,
        "best-try",
        f"Number of the best try by {span}",
        "number",
        Shape.LINE,
        (Series("best try", tuple(values)),),
        text,
        note=f"Only days with at least {ENOUGH} tries whose place was told; boulders differ.",
    )


def _best(entry: Entry) -> int | None:
    """The number of the day's best try, from 1; None where too few were told."""
    placed = [
        (HEIGHTS.index(result), -number)
        for number, (_, result) in enumerate(entry.digest.tried, 1)
        if result in HEIGHTS
    ]
    return -max(placed)[1] if len(placed) >= ENOUGH else None


def drop_off(entries: Sequence[Entry]) -> Panel:
    """The share of tries topped by their number of the day: whether they get worse, and when."""
    results: dict[int, list[str]] = {}
    for entry in entries:
        for number, (_, result) in enumerate(entry.digest.tried, 1):
            if result != "untold":
                results.setdefault(min(number, LATE), []).append(result)
    numbers = sorted(results)
    text = [_of_numbers(results, first, last) for first, last in ((1, 3), (4, 6), (7, LATE))]
    return Panel(
        "drop-off",
        "Tries topped, by their number of the day",
        "% of tries",
        Shape.COUNTS,
        tuple(f"try {n}{' and later' * (n == LATE)}" for n in numbers),
        (Series("topped", tuple(_share(results[n]) for n in numbers)),),
        tuple(filter(None, text)) or ("No hard try was told how it ended.",),
        note="Later tries are often on other boulders. Days on which you stopped early have no "
        "late tries.",
    )


def _of_numbers(results: Mapping[int, Sequence[str]], first: int, last: int) -> str:
    told = [result for n, group in results.items() if first <= n <= last for result in group]
    if not told:
        return ""
    which = f"Tries {first} to {last}" if last < LATE else f"From try {first} on"
    return f"{which}: {told.count('topped')} of {len(told)} topped."


def _told(entry: Entry) -> list[str]:
    return [result for _, result in entry.digest.tried if result != "untold"]


def _share(results: Sequence[str]) -> float | None:
    return round(100.0 * results.count("topped") / len(results), 1) if results else None


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
