"""Whom it is about, and how they are: what the leader tells of somebody, and where everybody is.

What is told goes through the rules of `coach.group.limits`. Each question that follows is asked of
the leader once; what stays without an answer closes to the careful side.
"""

from dataclasses import replace

from coach.group import attendance, limits, recording, seating, tempo
from coach.group.bench import GroupBench
from coach.group.callout import Callout
from coach.group.gathering import AskedLeader, Group, Lowered, Status
from coach.group.phrases import ABOUT, THINK, answers_to, who_of
from coach.group.station_turns import MAT
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel
from coach.model.day import Day
from coach.model.messages import Message, message
from coach.model.signs import GRAVE, HEAD_QUESTIONS, AfterSign, HeadQuestion, advice, meant
from coach.session.effects import Tone
from coach.session.state import Phase

#: Answers that only reply to a question of the rules, and the questions that they reply to.
REPLIES = {Meaning.PART: "which-part", Meaning.TISSUE: "tissue", Meaning.SIGN: "sign"}

#: The questions after a knock on the head, and what they are asked about.
HEAD = {one.name: one for one in HEAD_QUESTIONS}
HEAD_KNOCK = Answer(Meaning.SIGN, sign="head-knock")


def person(bench: GroupBench, answer: Answer) -> None:
    """Somebody by number: they are called back, so that a wrong one is noticed."""
    who = answer.number or 0
    if bench.g.person(who) is None:
        bench.tell(answer, message("group-nobody", number=who))
        return
    asked = bench.g.asked
    if asked is not None and asked.question == "roll":
        attendance.missing(bench, who, answer)
    elif asked is not None and asked.question == "who":
        _named(bench, who, asked.about or Answer(Meaning.HURTS))
    else:
        unanswered(bench)
        bench.hush()
        about = message("group-about", people=str(who))
        bench.tell_of(answer, about, about)  # the leader has just said whom
        bench.ask(AskedLeader("", who), ABOUT, THINK)


def _named(bench: GroupBench, who: int, about: Answer) -> None:
    """It is known now whom it is about, and not asked if it was not yet."""
    unsaid = tuple(one for one in bench.speech.queue if one.what.key != "group-hurt")
    bench.speech = replace(bench.speech, queue=unsaid)
    bench.g = replace(bench.g, asked=AskedLeader("", who))
    if about.meaning is not Meaning.FEEL:
        recording.named(bench, who)
    if about.meaning is Meaning.FEEL:
        feel(bench, about)
    elif about.meaning is Meaning.SIGN:
        bench.g = replace(bench.g, phase=Phase.STOPPED, course_at=bench.now, reminded=0)
        sign(bench, about, advised=True)
    else:
        # it is clear who: from now on the leader is only asked how to go on
        bench.g = replace(bench.g, phase=Phase.STOPPED, course_at=bench.now, reminded=0)
        hurt(bench, about)


def nothing(bench: GroupBench, answer: Answer) -> None:
    """It was somebody else, or nothing; or there is no sign."""
    asked = bench.g.asked
    if asked is not None and asked.question == "roll":
        attendance.all_told(bench)
    elif asked is not None and asked.question in HEAD:
        _next_of_the_head(bench, asked, answer)
    elif asked is not None and asked.question == "sign":
        if put(bench):
            _no_sign(bench, asked.who, answer)
        else:
            bench.refuse(answer)  # it has not been put yet: this answers nothing
    else:
        unanswered(bench)
        bench.about_nobody()


def _no_sign(bench: GroupBench, who: int, answer: Answer) -> None:
    """None of the signs: the part stays without load, and how to go on is asked where all stand."""
    bench.about_nobody()
    if who in bench.g.unhealed:
        spared = message("group-spared")
        bench.tell_of(answer, spared, spared)
    if bench.g.phase is Phase.STOPPED:
        bench.say(message("group-still"))


def _words(g: Group) -> Message | None:
    """The words of what is asked; None where nothing is."""
    asked = g.asked
    return tempo.asks(asked) if asked is not None and asked.question in tempo.AGAIN else None


def put(bench: GroupBench) -> bool:
    """Whether the words of what is asked sound or have been said, and wait for no cue."""
    return _words(bench.g) not in [one.what for one in bench.speech.queue]


def to_be_said(bench: GroupBench) -> bool:
    """Whether the words of what is asked still sound or wait."""
    saying, words = bench.speech.saying, _words(bench.g)
    sounds = saying is not None and saying.what == words
    return words is not None and (sounds or not put(bench))


def time_to_think(bench: GroupBench) -> None:
    """What is asked has just been said: from here on the leader may think."""
    saying, closes, words = bench.speech.saying, bench.g.closes, _words(bench.g)
    if saying is not None and closes is not None and saying.what == words:
        bench.g = replace(bench.g, closes=max(closes, bench.now + THINK))


def sign_told(bench: GroupBench, answer: Answer) -> None:
    """A warning sign by name; a bare yes is one of those that were asked for."""
    asked = bench.g.asked
    if answer.sign not in (None, "yes") or asked is None:
        sign(bench, answer)
    elif asked.question in HEAD:
        sign(bench, Answer(Meaning.SIGN, sign=HEAD[asked.question].sign))
    else:
        part = asked.about.part if asked.about is not None else None
        sign(bench, Answer(Meaning.SIGN, part, sign="yes"))


def not_understood(bench: GroupBench, onset: float) -> None:
    """Something was said that is no answer, where people are called: their number is asked for.

    Once in each window, which stays open for it: numbers are heard far better than names.
    """
    window = bench.g.window
    calls = window is not None and any(key.startswith("person:") for key in window.answers)
    if window is None or not calls or onset < window.opens or bench.g.unclear == window.number:
        return
    closes = max(bench.g.closes or bench.now, bench.now + THINK)
    bench.g = replace(bench.g, unclear=window.number, closes=closes)
    bench.tone(Tone.UNCLEAR)
    bench.show(message("not-understood"))
    bench.say(message("group-number"))


def hurt(bench: GroupBench, answer: Answer) -> None:
    """Of somebody: no load for them. Of nobody by number: all stand until it is clear who."""
    who = bench.g.about
    if not who:
        recording.unnamed(bench, answer)
        bench.hush()
        tempo.stand_still(bench, Phase.HURT, message("group-hurt"))
        return
    _remember(bench, who)
    attendance.vacate(bench, who)  # what was done until now is recorded in the forms of until now
    day = limits.told(bench.g.programme.day, who, Answer(Meaning.HURT), bench.g.library).day
    recording.lower(bench, day)
    attendance.gone(bench, who, Status.HURT, answer)
    recording.unplaced(bench, who)
    _ask_where(bench, who, answer)


def feel(bench: GroupBench, answer: Answer) -> None:
    """Somebody is sore: lower forms for them, by the usual rules."""
    who = bench.g.about
    if not who and bench.g.phase is Phase.HURT:
        bench.tell(answer, message("group-hurt"))  # that comes first, and is asked still
        return
    if not who:
        bench.tell(answer, message("group-who"))
        bench.ask(AskedLeader("who", 0, answer), who_of(bench.g.people), THINK)
        return
    asked = bench.g.asked
    of_part = asked.about.part if asked is not None and asked.about is not None else None
    if asked is not None and asked.question in ("tissue", "sign") and answer.part != of_part:
        unanswered(bench)  # it is of another part, and nothing more will be asked of the first
    _remember(bench, who)
    if answer.part is None:
        _ask_where(bench, who, answer)
    else:
        _by_rule(bench, who, answer, "")


def reply(bench: GroupBench, answer: Answer) -> None:
    """The answer to what was asked about somebody."""
    asked = bench.g.asked
    if asked is None or REPLIES[answer.meaning] != asked.question:
        bench.refuse(answer)
        return
    if answer.meaning is not Meaning.PART:
        _by_rule(bench, asked.who, answer, asked.question)
        return
    about = asked.about or Answer(Meaning.HURTS)
    if about.meaning is Meaning.SIGN:
        sign(bench, replace(about, part=answer.part))
        return
    hurting = about.feel is None
    if hurting and answer.part in GRAVE:  # hurt there at all, it counts as its sign
        sign(bench, Answer(Meaning.SIGN, answer.part, sign=GRAVE[answer.part]))
        return
    felt = Answer(Meaning.FEEL, answer.part, Feel.HURTING if hurting else about.feel)
    _by_rule(bench, asked.who, felt, "")
    if hurting:
        recording.placed(bench, asked.who)
    if about.meaning is Meaning.RETURN:
        attendance.ask_let_in(bench, asked.who)


def sign(bench: GroupBench, answer: Answer, *, advised: bool = False) -> None:
    """A warning sign: the answer to what was asked, or told by itself; then as when hurt."""
    asked, who = bench.g.asked, bench.g.about
    grave = meant(answer.sign, answer.part)
    if grave.grave:  # on the record by what it counts as
        answer = replace(answer, sign=grave.name)
    urgent = grave.after in (AfterSign.EMERGENCY, AfterSign.HEAD)
    if not who:
        recording.unnamed(bench, answer)
        bench.hush()
        if urgent:  # what to do comes before whose it is
            bench.say(message(advice(grave)))
        tempo.stand_still(bench, Phase.HURT, message("group-hurt"))
        bench.g = replace(bench.g, asked=AskedLeader("who", 0, answer))
        return
    _remember(bench, who)
    if urgent:
        _all_stand(bench)
    attendance.vacate(bench, who)
    question = asked.question if asked is not None else ""
    # the sign first, as what it is about stays without load when the rest is let in again
    day = limits.unhurt(bench.g.programme.day, who)
    change = limits.told(day, who, answer, bench.g.library, question)
    day = limits.told(change.day, who, Answer(Meaning.HURT), bench.g.library).day
    recording.lower(bench, day)
    if bench.g.status(who) is Status.HERE:
        attendance.gone(bench, who, Status.HURT, answer, advised=urgent)
    bench.about_nobody()
    if change.ask == "which-part":
        recording.unplaced(bench, who)
        _ask_where(bench, who, answer)
        return
    if answer.part is not None:
        recording.placed(bench, who)
    if urgent:
        _what_to_do(bench, who, answer, advised=advised)
    elif change.say is not None:
        bench.say(change.say)


def _all_stand(bench: GroupBench) -> None:
    """The leader has somebody in danger to look after: no cue comes before what to do."""
    if bench.g.standing is None:
        bench.hush()
    bench.stand()
    bench.g = replace(bench.g, phase=Phase.STOPPED, course_at=bench.now, reminded=0)


def _what_to_do(bench: GroupBench, who: int, answer: Answer, *, advised: bool) -> None:
    """What a grave sign asks for, and after a knock on the head what is asked."""
    if not advised:  # what to do was said before it was known whose it is
        bench.say(message(advice(meant(answer.sign, answer.part))))
    if answer.sign == HEAD_KNOCK.sign:
        _ask_of_the_head(bench, who, HEAD_QUESTIONS[0], answer)


def unanswered(bench: GroupBench) -> None:
    """What was asked has no answer: the careful one counts."""
    asked = bench.g.asked
    if asked is None:
        return
    bench.g = replace(bench.g, asked=None)
    about = asked.about
    if asked.question == "roll":
        attendance.all_told(bench)
    elif asked.question in HEAD:
        bench.say(message("group-head-untold"))
    elif asked.question == "who" and about is not None and about.meaning is Meaning.FEEL:
        tempo.ease_everybody(bench, about)
    elif asked.question in limits.ASKED and asked.who:
        told = about is not None and about.meaning is not Meaning.FEEL
        if asked.question == "which-part" and told:
            _still_unplaced(bench, asked)  # hurting: nothing loads them already
            return
        before = bench.g.programme.day
        day = limits.untold(before, asked.who, asked.question, about, bench.g.library)
        if day != before:
            _told(bench, asked.who, about or Answer(Meaning.SILENCE), day)


def _still_unplaced(bench: GroupBench, asked: AskedLeader) -> None:
    """Nobody said where it hurts, and it may be the head: asked once more, then for help."""
    if asked.again:
        bench.say(message("group-head-untold"))
    else:
        bench.say(tempo.asks(asked))
        bench.ask(replace(asked, again=True), answers_to("which-part"), THINK)


def _ask_where(bench: GroupBench, who: int, about: Answer) -> None:
    asked = AskedLeader("which-part", who, about)
    bench.tell_of(about, tempo.asks(asked), tempo.asks(asked))
    bench.ask(asked, answers_to("which-part"), THINK)


def _ask_of_the_head(bench: GroupBench, who: int, one: HeadQuestion, answer: Answer) -> None:
    """After a knock on the head its signs are asked for one after another; one is enough."""
    asked = AskedLeader(one.name, who, HEAD_KNOCK)
    asks = tempo.asks(asked)
    bench.tell_of(answer, asks, asks)
    bench.ask(asked, answers_to(one.name), 2 * THINK)


def _next_of_the_head(bench: GroupBench, asked: AskedLeader, answer: Answer) -> None:
    if not put(bench):
        bench.refuse(answer)  # nor does this answer anything
        return
    names = [*HEAD]
    left = names[names.index(asked.question) + 1 :]
    if left:
        _ask_of_the_head(bench, asked.who, HEAD[left[0]], answer)
    else:
        bench.about_nobody()
        after = message("advice-head-after")
        bench.tell_of(answer, after, after)


def _by_rule(bench: GroupBench, who: int, answer: Answer, question: str) -> None:
    """What the rules make of it, and what they ask next."""
    before = bench.g.asked.about if bench.g.asked is not None else None
    part = answer.part or (before.part if before is not None else None)
    if question == "tissue":
        answer = replace(answer, part=part)
    change = limits.told(bench.g.programme.day, who, answer, bench.g.library, question)
    _told(bench, who, answer, change.day)
    if change.ask in limits.ASKED:
        asked = AskedLeader(change.ask, who, replace(answer, part=part))
        asks = tempo.asks(asked)
        bench.tell_of(answer, asks, asks)
        bench.ask(asked, answers_to(change.ask), THINK)
    elif change.say is not None and change.say.key == "emergency-sign":
        bench.say(change.say)


def _told(bench: GroupBench, who: int, answer: Answer, day: Day) -> None:
    """Lower what somebody does, and say what truly changed."""
    before = _ahead(bench.g, who)
    recording.lower(bench, day)
    bench.about_nobody()
    here = bench.g.status(who) is Status.HERE
    key = "group-eased" if here and _ahead(bench.g, who) != before else "group-noted"
    shown = message(f"{key}-shown", people=str(who))
    if here:
        bench.tell_of(answer, shown, message(key))
    else:
        bench.took(answer, shown)
    seating.replan(bench)


def _ahead(g: Group, who: int) -> list[tuple[str, str]]:
    """What somebody would still do: step and movement."""
    ahead: list[Callout] = [*g.callouts]
    if g.act.value != "down":
        ahead += [one for stop in g.programme.stops for one in stop.callouts]
        ahead += g.programme.down
    return [(one.step.name, form.movement) for one in ahead if (form := one.doing(who))]


def _remember(bench: GroupBench, who: int) -> None:
    """What it would take to take this back."""
    bench.g = replace(bench.g, lowered=remembered(bench, who))


def remembered(bench: GroupBench, who: int) -> Lowered:
    """How somebody stands now."""
    g = bench.g
    unhealed, unplaced = who in g.unhealed, who in g.unplaced
    return Lowered(who, bench.now, g.programme.day, g.status(who), unhealed, unplaced)


def where(bench: GroupBench, answer: Answer) -> None:
    """Who is where, a cue for each station."""
    for station, who in places(bench.g).items():
        bench.tell(answer, message("group-move", people=seating.people(who), station=station))


def places(g: Group) -> dict[str, list[int]]:
    """Station -> who is there; the mat for everybody without a seat."""
    found: dict[str, list[int]] = {}
    for seat in g.seated:
        found.setdefault(seat.station, []).extend(g.members(seat))
    found.setdefault(MAT, []).extend(seating.waiting(g))
    return {name: who for name, who in sorted(found.items()) if who}
