"""Rest between hard tries: a range, never one curve.

The numbers are our choice inside the published spread: boulderers rested 114 +- 31 s between
tries (White and Olsen 2010, J Strength Cond Res 24(5):1356-1360), strength work is rested
2 to 3 min (ACSM 2009, Med Sci Sports Exerc 41:687-708), grip strength was back after 235 s
(31 men, maximal hold of 1 min).
"""

#: Seconds of rest after a hard try: least and most that are suggested.
HARD = (120.0, 240.0)
#: What the plan counts with.
PLANNED = 180.0
#: Seconds of rest before a sore part is checked again.
RECHECK = 300.0


def between(others: float, wanted: float) -> float:
    """Seconds of rest that a round of tries needs besides the tries of the others.

    `wanted` is what the movement asks for; 0 means the planned rest.
    """
    return max((wanted or PLANNED) - others, 0.0)
