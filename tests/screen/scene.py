"""An invented day and its words: views to draw without a session or a language pack."""

from dataclasses import replace

from coach.model.messages import Message, message
from coach.model.routine import BlockKind
from coach.screen.face import Face
from coach.screen.shapes import BLOCKS, Shapes
from coach.session.view import Ear, Stretch, View, Word

_LABELS = {
    **{f"word-{word.value}": word.value for word in Word},
    "ear-open": "ear open",
    "ear-shut": "ear shut",
    "ear-gone": "no microphone: keys only",
    **{f"block-{kind.value}": kind.value.replace("-", " ") for kind in BlockKind},
    "show-any-key": "any key",
    "show-left": "{minutes} min left",
    "show-turn": "turn of {who}",
    "show-next": "{who} is next",
    "show-recording": "RECORDING A NOTE",
    "large-waiting": "No session runs yet.",
    "show-small": "Small window: {columns} by {rows} shows the whole day.",
    "key-ask": "{press} once more: {answer}.",
    "key-left-it": "Left as it was.",
    "key-choose": "This one needs its own key: choose by figure.",
    "key-no-figure": "No answer has that number.",
    "key-nothing-asked": "No question is open now.",
    "key-not-understood": "That isn't an answer here.",
    "show-scale": "Scale: type its reading.",
    "key-scale": "kilograms held",
    "key-codes": "codes for phones",
    "key-codes-turn": "next, then away",
    "key-scale-typed": "Scale: {typed} kg, then Enter.",
}

_PHRASES = {
    "feel:fingers:sore": "fingers sore",
    "feel:sore": "sore",
    "feel:fresh": "fresh",
    "feel:fine": "fine",
    "feel:stiff": "stiff",
    "feel:tired": "tired",
    "feel:hurting": "hurting",
    "hurt": "I'm hurt",
    "back": "go back",
    "more-time": "more time",
    "whats-next": "what's next",
    "how-long": "how long",
    "go": "let's try hard",
    "not-today": "not today",
    "ended-start": "off at the start",
    "ended-middle": "off in the middle",
    "ended-top": "off near the top",
    "topped": "topped it",
    "ready": "ready now",
    "cleared:fingers": "a clinician cleared my fingers",
}


def words(what: Message) -> str:
    """A label by its key; any other message is its own text."""
    if what.key in _LABELS:
        return _LABELS[what.key].format(**dict(what.values))
    return str(what.value("text"))


def answer_text(key: str) -> str:
    """The first phrase of an answer."""
    return _PHRASES.get(key, key.partition(":")[2] if ":" in key else key)


def face(shapes: Shapes = BLOCKS) -> Face:
    """The face of the invented day."""
    return Face(words, answer_text, shapes)


def text(sentence: str) -> Message:
    """A message that is its own text."""
    return message("text", text=sentence)


def day(now: int) -> tuple[Stretch, ...]:
    """About ninety minutes; `now` is the number of the current stretch."""
    parts: list[tuple[str, float, int, str]] = []

    def add(block: str, *parts_of_it: tuple[float, int], gate: str = "") -> None:
        parts.extend((block, seconds, load, "") for seconds, load in parts_of_it)
        if gate:
            parts.append((block, 0.0, 0, gate))

    add("pulse", (120, 0), (120, 1), (100, 1))
    add("mat", *[(50, 1 if index % 3 else 0) for index in range(10)], gate="gate-body")
    add("board", *[(60, 1), (60, 0)] * 2, (60, 2), (60, 0), (10, 2), gate="gate-fingers")
    add("board", *[(10, 2), (120, 0)] * 3)
    add("easy", *[(70, 1), (60, 0)] * 5)
    add("middle", *[(60, 2), (100, 0)] * 4, gate="go-ahead")
    add("hard", *[(40, 3), (180, 0)] * 6)
    add("strength", *[(60, 2), (90, 0)] * 3)
    add("cool-down", *[(60, 0)] * 5)
    return tuple(
        Stretch(
            block,
            seconds,
            load,
            gate,
            "past" if index < now else "now" if index == now else "ahead",
        )
        for index, (block, seconds, load, gate) in enumerate(parts)
    )


STAY = View(
    word=Word.STAY,
    ear=Ear.SHUT,
    counts_from=None,
    counts_to=45.0,
    stands_at=None,
    step=text("Deep squat, heels down"),
    cue=text("Sink, push the knees out with the elbows, and breathe into the back."),
    form=text("Heels stay on the mat. If they lift, put the feet wider or hold on to something."),
    answers=("done", "skip", "easier"),
    heard=None,
    did=None,
    slope=day(5),
    ends_at=82 * 60.0,
)

HANG = replace(
    STAY,
    word=Word.HANG,
    counts_to=7.0,
    step=text("Edge check: the 20 mm edge, ten seconds"),
    cue=text("Both hands, open grip, feet off only if the feet-on hang was fine."),
    form=text("Shoulders away from the ears. Step down before the fingers open."),
    answers=(),
    slope=day(20),
    ends_at=61 * 60.0,
)

FEEL = replace(
    HANG,
    word=Word.ANSWER,
    ear=Ear.OPEN,
    counts_to=None,
    step=text("How did the fingers feel?"),
    cue=text("Fresh, fine, stiff, tired, sore or hurting."),
    form=None,
    answers=("feel:fresh", "feel:fine", "feel:stiff", "feel:tired", "feel:sore", "feel:hurting"),
    slope=day(21),
    window=7,
)

SORE = replace(
    FEEL,
    word=Word.REST,
    counts_to=125.0,
    step=text("Rest, then easy boulders"),
    cue=text("Shake the arms out and drink something. The easy circuit is Sandstone."),
    answers=("more-time", "ready"),
    heard=text("fingers sore"),
    did=text("The hangs are left out today, and the hard tries stay shut until a second check."),
    slope=day(24),
    ends_at=55 * 60.0,
)

CLIMB = replace(
    STAY,
    word=Word.CLIMB,
    ear=Ear.OPEN,
    counts_from=-83.0,
    counts_to=None,
    step=text("Five easy ones on Sandstone"),
    cue=text("Five easy boulders. Tell me when you are done."),
    form=text("Place each foot once and quietly."),
    answers=("done", "skip", "easier", "count:4", "count:3", "count:2", "count:1"),
    slope=day(28),
    ends_at=50 * 60.0,
    window=9,
)

GO = replace(
    FEEL,
    step=text("Go-ahead: hard tries today?"),
    cue=text("Warm, unhurt, skin and head left? Say so, or let it be an easy day."),
    answers=("go", "not-today", "more-time"),
    slope=day(46),
    ends_at=34 * 60.0,
    window=11,
)

TRY = replace(
    STAY,
    word=Word.TRY,
    ear=Ear.OPEN,
    counts_from=-12.0,
    counts_to=None,
    step=text("Hard try 3 of 6 on Gneiss"),
    cue=text("One go. Down is down: no second start."),
    form=None,
    answers=("topped", "ended-start", "ended-middle", "ended-top"),
    heard=text("ready now"),
    did=text("Rest ended at 2:40 instead of 3:00, by your word."),
    slope=day(51),
    ends_at=27 * 60.0,
    turn=2,
    window=14,
)

PAUSED = replace(
    CLIMB,
    word=Word.PAUSED,
    counts_from=None,
    stands_at=83.0,
    answers=("resume", "finish"),
)

GONE = replace(STAY, ear=Ear.GONE, word=Word.BREATHE, recording=False, counts_to=5999.0)

NOTE = replace(SORE, word=Word.NOTE, recording=True)

VIEWS: dict[str, View] = {
    "stay": STAY,
    "hang": HANG,
    "feel": FEEL,
    "sore": SORE,
    "climb": CLIMB,
    "go": GO,
    "try": TRY,
    "paused": PAUSED,
    "gone": GONE,
    "note": NOTE,
}


def view_with(view: View, **changes: object) -> View:
    """A view with something else in it."""
    return replace(view, **changes)  # type: ignore[arg-type]
