"""Names of people: how much likelier one is in a sound than where nobody spoke.

No network knows a name, and its text is unlikely to the scorer whoever says it: 'Odalys' far more
so than 'Leopold'. So each is measured against itself in silence, and against the other names.
"""

from collections.abc import Mapping, Sequence

from coach.hearing.recogniser_port import Scored

#: So much likelier than in silence is a name that was said (natural logarithm), and so far is it
#: before the next name; chosen on eight voices that say twelve names, beside talk and answers.
SAID, APART = 6.0, 4.0
#: A name that silence makes less likely than this is in any talk: it is measured against this.
RAREST = -25.0
#: What is taken off to bring it to the scale of the bands: SAID is asked about, 4 more is sure.
OFFSET = 10.0


def least(silent: float) -> float:
    """The log-probability under which a name changes nothing; `silent` is that in silence."""
    return max(silent, RAREST) + SAID - APART


def named(exact: Mapping[str, float], silent: Mapping[str, float]) -> Sequence[Scored]:
    """The name that was said, with its score; empty where none was, or two are too near."""
    over = sorted(((exact[name] - max(silent[name], RAREST), name) for name in exact), reverse=True)
    if not over or over[0][0] < SAID:
        return ()
    (best, name), *others = over
    if others and best - others[0][0] < APART:
        return ()
    return (Scored(name, best - OFFSET),)
