"""What the leader says of time: on, more of it, once more; stand still, carry on, the end.

Owns the course of standing still: reminders, and then the careful end of waiting.
"""

from dataclasses import replace

from coach.group import acts, attendance, limits, recording, seating
from coach.group.bench import GroupBench
from coach.group.gathering import Act, AskedLeader, Group
from coach.group.phrases import STANDING, THINK, THINK_LONG, answers_to, who_of
from coach.group.station_turns import needed
from coach.model.answers import Answer, Meaning
from coach.model.messages import Message, message
from coach.model.signs import FITTING, HEAD_QUESTIONS
from coach.planning.stations import COOLED
from coach.session.state import Phase

STILL = (Phase.PAUSED, Phase.STOPPED, Phase.HURT)
#: Seconds of standing still at which the leader is reminded, and the last at which it ends: a
#: pause and a stop with a saved end, "stay" by going on.
COURSES: dict[Phase, tuple[float, ...]] = {
    Phase.PAUSED: (120.0, 300.0, 600.0),
    Phase.STOPPED: (60.0, 180.0, 600.0),
    # as alone: asked again after 10, 30 and 60 s, then once a minute what to do, for ten minutes
    Phase.HURT: (10.0, 40.0, 100.0, *(100.0 + 60.0 * minute for minute in range(1, 11))),
}
#: What is said of somebody hurt while nobody answers, in turn; the last of it every minute.
HURT = ("group-hurt", "group-hurt", "hurt-anybody", "hurt-stay")
#: Seconds at which the leader is reminded that all stand; after the last it waits no more.
STAYING = (180.0, 360.0, 600.0)
#: Questions that are asked again after timers stood, and how.
AGAIN = {
    "who": "group-who", "which-part": "group-where", "tissue": "ask-tissue", "sign": "ask-sign",
    **{one.name: f"ask-{one.name}" for one in HEAD_QUESTIONS},
}  # fmt: skip


def asks(asked: AskedLeader) -> Message:
    """How a question about somebody is put; the signs are those that fit the part."""
    part = asked.about.part if asked.about is not None else None
    if asked.question == "sign" and part is not None:
        return message(f"ask-sign-{FITTING[part]}")
    told = asked.about.meaning if asked.about is not None else None
    if asked.question == "which-part" and told in (Meaning.HURT, Meaning.HURTS):
        return message("group-where-hurt")  # the head comes first
    return message(AGAIN[asked.question])


def reminder_at(g: Group) -> float | None:
    """When the leader is reminded next, or waiting ends; None while nothing stands."""
    if g.standing is None:
        return None
    course = COURSES.get(g.phase, STAYING)
    return g.course_at + course[min(g.reminded, len(course) - 1)]


def remind(bench: GroupBench) -> None:
    """The next point of the course of standing still."""
    g = bench.g
    course = COURSES.get(g.phase, STAYING)
    bench.g = replace(g, reminded=g.reminded + 1)
    if g.reminded < len(course) - 1:
        said = HURT[min(g.reminded, len(HURT) - 1)] if g.phase is Phase.HURT else "group-still"
        bench.say(message(said))
    elif g.phase in STILL:
        bench.hush()
        acts.finish(bench, "hurt" if _hurt(g) else "ended")
    else:
        on_again(bench)


def on(bench: GroupBench, answer: Answer) -> None:
    """'Next': timers run on, or what runs ends now."""
    g = bench.g
    if g.phase in STILL:
        bench.refuse(answer)
    elif g.phase is Phase.CHECK_IN:
        bench.hush()
        attendance.all_told(bench)
    elif g.standing is not None:
        bench.took(answer, message("group-on"))
        on_again(bench)
    elif g.running is not None:
        bench.hush()
        if g.running.callout.step.floor:
            cold(bench, answer)
        acts.end_together(bench, "cut")
    else:
        _sooner(bench)


def on_again(bench: GroupBench) -> None:
    """Timers run on, and what is due comes; not while nobody takes part."""
    g = bench.g
    if not g.here:
        stand_still(bench, Phase.STOPPED, message("group-nobody-here"))
        return
    assert g.standing is not None, "they stand"
    cooled = bench.now - g.standing > COOLED
    bench.run_on()
    # what was asked before all stood is still to be told; of a hurt the leader has said "carry on"
    asked = g.asked if g.asked is not None and g.asked.question in AGAIN else None
    bench.g = replace(bench.g, phase=Phase.WORK, asked=None)
    bench.say(message("group-on"))
    bench.close_window()
    if asked is not None and g.phase is not Phase.HURT:
        if asks(asked) not in [one.what for one in bench.speech.queue]:
            bench.say(asks(asked))
        who = who_of(g.people) if asked.question == "who" else answers_to(asked.question)
        bench.ask(asked, who, THINK)
    if cooled and g.act is Act.WARM and g.running is not None:
        bench.say(message("group-warm-again"))
        left = (one for one in g.programme.warm if needed(one) or one in g.callouts)
        acts.begin_act(bench, Act.WARM, tuple(left))
    elif g.act is Act.ROTA:
        if cooled:
            bench.say(message("group-warm-again"))
            seating.warm_again(bench)
        acts.change(bench)
    elif g.running is None:
        attendance.all_told(bench)  # it stood before it had begun
    elif g.running.since is None:
        acts.next_together(bench)


def cold(bench: GroupBench, answer: Answer) -> None:
    """A warm-up that was cut short: nobody is offered a harder form today."""
    before = bench.g.programme.day
    day = limits.cold(before)
    if day == before:
        return
    recording.lower(bench, day)
    bench.tell(answer, message("group-cold"))


def ease_everybody(bench: GroupBench, answer: Answer) -> None:
    """It is not told whom it is about: gentle work only, for everybody, for every part."""
    day = bench.g.programme.day
    for who in bench.g.people:
        day = limits.everywhere(day, who)
    recording.lower(bench, day)
    bench.tell(answer, message("group-all-eased"))
    seating.replan(bench)


def _sooner(bench: GroupBench) -> None:
    """The next change of the rota comes now: turns that would end with it are cut."""
    g = bench.g
    now = bench.now - g.rota_at
    times = [seat.start for seat in g.pending] + [seat.end for seat in g.seated]
    at = min((time for time in times if time > now), default=now)
    cut = [seat for seat in g.seated if seat.end <= at]
    for seat in cut:
        recording.leave(bench, seat, "cut")
    bench.g = replace(bench.g, seated=tuple(seat for seat in g.seated if seat not in cut))
    seating.replan(bench)
    acts.change(bench)


def stay(bench: GroupBench, answer: Answer) -> None:
    """Everybody stays where they are until 'next'."""
    if bench.g.phase in STILL:
        bench.refuse(answer)
        return
    bench.stand()
    bench.g = replace(bench.g, course_at=bench.now, reminded=0)
    bench.tell(answer, message("group-stay"))


def more_time(bench: GroupBench, answer: Answer) -> None:
    """The next change comes later; nobody does more in that time."""
    minutes = answer.number or 1
    bench.delay(60.0 * minutes)
    bench.tell(answer, message("group-more-time", minutes=minutes))


def again(bench: GroupBench, answer: Answer) -> None:
    """The last change once more; while all stand, or on the mat, the last cue."""
    if bench.g.act is Act.ROTA and bench.g.move and bench.g.phase not in STILL:
        acts.repeat(bench)
    else:
        assert bench.speech.last_cue is not None, "the welcome was said"
        bench.say(bench.speech.last_cue)


def pause(bench: GroupBench, answer: Answer) -> None:
    """Timers stand until 'carry on'."""
    bench.hush()
    stand_still(bench, Phase.PAUSED, message("paused"))


def stop(bench: GroupBench, answer: Answer) -> None:
    """Everything stands: carry on, or finish."""
    bench.hush()
    stand_still(bench, Phase.STOPPED, message("ask-carry-on"))


def stand_still(bench: GroupBench, phase: Phase, what: Message) -> None:
    """Timers stand, and the leader is asked how to go on; after hurting, who it is.

    While it is open who is hurt, neither a pause nor a stop takes the place of that.
    """
    bench.stand()
    if bench.g.phase is Phase.HURT:
        phase, what = Phase.HURT, message("group-hurt")
    bench.g = replace(bench.g, phase=phase, course_at=bench.now, reminded=0)
    bench.show(what)
    bench.say(what)
    if phase is Phase.HURT:
        answers = (*who_of(bench.g.people), *STANDING)
        bench.ask(AskedLeader("who", 0, _open_sign(bench.g)), answers, THINK_LONG)
    else:
        bench.open_window(STANDING, 0, THINK_LONG)


def _open_sign(g: Group) -> Answer | None:
    """A warning sign of which it is not told yet whose it is."""
    about = g.asked.about if g.asked is not None and g.asked.question == "who" else None
    return about if about is not None and about.meaning is Meaning.SIGN else None


def resume(bench: GroupBench, answer: Answer) -> None:
    """Timers run on."""
    if bench.g.standing is None:
        bench.refuse(answer)
        return
    if _open_sign(bench.g) is not None:
        ease_everybody(bench, answer)  # a warning sign, and nobody told whose
    bench.took(answer, message("group-on") if bench.g.here else None)
    on_again(bench)


def finish(bench: GroupBench, answer: Answer) -> None:
    """The end, now."""
    bench.hush()
    acts.finish(bench, "hurt" if _hurt(bench.g) else "ended")


def _hurt(g: Group) -> bool:
    """Whether it ends because somebody is hurt."""
    return g.phase is Phase.HURT or (g.phase in STILL and bool(g.unhealed))
