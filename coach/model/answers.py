"""Every meaning an answer can have, and all that is particular about it: one entry each.

Nothing else in the program classifies answers. Hearing, screen, keys, documents, session and group
read it from here: `Meaning.GO.nature.tendency`. A new answer is one entry, its phrases in the
language packs, and what it does in `coach.session` or `coach.group`.
"""

from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from coach.model.body import Feel, Part, Tissue
from coach.model.key_moves import CAUSES, KEY_MOVES, STYLES
from coach.model.nature import About, Nature, Tendency, WithNature
from coach.model.person import CLIMBED, AgeBand
from coach.model.signs import SIGNS
from coach.model.tries import HANDS

#: How much something hurts, in words: slight, moderate, severe.
_PAINS = ("feel:hurting:2", "feel:hurting:5", "feel:hurting:8")
_LOWERS, _NEUTRAL, _RAISES = Tendency.LOWERING, Tendency.NEUTRAL, Tendency.RAISING


class Meaning(WithNature):
    """What an answer means, whatever the words were."""

    # -- at any time
    STOP = "stop", Nature(
        _LOWERS, "everything stands still; asks whether to carry on or finish",
        always=("stop",), leader=True, early=True, overtakes=True, letter="s",
    )  # fmt: skip
    PAUSE = "pause", Nature(
        _NEUTRAL, "everything stands still until 'carry on'",
        always=("pause",), leader=True, early=True, letter="p",
    )  # fmt: skip
    HURT = "hurt", Nature(
        _LOWERS, "timers end; what hurts gets no more load",
        always=("hurt",), leader=True, early=True, overtakes=True, asked_back=True, letter="h",
        about=About.BODY,
    )  # fmt: skip
    FEEL = "feel", Nature(
        _LOWERS, "how the body or a part of it feels; lowers what is left",
        always=("feel:fingers:sore", "feel:sore", "feel:hurting", *_PAINS, "feel:fingers:hurting"),
        leader=True,
        early=True, asked_back=True, letter="f", chosen=True, about=About.BODY,
    )  # fmt: skip
    SIGN = "sign", Nature(
        _LOWERS, "a warning sign: no load there today",
        always=tuple(sign.key for sign in SIGNS.values()), leader=True, early=True,
        asked_back=True, chosen=True, about=About.BODY,
    )  # fmt: skip

    # -- the step that runs
    DONE = "done", Nature(_NEUTRAL, "ends what runs", called=True, leader=True, moves=True)
    SKIP = "skip", Nature(
        _LOWERS, "leaves out what runs or comes",
        called=True, moves=True, asked_back=True, letter="k",
    )  # fmt: skip
    AGAIN = "again", Nature(
        _NEUTRAL, "says the last cue once more; timers go on",
        shown=True, called=True, leader=True, early=True, letter="a",
    )  # fmt: skip
    BACK = "back", Nature(
        _RAISES, "does the step before once more", called=True, moves=True, letter="b", twice=True
    )  # fmt: skip
    COUNT = "count", Nature(
        _NEUTRAL, "how many boulders so far, or which one", moves=True, chosen=True
    )  # fmt: skip
    MORE_TIME = "more-time", Nature(
        _LOWERS, "a longer rest, now or after this step",
        shown=True, called=True, leader=True, moves=True, letter="m",
    )  # fmt: skip
    READY = "ready", Nature(_RAISES, "ends the rest that runs", moves=True, goes_on=True)
    EASIER = "easier", Nature(
        _LOWERS, "an easier form, fewer tries", shown=True, called=True, moves=True, letter="e"
    )  # fmt: skip
    HARDER = "harder", Nature(
        _RAISES, "a harder form, where every cap allows it", called=True, moves=True, twice=True
    )  # fmt: skip

    # -- the session as a whole
    WHATS_NEXT = "whats-next", Nature(
        _NEUTRAL, "tells the next step", shown=True, called=True, letter="n"
    )  # fmt: skip
    HOW_LONG = "how-long", Nature(
        _NEUTRAL, "tells how many minutes are left", shown=True, called=True, letter="l"
    )  # fmt: skip
    WHY = "why", Nature(
        _NEUTRAL, "tells the rule behind the last change, and how sure it is",
        shown=True, called=True, letter="w",
    )  # fmt: skip
    #: with a number, the minutes that are left
    SHORT_OF_TIME = "short-of-time", Nature(
        _LOWERS, "fewer minutes, or how many are left",
        shown=True, called=True, numbers=(10, 15, 20, 30, 45, 60),
    )  # fmt: skip
    FEWER = "fewer", Nature(
        _LOWERS, "fewer minutes, by how many",
        shown=True, called=True, asked_back=True, numbers=(5, 10, 15, 20, 30),
    )  # fmt: skip
    LONGER = "longer", Nature(
        _RAISES, "more minutes for the session as a whole",
        shown=True, called=True, twice=True, numbers=(5, 10, 15, 20, 30),
    )  # fmt: skip
    #: by a time of day on a dial of twelve hours: its minutes after twelve
    UNTIL = "until", Nature(
        _RAISES, "over by a time of day: fewer minutes, or more", twice=True
    )  # fmt: skip
    LONG_WARM_UP = "long-warm-up", Nature(
        _LOWERS, "a longer warm-up, told before the plan", shown=True, called=True, early=True
    )  # fmt: skip
    NO_QUESTIONS = "no-questions", Nature(
        _NEUTRAL, "asks nothing more but what keeps somebody safe", shown=True, called=True
    )  # fmt: skip
    RESUME = "resume", Nature(
        _NEUTRAL, "goes on after a pause or a stop",
        called=True, leader=True, early=True, goes_on=True, letter="p",
    )  # fmt: skip
    FINISH = "finish", Nature(
        _LOWERS, "ends well, now",
        shown=True, called=True, leader=True, early=True, asked_back=True, letter="q", twice=True,
        chosen=True,
    )  # fmt: skip
    LEAVING = "leaving", Nature(
        _LOWERS, "called away: over within a minute, with what to do at home",
        shown=True, early=True, asked_back=True, letter="g", twice=True, chosen=True,
        about=About.TRIES,
    )  # fmt: skip

    # -- hard tries
    STARTING = "starting", Nature(_NEUTRAL, "times the try from now", moves=True)
    DOWN = "down", Nature(_NEUTRAL, "off the wall: ends the try", moves=True, tells="end")
    TOPPED = "topped", Nature(
        _NEUTRAL, "the last try went to the top",
        moves=True, chosen=True, about=About.LAST_TRY, result="topped", tells="end",
    )  # fmt: skip
    ENDED_START = "ended-start", Nature(
        _NEUTRAL, "where the last try ended",
        moves=True, chosen=True, about=About.LAST_TRY, result="start", tells="end",
    )  # fmt: skip
    ENDED_MIDDLE = "ended-middle", Nature(
        _NEUTRAL, "where the last try ended",
        moves=True, chosen=True, about=About.LAST_TRY, result="middle", tells="end",
    )  # fmt: skip
    ENDED_TOP = "ended-top", Nature(
        _NEUTRAL, "where the last try ended",
        moves=True, chosen=True, about=About.LAST_TRY, result="top", tells="end",
    )  # fmt: skip
    MOVE = "move", Nature(
        _NEUTRAL, "the move at which the last try ended",
        moves=True, chosen=True, about=About.LAST_TRY, tells="end",
    )  # fmt: skip
    CAUSE = "cause", Nature(
        _LOWERS, "why the last try ended",
        moves=True, chosen=True, about=About.LAST_TRY, tells="cause",
    )  # fmt: skip
    CLOSER = "closer", Nature(
        _NEUTRAL, "the last try went further than the one before",
        moves=True, chosen=True, about=About.LAST_TRY, tells="beside",
    )  # fmt: skip
    MOVE_DONE = "move-done", Nature(
        _NEUTRAL, "the hard move went, alone", moves=True, about=About.LAST_TRY
    )  # fmt: skip
    OTHER_BOULDER = "other-boulder", Nature(
        _NEUTRAL, "another boulder from the next try on", moves=True, about=About.TRIES
    )  # fmt: skip
    #: what the hardest move of a boulder is
    KEY_MOVE = "key-move", Nature(
        _RAISES, "what the hard boulder is about: its drill comes before the first try",
        chosen=True, about=About.LAST_TRY,
    )  # fmt: skip
    #: of the changes that were offered, the one that comes first: its name, or its place
    VARIATION = "variation", Nature(
        _NEUTRAL, "which change is tried first", moves=True, about=About.LAST_TRY
    )  # fmt: skip
    OWN_REST = "own-rest", Nature(
        _RAISES, "minutes of rest between hard tries, from here on",
        moves=True, about=About.LAST_TRY, numbers=(2, 3, 4, 5, 6),
    )  # fmt: skip
    LAST_GO = "last-go", Nature(
        _LOWERS, "one more hard try, and no further ones",
        moves=True, asked_back=True, chosen=True, about=About.TRIES,
    )  # fmt: skip
    ENOUGH = "enough", Nature(_LOWERS, "no more of this", moves=True, about=About.TRIES)
    KEEP = "keep", Nature(
        _NEUTRAL, "records a note about this boulder", moves=True, about=About.LAST_TRY
    )  # fmt: skip
    FILMED = "filmed", Nature(_NEUTRAL, "marks the last try as filmed", about=About.LAST_TRY)

    # -- answers to a question, and nothing else
    YES = "yes", Nature(_NEUTRAL, asked=True, leader=True)
    NO = "no", Nature(_NEUTRAL, asked=True, leader=True, chosen=True)
    PART = "part", Nature(_LOWERS, asked=True, leader=True, chosen=True)
    TISSUE = "tissue", Nature(_LOWERS, asked=True, leader=True, chosen=True)
    ANOTHER = "another", Nature(
        _RAISES, "one more go, or the drill once more", moves=True, goes_on=True,
        about=About.LAST_TRY,
    )  # fmt: skip
    #: opens the hard tries at the go-ahead
    GO = "go", Nature(_RAISES, asked=True, goes_on=True)
    NOT_TODAY = "not-today", Nature(_LOWERS, asked=True, asked_back=True, chosen=True)
    #: whether she went for it
    WENT = "went", Nature(_NEUTRAL, asked=True, chosen=True)
    HELD_BACK = "held-back", Nature(_NEUTRAL, asked=True, chosen=True)
    #: how hard a try was beside the one before
    FELT_HARDER = "felt-harder", Nature(
        _LOWERS, "how hard the last try was beside the one before",
        moves=True, chosen=True, about=About.LAST_TRY, result="harder", tells="effort",
    )  # fmt: skip
    FELT_SAME = "felt-same", Nature(
        _NEUTRAL, "how hard the last try was beside the one before",
        moves=True, chosen=True, about=About.LAST_TRY, result="same", tells="effort",
    )  # fmt: skip
    FELT_EASIER = "felt-easier", Nature(
        _NEUTRAL, "how hard the last try was beside the one before",
        moves=True, chosen=True, about=About.LAST_TRY, result="easier", tells="effort",
    )  # fmt: skip
    #: what kind of boulder it is, on which circuit, and which hand does its key move
    STYLE = "style", Nature(_NEUTRAL, asked=True, chosen=True)
    CIRCUIT = "circuit", Nature(_NEUTRAL, asked=True, chosen=True)
    HAND = "hand", Nature(_NEUTRAL, asked=True, chosen=True)
    #: asks what the hard boulder is about; and of the key moves that are shown, none: the others
    DESCRIBE = "describe", Nature(_NEUTRAL, asked=True, chosen=True)
    OTHERS = "others", Nature(_NEUTRAL, asked=True, chosen=True)
    #: more hard tries in the time that was gained, by its own phrase
    MORE_TRIES = "more-tries", Nature(_RAISES, asked=True)
    HOME_EARLY = "home-early", Nature(_LOWERS, asked=True, chosen=True)
    #: shorter rests from now on, by its own phrase
    SHORTER = "shorter", Nature(_RAISES, asked=True)
    MINUTES = "minutes", Nature(
        _NEUTRAL, asked=True, chosen=True, asked_back=True, numbers=tuple(range(10, 181, 5))
    )  # fmt: skip
    #: why somebody was away for a while
    BREAK = "break", Nature(_LOWERS, asked=True)
    #: which age band somebody is in: raising, for the careful rules hold until it is told
    AGE = "age", Nature(_RAISES, asked=True, chosen=True)
    #: for how long somebody has climbed, as a span of `coach.model.person.CLIMBED`
    CLIMBED = "climbed", Nature(_RAISES, asked=True, chosen=True)
    #: seven days without symptoms have passed after an illness
    SYMPTOM_FREE = "symptom-free", Nature(_RAISES, asked=True)
    #: who has cleared an injury; said aloud it lifts nothing
    CLEARED_BY = "cleared-by", Nature(_NEUTRAL, asked=True, chosen=True)
    SAME = "same", Nature(_NEUTRAL, asked=True)
    CHANGED = "changed", Nature(_NEUTRAL, asked=True)
    #: which of the focuses that were offered: the name of its movement, or its place
    FOCUS = "focus", Nature(_NEUTRAL, asked=True)
    #: a few easy minutes before going on, after long idling
    REWARM = "rewarm", Nature(_RAISES, asked=True)
    #: which of several people it is about
    PERSON = "person", Nature(_NEUTRAL, asked=True, leader=True, chosen=True)
    #: how hard the whole session was, 0 to 10 in the words of Foster's table
    EFFORT = "effort", Nature(_NEUTRAL, asked=True, chosen=True)
    #: nobody answered a question, twice: never spoken, opens nothing
    SILENCE = "silence", Nature(_LOWERS, asked=True)

    # -- what only the leader of a group says
    #: shortens what runs: whatever of the warm-up is cut keeps the harder forms shut
    NEXT = "next", Nature(_LOWERS, "on to what comes next", leader=True, asked=True)
    STAY = "stay", Nature(_NEUTRAL, "everybody stays until 'next'", leader=True, asked=True)
    WHERE = "where", Nature(_NEUTRAL, "who is where", leader=True, asked=True)
    LATE = "late", Nature(
        _NEUTRAL, "they come late: expected, or here now", leader=True, asked=True
    )  # fmt: skip
    HURTS = "hurts", Nature(_LOWERS, "they are hurting", leader=True, asked=True)
    OUT = "out", Nature(_LOWERS, "they take no part any more", leader=True, asked=True)
    RETURN = "return", Nature(_RAISES, "they are back", leader=True, asked=True)
    LET_IN = "let-in", Nature(
        _RAISES, "they take part again after hurting", leader=True, asked=True
    )  # fmt: skip
    UNDO = "undo", Nature(
        _RAISES, "takes back the leader's last change that only lowered", leader=True, asked=True
    )  # fmt: skip


#: Answers that count at any time, on the board and on the wall included.
ANYTIME: tuple[str, ...] = tuple(key for meaning in Meaning for key in meaning.nature.always)
#: Answers that somebody alone gives without a call word while a window is open.
SHOWN: tuple[str, ...] = tuple(
    key for meaning in Meaning if meaning.nature.shown for key in (meaning.value, *meaning.numbered)
)
#: Answers that count outside windows after the call word.
CALLED: tuple[str, ...] = tuple(meaning.value for meaning in Meaning if meaning.nature.called)
#: Answers that have a letter on the keyboard.
LETTERED: tuple[str, ...] = tuple(
    next(iter(meaning.nature.always), meaning.value) for meaning in Meaning if meaning.nature.letter
)


#: Why somebody may have been away for a while.
BREAKS = ("holiday", "illness", "injury", "birth")
#: The age bands that are asked about.
AGES = tuple(band.value for band in AgeBand if band is not AgeBand.UNKNOWN)
#: Who may have cleared an injury.
CLEARERS = ("doctor", "physio", "nobody")


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
    key_move: str | None = None
    variation: str | None = None
    circuit: str | None = None
    hand: str | None = None

    @property
    def key(self) -> str:
        """The name used by windows and language packs, such as 'feel:fingers:sore'."""
        named = (
            self.part, self.feel, self.tissue, self.number, self.sign, self.focus, self.cause,
            self.reason,
            self.style, self.key_move, self.variation, self.circuit, self.hand,
        )  # fmt: skip
        return ":".join([self.meaning.value, *(str(item) for item in named if item is not None)])

    @property
    def tendency(self) -> Tendency:
        """Whether this answer can lower or raise what is left of the session.

        'Fresh' and 'fine' open a gate, so they raise; only a gate's own window offers them.
        """
        if self.meaning is Meaning.FEEL and self.feel in (Feel.FRESH, Feel.FINE):
            return Tendency.RAISING
        return self.meaning.nature.tendency


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
    "age": lambda answer, item: replace(answer, reason=_one_of(AGES, item)),
    "climbed": lambda answer, item: replace(answer, reason=_one_of(CLIMBED, item)),
    "cleared-by": lambda answer, item: replace(answer, reason=_one_of(CLEARERS, item)),
    "key-move": lambda answer, item: replace(answer, key_move=_one_of(KEY_MOVES, item)),
    "style": lambda answer, item: replace(answer, style=_one_of(STYLES, item)),
    "circuit": lambda answer, item: replace(answer, circuit=item),
    "hand": lambda answer, item: replace(answer, hand=_one_of(HANDS, item)),
}


@lru_cache(maxsize=4096)
def parse(key: str) -> Answer:
    """The answer that a key names; ValueError with the key if there is none."""
    head, *rest = key.split(":")
    try:
        answer = Answer(Meaning.called(head))
        for item in rest:
            if head == "sign" and item in list(Part):
                answer = replace(answer, part=Part(item))
            elif head in _NAMED:
                answer = _NAMED[head](answer, item)
            elif head == "focus" and not item.isdigit():
                answer = replace(answer, focus=item)
            elif head == "variation" and not item.isdigit():
                answer = replace(answer, variation=item)
            elif item.isdigit():
                answer = replace(answer, number=int(item))
            elif item in list(Feel):
                answer = replace(answer, feel=Feel(item))
            else:
                answer = replace(answer, part=Part(item))
    except ValueError as error:
        raise ValueError(f"no answer is called {key!r}") from error
    return answer
