"""Which sentence claims what, and a judge that holds each claim against the facts of the day.

Every sentence of the packs stands in `CLAIMS`, by its key or by the longest head of it; one that
stands nowhere fails `tests/days/test_truth.py`. The judges read what was heard, said and kept, and
the clock; they know nothing of the core's plan.
"""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from tests.days.hall import Line

if TYPE_CHECKING:
    from tests.days.judges import LivedDay

#: Claim -> the sentences that make it: keys, or heads that end in '-'.
CLAIMS: dict[str, str] = {
    # asks, greets, tells what to do, gives a reason or a rule: nothing of this day
    "nothing": "ask- offer- cue cue- circuits circuits- dose- why- advice- remind- prepare- middle-"
    " vary- ear- block- show- key- welcome nudge nudge-landing sit-out next-go try"
    " rest rest-first so-many-left one-done heard say-so once-more noted other-voice too-loud"
    " key-first under-16 under-18 age-untold static-before-hard no-board no-partner crowded"
    " uncleared-sign"
    " hurting-again sore-again aim- back-after-break back-after-illness back-after-injury"
    " back-after-birth drill-first how-sure about in-mind landing gate-open short-of-sleep"
    " hard-yesterday idle-notice idle-offer re-warm hurt-anybody hurt-stay note leave-"
    " down-when-clear group- asked-less sore-where stiff-where contradiction stiff no-questions"
    " easiest harder-refused falling falling-harder last-go last-helped go-untold go-too-early"
    " screen- word- web- large- filmed debrief-filmed emergency-sign head-sign ill"
    " cleared reading reading- unknown-sign rest-range spot drill-low her-plan"
    " sore-before unknown-sign-somewhere",
    # why something is not taken: judged by `answered`
    "not taken": "not-now not-now- nothing-asked not-understood no-such-move no-try-yet no-way-back"
    " others-rest rest-floor rest-floor-try"
    " too-late too-short try-refused no-why nothing-next",
    # what runs on the machine: judged by tests of the devices and of the journal
    "machine": "saved saved- device- not-saving saving-again note-recording note-kept note-cut"
    " lesson- note-disk note-empty note-no-microphone picking-up",
    # a part gets no load, or gentle load: judged by `spared` and by tests.bench.spared
    "sparing": "plan-sparing plan-sparing-all hurt hurt-over warning-sign young- age-unknown-pain"
    " part-untold hurting hurting-over pain-severe sore worn-skin sore-skin sore-joint"
    " injury-somewhere tired gate-silent edge-below-usual stiff-again still-hurt sign-untold"
    " not-yet-well cleared-aloud",
    # what the try before was, or what was agreed for the next: judged by tests.bench.promises
    "boulder": "last-time last-time- drill-offer own-rest on-boulder drill-once-more about-"
    " last-over drill-dropped",
    # what the record holds: judged by tests/record/recount.py and the tests of each page
    "record": "review- trial- year-hours told-already told-anew",
    # what is swapped or left out: judged by the plan's own oracle in tests/oracle.py
    "swap": "easier easier-left-out harder skip no-re-warm next short-day longer-warm-up"
    " running-late ahead long-warm-up new-to-climbing learning strong",
    "no tries": "plan-without-tries not-today uncounted-again skip-make-up go-cold easier-middle"
    " go-silent go-unchecked"
    " back-after-holiday no-room-for-hard enough-tries well-again",
    "tries": "plan-in-one-sentence left left-for left-in-all left-or-tries go tired-all made-up"
    " try-last more-tries tries-wanted",
    "minutes": "how-long short-of-time called-away longer longer-gentle no-end how-long-rest"
    " how-long-rest-minutes how-long-rest-half"
    " home-early",
    "what is asked": "now-of",
    "asked again": "sore-muscle fingers-by-climbing",
    "first asked": "skip-floor uncounted count-short",
    "rest": "rest-half rest-nearly-over rest-ten longer-rest offer-longer-rest go-later",
    "won": "won-",
    "counted": "counted-late",
    "done": "debrief debrief-tries",
    "stands": "paused slept hurt-now still-standing",
    "ends": "time-up left-standing",
}
_BY_KEY = {one: claim for claim, keys in CLAIMS.items() for one in keys.split()}

#: Seconds that a minute told may be off, and the share of what was told.
SLACK, SHARE = 12 * 60.0, 0.5
#: Answers by which somebody ends, stands still, or changes the day: what was told before is over.
_TURNS = ("finish", "leaving", "stop", "pause", "hurt", "sign", "resume", "longer", "short-of-time",
          "fewer", "feel", "part", "skip", "easier", "harder", "back", "enough", "last-go", "go",
          "not-today", "rewarm", "tissue", "more-time", "own-rest", "ready", "again")  # fmt: skip


def claim_of(key: str) -> str:
    """What a sentence claims; '' where nobody has said."""
    if key in _BY_KEY:
        return _BY_KEY[key]
    heads = [one for one in _BY_KEY if one.endswith("-") and key.startswith(one)]
    return _BY_KEY[max(heads, key=len)] if heads else ""


def true(day: "LivedDay") -> list[str]:
    """No sentence that the facts of the rest of the day contradict."""
    found = []
    log = day.hall.log
    for at, line in enumerate(log):
        if line.kind == "said" and (judge := _JUDGES.get(claim_of(line.what.key))):
            wrong = judge(day, line, log[at + 1 :])
            if wrong:
                found.append(f"{line.at:.0f} s: {line.text!r}, but {wrong}")
    return found


def _tries(line: Line, rest: list[Line]) -> list[Any]:
    """The tries that began after a sentence, of whom it is about."""
    who = _value(line, "who")
    facts = (one.what for one in rest if one.text == "StepEnded")
    return [
        fact
        for fact in facts
        if fact.kind == "try"
        and fact.seconds > 0
        and fact.at - fact.seconds > line.at
        and fact.outcome != "left-out"
        and who in (0, None, fact.who)
    ]


def _value(line: Line, name: str) -> Any:
    return dict(line.what.values).get(name)


def _until_turned(rest: list[Line]) -> list[Line]:
    """What came of it before somebody said something that changes the day."""
    for at, one in enumerate(rest):
        if one.kind == "heard" and one.text.split(":")[0] in _TURNS:
            return rest[:at]
    return rest


#: What opens tries again after it was said that none comes.
_OPEN = ("made-up", "go", "plan-in-one-sentence", "counted-late")


def _no_tries(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """None comes, unless somebody opens them: 'let's try', more time, what was left made up for."""
    opened = next(
        (
            one.at
            for one in rest
            if (one.kind == "heard" and one.text.split(":")[0] in ("go", "longer", "another"))
            or (one.kind == "said" and one.what.key in _OPEN)
        ),
        float("inf"),
    )
    made = [one for one in _tries(line, rest) if one.at < opened]
    return f"{len(made)} hard tries came" if made else ""


def _tries_left(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """No more come than were told, unless a later sentence tells another number."""
    told = 0 if line.what.key == "try-last" else _value(line, "tries")
    if not isinstance(told, int):
        return ""
    restated = next(
        (
            one.at
            for one in rest
            if (one.kind == "said" and isinstance(_value(one, "tries"), int))
            or (one.kind == "heard" and one.text.split(":")[0] in ("longer", "go", "another"))
        ),
        float("inf"),
    )
    # the try that is announced is under way when its own number is told
    announced = 1 if line.what.key == "try-last" else 0
    several = len(day.climbers) if _value(line, "who") in (0, None) else 1
    made = [one for one in _tries(line, rest) if one.at < restated]
    # told to one of several by name or not, it is about their own
    most = max(told, announced) * (several if line.what.key in ("try-last", "go") else 1)
    return f"{len(made)} came" if len(made) > most else ""


def _minutes_left(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """It ends about then, if nobody changes anything from there on."""
    told = _value(line, "minutes")
    if not isinstance(told, int) or len(_until_turned(rest)) < len(rest):
        return ""
    if any(one.kind == "said" and isinstance(_value(one, "minutes"), int) for one in rest):
        return ""
    took = day.hall.now() - line.at
    low, high = told * 60.0 * (1.0 - SHARE) - SLACK / 2, told * 60.0 + SLACK
    return f"it took {took / 60:.0f} min" if not low <= took <= high else ""


def _asked_again(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """The question comes, unless the day is over or turned first."""
    if _value(line, "again") == 0:
        return ""  # of this part nothing is promised
    calm = _until_turned(rest)
    if len(calm) < len(rest) or day.hall.now() - line.at < SLACK:
        return ""
    return "" if any(_asks_gate(one) for one in calm) else "nobody was asked"


def _asks_gate(line: Line) -> bool:
    return line.kind == "said" and line.what.key.startswith("ask-gate")


def _rests(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """'Ten seconds' and 'half a minute' are what is left, if nobody says anything."""
    left = {"rest-ten": 10.0, "rest-nearly-over": 30.0}.get(line.what.key)
    over = next((one for one in rest if one.text == "Rested"), None)
    if left is None or over is None:
        return ""
    if any(one.kind == "heard" for one in rest if one.at <= over.at):
        return ""
    took = over.at - line.at
    return f"it took {took:.0f} s" if abs(took - left) > 4.0 else ""


def _won(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    what = line.what.key.removeprefix("won-")
    kept = [one for one in day.lines("kept") if one.text == "Won" and one.what.what == what]
    return "" if any(abs(one.at - line.at) < 30.0 for one in kept) else "no such win was kept"


def _done(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    # a try whose result nobody told is kept when the session is closed
    # the one told last of each try counts
    kept = [one.what for one in day.lines("kept") if one.text in ("Tried", "Retold")]
    tried = {(one.who, one.number): one.result for one in kept}
    tops = sum(result == "topped" for result in tried.values())
    told = (_value(line, "tries"), _value(line, "tops"))
    return "" if told == (len(tried), tops) else f"{len(tried)} tries and {tops} tops were kept"


def _stands(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """Nobody's step goes on before somebody says something, or it ends."""
    until = next((one.at for one in rest if one.kind == "heard"), float("inf"))
    went = [
        one.what
        for one in rest
        if one.text == "StepEnded" and one.at < until and one.what.at - one.what.seconds > line.at
    ]
    went = [fact for fact in went if fact.outcome == "done"]
    return f"{went[0].movement} went on" if went else ""


def _ends(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    # who stands still then may take their time over how hard it was
    stood = any(one.kind == "heard" and one.text in ("pause", "stop") for one in rest)
    if not stood and day.hall.now() - line.at >= 180.0:
        return "it went on"
    done = [one.what for one in rest if one.text == "StepEnded" and one.what.amount]
    return "more was done" if any(one.at - one.seconds > line.at for one in done) else ""


def _counted(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """What is said to count is on the record."""
    kept = [one for one in day.lines("kept") if one.text == "Climbed"]
    # it is said once the cue that sounds is over
    return "" if any(0.0 <= line.at - one.at < 20.0 for one in kept) else "no boulder was kept"


def _comes_again(day: "LivedDay", line: Line, rest: list[Line]) -> str:
    """No hard try comes before the rest of the warm-up: something is done first."""
    tries = _tries(line, rest)
    if not tries:
        return ""
    first = min(one.at - one.seconds for one in tries)
    if any(one.kind == "said" and one.what.key == "counted-late" for one in rest if one.at < first):
        return ""  # it was climbed after all, as was told late
    done = [one for one in rest if one.text == "StepEnded" and one.at < first]
    done = [one for one in done if one.what.outcome == "done" and one.what.kind != "try"]
    return "" if done else "a hard try came first"


_JUDGES: dict[str, Callable[["LivedDay", Line, list[Line]], str]] = {
    "no tries": _no_tries,
    "tries": _tries_left,
    "minutes": _minutes_left,
    "asked again": _asked_again,
    "first asked": _comes_again,
    "counted": _counted,
    "rest": _rests,
    "won": _won,
    "done": _done,
    "stands": _stands,
    "ends": _ends,
}


def unclaimed(keys: Iterable[str]) -> list[str]:
    """Sentences of which nobody has said what they claim."""
    return [key for key in keys if not claim_of(key)]
