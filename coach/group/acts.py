"""The acts of a group session: steps together, the rota between them, and the end."""

from dataclasses import replace

from coach.group import recording, seating, swapping
from coach.group.bench import AGAIN_AFTER, OPEN_FOR, GroupBench
from coach.group.callout import Callout
from coach.group.gathering import Act, RunningTogether, Status
from coach.group.phrases import LEADING, STANDING, THINK_LONG
from coach.group.recording import record_step
from coach.group.seating import offer_of
from coach.group.station_turns import needed
from coach.model.facts import Finished
from coach.model.messages import Message, message
from coach.session.dialogue import After
from coach.session.effects import End, Tone
from coach.session.state import Phase


def begin_act(bench: GroupBench, act: Act, callouts: tuple[Callout, ...]) -> None:
    """Everybody together: the first of these steps, or on where there is none."""
    bench.g = replace(bench.g, act=act, callouts=callouts, running=None)
    next_together(bench)


def next_together(bench: GroupBench) -> None:
    """Call out the next step together; after the last one comes the next act."""
    g = bench.g
    if not g.callouts:
        bench.g = replace(g, running=None)
        if g.act is Act.WARM:
            seating.begin_rota(bench)
            if swapping.by_tones(bench.g):
                bench.g = replace(bench.g, toned=0.0)
                bench.say(message("group-tones"))
            change(bench)
        else:
            finish(bench, "done")
        return
    callout = g.callouts[0]
    bench.g = replace(g, phase=Phase.LEAD_IN, running=RunningTogether(callout))
    if not g.here:
        return  # it is called out once somebody takes part again
    bench.say(cue_of(callout))
    if callout.eased:
        bench.say(message("group-own-form"))
    offer = offer_of(callout)
    if offer is not None:
        bench.say(offer)


def begin_work(bench: GroupBench) -> None:
    """The cue has been said: the step runs."""
    running = bench.g.running
    assert running is not None
    bench.tone(Tone.START)
    until = bench.now + running.callout.step.seconds
    running = replace(running, since=bench.now, until=until)
    bench.g = replace(bench.g, phase=Phase.WORK, running=running)


def end_together(bench: GroupBench, outcome: str) -> None:
    """The running step together ends."""
    running = bench.g.running
    assert running is not None
    bench.tone(Tone.END)
    _together_ends(bench, outcome)
    bench.g = replace(bench.g, callouts=bench.g.callouts[1:], running=None)
    next_together(bench)


def _together_ends(bench: GroupBench, outcome: str) -> None:
    """What everybody did of the running step together."""
    running = bench.g.running
    if running is not None:
        share = 1.0 if outcome == "done" else recording.share_of_running(bench.g)
        for who in bench.g.here:
            record_step(bench, running.callout, who, outcome, share)
        # who left it in the middle may do it anew, and then all of it counts
        name, noted = running.callout.step.name, bench.g.noted
        noted = {key: share for key, share in noted.items() if key[1] != name}
        bench.g = replace(bench.g, noted=noted)
        if bench.g.act is Act.WARM and needed(running.callout):
            missed = frozenset(bench.g.people) - frozenset(bench.g.here)
            bench.g = replace(bench.g, late=bench.g.late | missed)


def change(bench: GroupBench) -> None:
    """A change of the rota; after the last one all come together again."""
    if not seating.change(bench):
        begin_act(bench, Act.DOWN, bench.g.programme.down)


def cue_of(callout: Callout) -> Message:
    """The cue of the form that is called out."""
    step = callout.step
    return message(
        "cue", movement=callout.form, amount=step.amount, side=step.side, kind=step.kind.value
    )


def said_all(bench: GroupBench) -> None:
    """Nothing more is to be said: the leader has the word, and a change is owed once more."""
    if bench.g.owing:
        bench.g = replace(bench.g, owing=False, repeat=bench.now + AGAIN_AFTER)
        swapping.give_room(bench)
    if bench.g.phase in (Phase.PAUSED, Phase.STOPPED):
        bench.open_window(STANDING, 0, THINK_LONG)
    elif bench.g.act is Act.ROTA or bench.g.phase is Phase.WORK:
        if bench.g.window is None:
            bench.open_window(LEADING)
        else:
            bench.g = replace(bench.g, closes=bench.now + OPEN_FOR)


def repeat(bench: GroupBench) -> None:
    """Say the last change once more."""
    cues = bench.g.move
    bench.g = replace(bench.g, repeat=None)
    for cue in cues:
        bench.say(cue)


def finish(bench: GroupBench, how: str) -> None:
    """The session is over: what was still to come is left out, on the record."""
    g = bench.g
    running = g.running
    for seat in g.seated:
        recording.leave(bench, seat, "cut")
    for seat in g.pending:
        recording.leave_out(bench, seat)
    _together_ends(bench, "cut")
    for callout in g.callouts:
        if running is None or callout is not running.callout:
            for who in g.here:
                record_step(bench, callout, who, "left-out", 0.0)
    bench.close_window()
    bench.g = replace(
        bench.g,
        phase=Phase.OVER,
        how=how,
        ended=bench.now,
        seated=(),
        pending=(),
        callouts=(),
        running=None,
        repeat=None,
        ready_at=None,
        owing=False,
        standing=None,
        asked=None,
    )
    for who in g.people:
        if g.status(who) is not Status.LATE:
            bench.record(Finished(bench.now, who, bench.g.recorded_seconds, None, how))
    minutes = round(bench.g.recorded_seconds / 60)
    bench.say(message(f"group-over-{how}", minutes=minutes), After.END)


def ended(bench: GroupBench) -> None:
    """The last words have been said."""
    bench.effects.append(End())
