"""Whether the ear can tell a name: it is said by several voices, and all but few must be heard.

The window is the one of "who is it?": everybody by number and by name. What is asked back, taken
for somebody else or not heard at all is a miss.
"""

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from coach.hearing import bands
from coach.hearing.recogniser_health import WatchedRecogniser
from coach.hearing.recogniser_port import HEARING_RATE
from coach.model.answers import Answer, Meaning
from coach.session.events import Sureness

Floats = npt.NDArray[np.float32]

#: Of so many voices one may be missed: chosen on 24 names that no measuring has heard.
VOICES_A_MISS = 6
#: Seconds of silence before and after a name, and how far it is over a quiet room, in dB.
BEFORE, AFTER, QUIET_DB = 0.3, 0.4, 40.0


def missed(
    recogniser: WatchedRecogniser,
    said: Mapping[int, Sequence[Floats]],
    phrases: Mapping[int, Sequence[str]],
) -> frozenset[int]:
    """Whose names are not told apart, where each is `said` by some voices at HEARING_RATE.

    `phrases` are what each person answers to, the number first and then the name.
    """
    meant = {phrase: who for who, known in phrases.items() for phrase in known}
    names = tuple(phrase for known in phrases.values() for phrase in known[1:])
    found = set()
    for who, sounds in said.items():
        misses = sum(_heard(recogniser, sound, meant, names) != who for sound in sounds)
        if misses > len(sounds) // VOICES_A_MISS:
            found.add(who)
    return frozenset(found)


def _heard(
    recogniser: WatchedRecogniser, sound: Floats, meant: Mapping[str, int], names: Sequence[str]
) -> int:
    """Who is heard for sure; 0 for nobody."""
    edges = (round(BEFORE * HEARING_RATE), round(AFTER * HEARING_RATE))
    asked = (np.pad(sound, edges), tuple(meant), (), names)
    # nothing may have come in time: on a busy machine it is asked once more
    scored = recogniser.score(*asked) or recogniser.score(*asked)
    if not scored:
        return 0
    best, who = scored[0], meant[scored[0].phrase]
    other = next((one.score for one in scored if meant[one.phrase] != who), -np.inf)
    table = bands.bands(recogniser.name, QUIET_DB)
    short = 0.0 if " " in best.phrase else table.short
    band = table.of(Answer(Meaning.PERSON, number=who))
    sure = bands.judge(band, best.score, float(other), short) is Sureness.SURE
    return who if sure else 0
