"""Rest between hard tries: a band from published series, never one curve.

The series were measured on leg cycling and on sustained grip, not on a boulderer's forearm, and
elite and novice forearms differed about tenfold in one study (Fryer SM et al. 2015, J Strength
Cond Res 29(6):1633-1639). So the program suggests a range, counts with its middle, and nobody
is told to begin before they feel ready. Constants in watts are not applied to fingers.
"""

from collections.abc import Sequence
from math import exp, log

#: Seconds of rest that are suggested after an effort: least and most. Our choice inside the
#: published spread: boulderers rested 114 +- 31 s between tries (White and Olsen 2010, J Strength
#: Cond Res 24(5):1356-1360), sets are rested 1 to 2 min for one joint and 2 to 3 min for several
#: (ACSM 2009, Med Sci Sports Exerc 41:687-708), grip strength was back after 235 s (31 men, one
#: maximal hold of a minute).
SUGGESTED: dict[str, tuple[float, float]] = {
    "easy": (0.0, 60.0),
    "middle": (60.0, 120.0),
    "hard": (120.0, 240.0),
}
#: What the plan counts with after a hard try where the movement asks for nothing else.
PLANNED = sum(SUGGESTED["hard"]) / 2
#: Seconds of rest before a sore part is checked again (our choice).
RECHECK = 300.0
#: The longest rest in seconds that is suggested because longer ones were taken (our choice).
LONGEST = 600.0
#: Seconds by which a rest has to differ from what was suggested, to teach anything.
_NOTICED = 20.0
#: Rest that a plan never goes below between two hard tries of one person.
LEAST = SUGGESTED["hard"][0]


def phosphocreatine(seconds: float) -> float:
    """Percent of phosphocreatine back after a 30 s maximal sprint.

    A power law through the published means 19.7 (end), 65.0 (1.5 min) and 85.5 (6 min):
    Bogdanis GC et al. (1995) J Physiol 482(2):467-480. At most 100.
    """
    minutes = max(seconds, 0.0) / 60.0
    power = log((85.5 - 19.7) / (65.0 - 19.7)) / log(6.0 / 1.5)
    back = (65.0 - 19.7) * exp(power * log(minutes / 1.5)) if minutes else 0.0
    return min(19.7 + back, 100.0)


def work_capacity(seconds: float, slow: float = 388.0) -> float:
    """Percent of the work above critical power back: 50.67 % fast (21.5 s), the rest slow.

    Chorley A et al. (2022) Eur J Appl Physiol 122(3), ten trained cyclists. The slow constant is
    388 s in the first recovery and 716 s in the second.
    """
    rest = max(seconds, 0.0)
    return 50.67 * (1 - exp(-rest / 21.5)) + 49.33 * (1 - exp(-rest / slow))


def half_time(seconds: float, half: float = 232.0) -> float:
    """Percent back where half comes back every `half` seconds.

    Skiba PF et al. (2015) Eur J Appl Physiol 115(4):703-713: 232 s, single-leg extension.
    """
    return 100.0 * (1 - exp(-log(2.0) * max(seconds, 0.0) / half))


def grip_endurance(seconds: float) -> float:
    """Percent of the endurance of a grip back after a hold to failure.

    Stull GA, Kearney JT (1978) Med Sci Sports 10(2):109-112: 20.3 after 5 s, 86.8 after 2,560 s.
    Between the two, a straight line over the logarithm of time is ours; beyond them, nothing more.
    """
    rest = min(max(seconds, 0.0), 2560.0)
    if rest < 5.0:
        return 20.3 * rest / 5.0
    return 20.3 + (86.8 - 20.3) * log(rest / 5.0) / log(2560.0 / 5.0)


def band(seconds: float) -> tuple[float, float]:
    """Least and most percent that the series give after a rest; both grow with it, 0 to 100."""
    found = (
        phosphocreatine(seconds),
        work_capacity(seconds),
        work_capacity(seconds, slow=716.0),
        half_time(seconds),
        grip_endurance(seconds),
    )
    return min(found), max(found)


def suggested(effort: str) -> tuple[float, float]:
    """Least and most seconds of rest after 'easy', 'middle' or 'hard'."""
    return SUGGESTED[effort]


def learnt(rests: Sequence[tuple[float, float]]) -> float:
    """Seconds that the last two rests teach to suggest, 0 for nothing; suggested and taken.

    Only longer ones teach by themselves: twice running longer than suggested, the shorter of both
    is suggested from then on, at most LONGEST.
    """
    last = rests[-2:]
    if len(last) < 2 or any(taken < suggested + _NOTICED for suggested, taken in last):
        return 0.0
    return min(*(taken for _, taken in last), LONGEST)


def early(rests: Sequence[tuple[float, float]], wanted: float) -> float:
    """Seconds by which the last three rests, each ended early, suggest to ask for shorter ones.

    `wanted` is the rest between two tries as it is planned; what is left of it is never under
    LEAST. 0 where nothing is to be asked.
    """
    last = rests[-3:]
    if len(last) < 3 or any(taken > suggested - _NOTICED for suggested, taken in last):
        return 0.0
    return max(min(*(suggested - taken for suggested, taken in last), wanted - LEAST), 0.0)


def between(others: float, wanted: float) -> float:
    """Seconds of rest that a round of tries needs besides the tries of the others.

    `wanted` is what the movement asks for, 0 for the planned rest; never under LEAST in all.
    """
    return max(max(wanted or PLANNED, LEAST) - others, 0.0)


#: The own rest that can be told or learnt, least and most seconds.
OWN = (LEAST, 360.0)
#: No claim about anybody's own rest before so many sessions (our choice: own rests were learnt over
#: the first three trials, Glaister M et al. 2010, J Strength Cond Res 24(12):3296-3301).
SESSIONS = 3
#: Share of the suggestion inside which an own rest is noise: own rests varied by 11.1 % (Glaister M
#: et al. 2010, J Strength Cond Res 24(12):3296-3301).
NOISE = 0.11
#: Seconds to which an own rest is rounded: a range, and no false precision (our choice).
_ROUND = 15.0


def within_own(seconds: float) -> float:
    """Seconds as an own rest may be: between OWN's least and most."""
    return min(max(seconds, OWN[0]), OWN[1])


def own_rest(sessions: Sequence[Sequence[float]], usual: float = PLANNED) -> float:
    """Seconds of rest that somebody took before their good tries; 0 where nothing can be claimed.

    `sessions` holds for each session the rests in seconds before tries that went as far as any
    before them, or further. The middle of the sessions' middles counts, so that one long day
    weighs no more than another. A rest inside NOISE of the `usual` one is the usual one.
    """
    middles = sorted(_middle(rests) for rests in sessions if rests)
    if len(middles) < SESSIONS:
        return 0.0
    found = _ROUND * round(_middle(middles) / _ROUND)
    return 0.0 if abs(found - usual) <= NOISE * usual else within_own(found)


def _middle(values: Sequence[float]) -> float:
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2.0
