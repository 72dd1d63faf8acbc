"""Every question the program asks: which answers its window takes, and what silence means.

A question's words stand in the language pack as `ask-` and its name. Silence opens no gate.
"""

from dataclasses import dataclass

from coach.model.answers import AGES, BREAKS, CLEARERS, Answer, Meaning
from coach.model.body import Part
from coach.model.key_moves import CAUSES, KEY_MOVES, STYLES
from coach.model.person import CLIMBED
from coach.model.signs import HEAD_QUESTIONS
from coach.model.tries import HANDS, MOST_MOVES

#: Answers that one window takes at most: what is heard among more is heard wrongly.
MOST = 8


@dataclass(frozen=True, slots=True)
class Question:
    """A question by name; 2 to 8 answer keys; asked once more, then `silence` is taken."""

    name: str
    answers: tuple[str, ...]
    silence: str | None = None
    """The answer key that silence stands for; None leaves things as they are."""
    once: bool = False
    """Its words are said the first time only; after that its tone is enough."""
    wait: float = 8.0
    """Seconds its window stays open each time."""
    also: tuple[str, ...] = ()
    """Further answer keys that it takes and does not show."""
    plain: tuple[tuple[str, str], ...] = ()
    """What a bare yes or no stands for: 'yes' or 'no', and the answer key; '' for nothing by
    itself, so that its phrase is asked for."""
    safety: bool = False
    """Asked even of somebody who wants no more questions."""
    late: bool = False
    """An answer after its window still counts for a while: what it decides has not passed."""
    boulder: bool = False
    """A circuit's name counts in it: it is asked before, or about, a hard boulder."""
    clock: bool = False
    """A time of day counts in it, by which the session is to be over."""
    offer: bool = False
    """It wants no answer: it says what comes by itself, and is said once."""

    def __post_init__(self) -> None:
        if not 2 <= len(self.answers) <= MOST:
            raise ValueError(f"{self.name!r} takes {len(self.answers)} answers, not 2 to {MOST}")

    @property
    def words(self) -> str:
        """Key of its sentence in the language pack."""
        return f"{'offer' if self.offer else 'ask'}-{self.name}"


_FEELS = ("feel:fresh", "feel:fine", "feel:stiff", "feel:tired", "feel:sore", "feel:hurting")

#: The causes that are asked for: what the skin says can be told in any rest.
_CAUSES = tuple(f"cause:{cause}" for cause in CAUSES if cause != "skin")
#: Where a part is asked for "the skin" is one, though its words are those of other answers.
SKIN = ("part:skin", "tissue:skin", "cause:skin")
_FELT = ("felt-harder", "felt-same", "felt-easier")
_ENDS = ("topped", "ended-start", "ended-middle", "ended-top")
#: What may be told of a try, whichever of its questions is asked.
OF_A_TRY = (*_ENDS, *_CAUSES, *_FELT, "closer")

#: What may be told of the hard boulder at the go-ahead; its circuits are those of the place.
DESCRIBED = (
    *(f"key-move:{name}" for name in KEY_MOVES),
    *(f"style:{name}" for name in STYLES),
    *(f"move:{number}" for number in range(1, MOST_MOVES + 1)),
    *(f"hand:{hand}" for hand in HANDS),
)

_ALL = (
    # check-in
    # a few are shown; any number of them counts
    Question(
        "minutes",
        ("minutes:30", "minutes:45", "minutes:60", "minutes:75", "minutes:90", "minutes:120"),
        wait=10.0,
        safety=True,
        also=Meaning.MINUTES.numbered,
        clock=True,
    ),
    Question(
        "hurting",
        ("no", "feel:stiff", "feel:tired", "feel:sore", "feel:hurting"),
        wait=10.0,
        safety=True,
    ),
    Question("age", tuple(f"age:{band}" for band in AGES), wait=10.0),
    # of somebody alone, once: the months of climbing on one day, the circuit on another
    Question("climbed", (*(f"climbed:{span}" for span in CLIMBED), "no"), wait=10.0),
    # the circuits of the place are offered in their place
    Question("comfortable", ("no", "skip"), wait=10.0, boulder=True),
    Question("break", tuple(f"break:{reason}" for reason in BREAKS), wait=12.0, safety=True),
    Question(
        "symptom-free",
        ("symptom-free", "no"),
        silence="no",
        wait=10.0,
        plain=(("yes", ""), ("no", "no")),
        safety=True,
    ),
    Question(
        "cleared-by",
        tuple(f"cleared-by:{who}" for who in CLEARERS),
        silence="cleared-by:nobody",
        wait=10.0,
        safety=True,
    ),
    Question(
        "place", ("same", "changed"), silence="changed", plain=(("yes", "same"), ("no", "changed"))
    ),
    Question("seen-film", (*_CAUSES, "no"), "no", wait=12.0),
    Question("learn-voice", ("yes", "no"), silence="no"),
    # what is said in it is no answer: it is taken as a phrase to know the voice by
    Question("lesson", ("skip", "no"), offer=True, wait=15.0),
    # gates, asked by moving
    Question("gate-body", _FEELS, safety=True, late=True),
    Question("gate-shoulders", _FEELS, safety=True, late=True),
    Question("gate-fingers", _FEELS, safety=True, late=True),
    Question("gate-fingers-now", _FEELS, safety=True, late=True),
    Question(
        "go-ahead",
        ("go", "not-today", "more-time"),
        silence="not-today",
        wait=45.0,
        plain=(("yes", ""), ("no", "not-today")),
        safety=True,
        late=True,
        also=(*DESCRIBED, *Meaning.OWN_REST.numbered),
        boulder=True,
    ),
    # minutes were gained on the way: silence goes home early
    Question(
        "time-gained",
        ("more-tries", "home-early"),
        silence="home-early",
        wait=12.0,
        plain=(("yes", ""), ("no", "home-early")),
    ),
    # whose answer it was, where one microphone hears several people
    Question("who", ("person:1", "person:2", "person:3"), wait=10.0, safety=True),
    # staging of how something feels
    Question(
        "which-part",
        (
            "part:fingers",
            "part:wrists",
            "part:elbows",
            "part:shoulders",
            "part:back",
            "part:hips",
            "part:knees",
            "part:ankles",
        ),
        wait=10.0,
        safety=True,
        late=True,
        also=("part:head", "part:neck", "part:chest", *SKIN),
    ),
    Question(
        "how-is-it",
        ("feel:stiff", "feel:tired", "feel:sore", "feel:hurting"),
        wait=10.0,
        safety=True,
        late=True,
    ),
    Question(
        "tissue",
        ("tissue:skin", "tissue:muscle", "tissue:joint"),
        silence="tissue:joint",
        safety=True,
        late=True,
    ),
    Question(
        "sign", ("sign:yes", "no"), wait=10.0, safety=True, late=True, plain=(("yes", "sign:yes"),)
    ),
    # work
    # by the place of those that are offered; each of them also counts by its own name
    Question("focus", ("focus:1", "focus:2", "focus:3"), offer=True, wait=5.0),
    Question(
        "another",
        ("another", "enough"),
        silence="enough",
        once=True,
        plain=(("yes", ""), ("no", "enough")),
    ),
    # a batch that is told done sooner than it can be; its own counts are offered
    Question(
        "all-climbed",
        ("count:5", "count:4", "count:3", "count:2", "count:1", "no"),
        silence="no",
        plain=(("yes", ""),),
        safety=True,
    ),
    Question("try-result", _ENDS, wait=12.0, also=OF_A_TRY),
    # in the place of the result, where that decides nothing any more and this does
    Question("try-cause", ("topped", *_CAUSES), wait=12.0, also=OF_A_TRY),
    Question("try-effort", ("topped", *_FELT), wait=12.0, also=OF_A_TRY),
    Question(
        "went-for-it",
        ("topped", "went", "held-back"),
        wait=12.0,
        also=OF_A_TRY,
        plain=(("yes", "went"), ("no", "held-back")),
    ),
    # asked before a change is offered, of somebody who wants to look for herself first
    Question("own-view", ("no", *_CAUSES), wait=15.0, also=OF_A_TRY),
    Question(
        "which-boulder",
        (*(f"count:{number}" for number in range(1, 8)), "no"),
        wait=10.0,
        also=tuple(f"count:{number}" for number in range(8, 11)),
        boulder=True,
    ),
    Question("boulder-style", (*(f"style:{style}" for style in STYLES), "no")),
    # those of its style are offered in their place, and after "others" the rest
    Question(
        "boulder-about",
        (*(f"key-move:{name}" for name in KEY_MOVES[:6]), "others", "no"),
        also=tuple(f"key-move:{name}" for name in KEY_MOVES),
    ),
    Question(
        "boulder-move",
        (*(f"move:{number}" for number in range(1, 8)), "no"),
        also=tuple(f"move:{number}" for number in range(8, MOST_MOVES + 1)),
    ),
    Question("boulder-hand", (*(f"hand:{hand}" for hand in HANDS), "no")),
    Question("after-top", ("other-boulder", "same", "enough"), once=True, wait=12.0),
    Question("shorter-rests", ("shorter", "no"), silence="no", plain=(("yes", ""),)),
    # stopping and finishing
    Question("carry-on", ("resume", "finish"), wait=60.0, safety=True),
    Question("after-hurt", ("finish", "resume"), wait=120.0, safety=True),
    # the script for somebody who is hurt
    Question(
        "fall-head",
        ("sign:head-knock", "sign:neck-pain", "sign:back-pain", "sign:chest-pain", "no"),
        safety=True,
        also=("yes", *(f"part:{part}" for part in Part), *SKIN),
    ),
    Question("fall-sign", ("yes", "no", "sign:yes"), safety=True),
    *(Question(one.name, ("yes", "no", "sign:yes"), safety=True) for one in HEAD_QUESTIONS),
    Question("fall-over", ("finish", "again"), safety=True),
    Question("re-warm", ("rewarm", "no"), silence="no", plain=(("yes", ""),), safety=True),
    Question("confirm", ("yes", "no"), silence="no", safety=True),
    Question("effort", ("effort:2", "effort:3", "effort:5", "effort:7", "effort:10"), wait=12.0),
)

#: Questions about a hard try: they wait until the breath is back.
OF_TRIES: frozenset[str] = frozenset(
    {"try-result", "try-cause", "try-effort", "went-for-it", "after-top", "own-view"}
)
#: Questions to somebody who is hurt: silence is no answer to them.
INJURY: frozenset[str] = frozenset(
    {"fall-head", "fall-sign", "fall-over", "after-hurt", *(one.name for one in HEAD_QUESTIONS)}
)
QUESTIONS: dict[str, Question] = {question.name: question for question in _ALL}


def as_asked(question: str, answer: Answer) -> Answer:
    """An answer as a question means it: 'the skin' is a part where a part is asked for."""
    asks_for_a_part = "part:skin" in QUESTIONS[question].also
    return Answer(Meaning.PART, Part.SKIN) if asks_for_a_part and answer.key in SKIN else answer
