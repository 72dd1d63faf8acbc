"""Every meaning an answer can have, and whether it lowers or raises load.

`TENDENCY` is the one table that classifies answers. Nothing else in the program decides
whether an answer may raise: the windows, the hearing bands and the planner all ask here.
"""

from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from coach.model.body import Feel, Part, Tissue
from coach.model.tries import CAUSES, STYLES


class Meaning(StrEnum):
    """What an answer means, whatever the words were."""

    DONE = "done"
    SKIP = "skip"
    #: says the last cue once more; timers go on
    AGAIN = "again"
    #: does the previous step once more
    BACK = "back"
    PAUSE = "pause"
    RESUME = "resume"
    STOP = "stop"
    #: a longer rest, here or after this step
    MORE_TIME = "more-time"
    EASIER = "easier"
    HARDER = "harder"
    WHATS_NEXT = "whats-next"
    HOW_LONG = "how-long"
    WHY = "why"
    FINISH = "finish"
    SHORT_OF_TIME = "short-of-time"
    #: more minutes for the session as a whole
    LONGER = "longer"
    COUNT = "count"
    FEEL = "feel"
    HURT = "hurt"
    #: a warning sign, named
    SIGN = "sign"
    TISSUE = "tissue"
    PART = "part"
    YES = "yes"
    NO = "no"
    ANOTHER = "another"
    ENOUGH = "enough"
    #: ends a rest or a wait early, by its own phrase
    READY = "ready"
    #: opens the hard tries at the go-ahead
    GO = "go"
    NOT_TODAY = "not-today"
    #: off the floor now, where a try's time is to begin with it
    STARTING = "starting"
    DOWN = "down"
    TOPPED = "topped"
    #: where a try ended
    ENDED_START = "ended-start"
    ENDED_MIDDLE = "ended-middle"
    ENDED_TOP = "ended-top"
    #: the move at which a try ended
    MOVE = "move"
    #: why a try ended
    CAUSE = "cause"
    #: whether she went for it
    WENT = "went"
    HELD_BACK = "held-back"
    #: how hard a try was beside the one before
    FELT_HARDER = "felt-harder"
    FELT_SAME = "felt-same"
    FELT_EASIER = "felt-easier"
    #: the hard move went, alone
    MOVE_DONE = "move-done"
    OTHER_BOULDER = "other-boulder"
    #: what kind of boulder it is
    STYLE = "style"
    #: one more hard try, and no further ones
    LAST_GO = "last-go"
    #: shorter rests from now on, by its own phrase
    SHORTER = "shorter"
    #: record a note about this boulder
    KEEP = "keep"
    #: the last try was filmed
    FILMED = "filmed"
    #: called away: end well within a minute
    LEAVING = "leaving"
    MINUTES = "minutes"
    #: why somebody was away for a while
    BREAK = "break"
    SAME = "same"
    CHANGED = "changed"
    #: which of the focuses that were offered: the name of its movement, or its place
    FOCUS = "focus"
    #: a few easy minutes before going on, after long idling
    REWARM = "rewarm"
    #: which of several people it is about
    PERSON = "person"
    #: how hard the whole session was, 0 to 10 in the words of Foster's table
    EFFORT = "effort"
    # -- what the leader of a group says
    #: on to what comes next
    NEXT = "next"
    #: everybody stays where they are until 'next'
    STAY = "stay"
    #: who is where
    WHERE = "where"
    #: they come late: expected, or here now
    LATE = "late"
    #: they are hurting
    HURTS = "hurts"
    #: they take no part any more
    OUT = "out"
    #: they are back
    RETURN = "return"
    #: they take part again after hurting, by its own phrase
    LET_IN = "let-in"
    #: nobody answered a question, twice: never spoken, opens nothing
    SILENCE = "silence"


class Tendency(StrEnum):
    """Which way an answer can move the load of what is left."""

    LOWERING = "lowering"
    NEUTRAL = "neutral"
    RAISING = "raising"


TENDENCY: dict[Meaning, Tendency] = {
    Meaning.DONE: Tendency.NEUTRAL,
    Meaning.SKIP: Tendency.LOWERING,
    Meaning.AGAIN: Tendency.NEUTRAL,
    Meaning.BACK: Tendency.RAISING,
    Meaning.PAUSE: Tendency.NEUTRAL,
    Meaning.RESUME: Tendency.NEUTRAL,
    Meaning.STOP: Tendency.LOWERING,
    Meaning.MORE_TIME: Tendency.LOWERING,
    Meaning.EASIER: Tendency.LOWERING,
    Meaning.HARDER: Tendency.RAISING,
    Meaning.WHATS_NEXT: Tendency.NEUTRAL,
    Meaning.HOW_LONG: Tendency.NEUTRAL,
    Meaning.WHY: Tendency.NEUTRAL,
    Meaning.FINISH: Tendency.LOWERING,
    Meaning.SHORT_OF_TIME: Tendency.LOWERING,
    Meaning.LONGER: Tendency.RAISING,
    Meaning.COUNT: Tendency.NEUTRAL,
    Meaning.FEEL: Tendency.LOWERING,
    Meaning.HURT: Tendency.LOWERING,
    Meaning.SIGN: Tendency.LOWERING,
    Meaning.TISSUE: Tendency.LOWERING,
    Meaning.PART: Tendency.LOWERING,
    Meaning.YES: Tendency.NEUTRAL,
    Meaning.NO: Tendency.NEUTRAL,
    Meaning.ANOTHER: Tendency.RAISING,
    Meaning.ENOUGH: Tendency.LOWERING,
    Meaning.READY: Tendency.RAISING,
    Meaning.GO: Tendency.RAISING,
    Meaning.NOT_TODAY: Tendency.LOWERING,
    Meaning.STARTING: Tendency.NEUTRAL,
    Meaning.DOWN: Tendency.NEUTRAL,
    Meaning.TOPPED: Tendency.NEUTRAL,
    Meaning.ENDED_START: Tendency.NEUTRAL,
    Meaning.ENDED_MIDDLE: Tendency.NEUTRAL,
    Meaning.ENDED_TOP: Tendency.NEUTRAL,
    Meaning.MOVE: Tendency.NEUTRAL,
    Meaning.CAUSE: Tendency.LOWERING,
    Meaning.WENT: Tendency.NEUTRAL,
    Meaning.HELD_BACK: Tendency.NEUTRAL,
    Meaning.FELT_HARDER: Tendency.LOWERING,
    Meaning.FELT_SAME: Tendency.NEUTRAL,
    Meaning.FELT_EASIER: Tendency.NEUTRAL,
    Meaning.MOVE_DONE: Tendency.NEUTRAL,
    Meaning.OTHER_BOULDER: Tendency.NEUTRAL,
    Meaning.STYLE: Tendency.NEUTRAL,
    Meaning.LAST_GO: Tendency.LOWERING,
    Meaning.SHORTER: Tendency.RAISING,
    Meaning.KEEP: Tendency.NEUTRAL,
    Meaning.FILMED: Tendency.NEUTRAL,
    Meaning.LEAVING: Tendency.LOWERING,
    Meaning.MINUTES: Tendency.NEUTRAL,
    Meaning.BREAK: Tendency.LOWERING,
    Meaning.SAME: Tendency.NEUTRAL,
    Meaning.CHANGED: Tendency.NEUTRAL,
    Meaning.FOCUS: Tendency.NEUTRAL,
    Meaning.REWARM: Tendency.RAISING,
    Meaning.PERSON: Tendency.NEUTRAL,
    Meaning.EFFORT: Tendency.NEUTRAL,
    # it shortens what runs: whatever of the warm-up is cut keeps the harder forms shut
    Meaning.NEXT: Tendency.LOWERING,
    Meaning.STAY: Tendency.NEUTRAL,
    Meaning.WHERE: Tendency.NEUTRAL,
    Meaning.LATE: Tendency.NEUTRAL,
    Meaning.HURTS: Tendency.LOWERING,
    Meaning.OUT: Tendency.LOWERING,
    Meaning.RETURN: Tendency.RAISING,
    Meaning.LET_IN: Tendency.RAISING,
    Meaning.SILENCE: Tendency.LOWERING,
}


#: Why somebody may have been away for a while.
BREAKS = ("holiday", "illness", "injury", "birth")


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person said, as a meaning with what it names."""

    meaning: Meaning
    part: Part | None = None
    feel: Feel | None = None
    tissue: Tissue | None = None
    number: int | None = None
    sign: str | None = None
    focus: str | None = None
    cause: str | None = None
    reason: str | None = None
    style: str | None = None

    @property
    def key(self) -> str:
        """The name used by windows and language packs, such as 'feel:fingers:sore'."""
        named = (
            self.part, self.feel, self.tissue, self.number, self.sign, self.focus, self.cause,
            self.reason,
            self.style,
        )  # fmt: skip
        return ":".join([self.meaning.value, *(str(item) for item in named if item is not None)])

    @property
    def tendency(self) -> Tendency:
        """Whether this answer can lower or raise what is left of the session.

        'Fresh' and 'fine' open a gate, so they raise; only a gate's own window offers them.
        """
        if self.meaning is Meaning.FEEL and self.feel in (Feel.FRESH, Feel.FINE):
            return Tendency.RAISING
        return TENDENCY[self.meaning]


def _one_of(names: Container[str], name: str) -> str:
    if name not in names:
        raise ValueError(name)
    return name


#: Meanings whose further words have a field of their own.
_NAMED: Mapping[str, Callable[[Answer, str], Answer]] = {
    "tissue": lambda answer, item: replace(answer, tissue=Tissue(item)),
    "sign": lambda answer, item: replace(answer, sign=item),
    "cause": lambda answer, item: replace(answer, cause=_one_of(CAUSES, item)),
    "break": lambda answer, item: replace(answer, reason=_one_of(BREAKS, item)),
    "style": lambda answer, item: replace(answer, style=_one_of(STYLES, item)),
}


def parse(key: str) -> Answer:
    """The answer that a key names; ValueError with the key if there is none."""
    head, *rest = key.split(":")
    try:
        answer = Answer(Meaning(head))
        for item in rest:
            if head in _NAMED:
                answer = _NAMED[head](answer, item)
            elif head == "focus" and not item.isdigit():
                answer = replace(answer, focus=item)
            elif item.isdigit():
                answer = replace(answer, number=int(item))
            elif item in list(Feel):
                answer = replace(answer, feel=Feel(item))
            else:
                answer = replace(answer, part=Part(item))
    except ValueError as error:
        raise ValueError(f"no answer is called {key!r}") from error
    return answer


#: Answers that count at any time, on the board and on the wall included.
ANYTIME: tuple[str, ...] = ("stop", "pause", "hurt", "feel:fingers:sore", "feel:sore")
