"""Who takes part: roll-call, taking somebody out, letting somebody in, taking that back.

`let_in` and `undo` are the only answers of a leader that raise load; each is a phrase of its own.
"""

from dataclasses import replace

from coach.group import acts, limits, recording, regrouping, seating
from coach.group.bench import GroupBench
from coach.group.gathering import Act, AskedLeader, Lowered, Status
from coach.group.phrases import LET_IN, THINK, answers_to, who_of
from coach.model.answers import Answer, Meaning
from coach.model.body import CapReason
from coach.model.facts import CapLifted, Presence
from coach.model.messages import Message, message
from coach.model.signs import AfterSign, Sign, advice, known
from coach.planning.stations import COOLED

#: Seconds within which the leader's last lowering change can be taken back.
UNDO_FOR = 120.0


def ask_missing(bench: GroupBench) -> None:
    """Roll-call: the leader tells who is not here yet."""
    bench.say(message("group-missing"))
    bench.ask(AskedLeader("roll", 0), (*who_of(bench.g.people), "no"), THINK)


def missing(bench: GroupBench, who: int, answer: Answer) -> None:
    """Somebody is not here yet: they come later."""
    if bench.g.status(who) is not Status.LATE:
        bench.record(Presence(bench.now, who, Status.LATE.value, "roll-call"))
    bench.g = replace(bench.g, statuses={**bench.g.statuses, who: Status.LATE})
    bench.tell(answer, message("group-later", people=str(who)))
    bench.ask(AskedLeader("roll", 0), (*who_of(bench.g.people), "no"), THINK)


def all_told(bench: GroupBench) -> None:
    """Everybody else is here."""
    bench.about_nobody()
    for who in bench.g.here:
        bench.record(Presence(bench.now, who, Status.HERE.value, "roll-call"))
    acts.begin_act(bench, Act.WARM, bench.g.programme.warm)


def out(bench: GroupBench, answer: Answer) -> None:
    """Somebody takes no part any more."""
    _remember(bench)
    gone(bench, bench.g.about, Status.OUT, answer)


def late(bench: GroupBench, answer: Answer) -> None:
    """Somebody who was not here comes in, mat first; somebody who is here comes later."""
    who = bench.g.about
    if bench.g.status(who) is Status.HERE:
        _remember(bench)
        gone(bench, who, Status.LATE, answer)
    elif who in bench.g.unhealed:
        returns(bench, answer)
    else:
        _in(bench, who, answer, late=True)


def returns(bench: GroupBench, answer: Answer) -> None:
    """Somebody is back. After hurting that takes the part, and the leader's own clear yes."""
    who = bench.g.about
    if grave := _grave(bench, who):
        bench.about_nobody()
        bench.tell(answer, message(advice(grave)))
    elif who in bench.g.unhealed:
        if limits.located(bench.g.programme.day, who) and who not in bench.g.unplaced:
            ask_let_in(bench, who)
        else:
            where = message("group-where")
            bench.tell_of(answer, where, where)
            about = Answer(Meaning.RETURN)
            bench.ask(AskedLeader("which-part", who, about), answers_to("which-part"), 2 * THINK)
    elif bench.g.status(who) is not Status.HERE:
        _in(bench, who, answer)
    else:
        bench.about_nobody()
        bench.took(answer, message("group-in", people=str(who)))


def _grave(bench: GroupBench, who: int) -> Sign | None:
    """A sign of somebody's after which nobody comes back before a clinician has looked."""
    told = (known(name) for one, name in bench.g.programme.day.signs if one == who)
    return next((one for one in told if one.after in (AfterSign.EMERGENCY, AfterSign.HEAD)), None)


def ask_let_in(bench: GroupBench, who: int) -> None:
    """The one clear yes."""
    bench.say(message("group-let-in", people=str(who)))
    bench.ask(AskedLeader("", who), LET_IN, 2 * THINK)


def let_in(bench: GroupBench, answer: Answer) -> None:
    """After hurting, and only by this phrase: no load where it hurt, gentle forms elsewhere."""
    g, who = bench.g, bench.g.about
    if who not in g.unhealed or _grave(bench, who):
        bench.refuse(answer)
        return
    before = g.programme.day
    day = limits.healed(before, who, limits.hurting_parts(before, who))
    for cap in day.caps:
        if cap not in before.caps:
            bench.record(CapLifted(bench.now, who, cap.part, cap.reason, answer.key))
    recording.recall(bench, day)
    # what was told before it is not to be taken back any more: it would lift what stays
    bench.g = replace(bench.g, unhealed=g.unhealed - {who}, lowered=None)
    _in(bench, who, answer)


def undo(bench: GroupBench, answer: Answer) -> None:
    """The leader's last change that only lowered is taken back: it was about somebody else.

    A warning sign is taken back by a key alone; on the record of its person it stands.
    """
    last = bench.g.lowered
    if last is None or bench.now - last.at > UNDO_FOR:
        bench.tell(answer, message("group-nothing-back"))
        return
    who, before = last.who, bench.g.programme.day
    if not bench.quiet and set(before.signs) - set(last.day.signs):
        bench.tell(answer, message("group-sign-stays"))
        return
    day = replace(
        before,
        caps=(
            *(cap for cap in before.caps if cap.who != who or cap.reason is CapReason.COLD),
            *(c for c in last.day.caps if c.who == who and c.reason is not CapReason.COLD),
        ),
        reports=(
            *(report for report in before.reports if report.who != who),
            *(report for report in last.day.reports if report.who == who),
        ),
        told=(
            *(item for item in before.told if item[0] != who),
            *(item for item in last.day.told if item[0] == who),
        ),
        pending=tuple(item for item in before.pending if item[0] != who),
        signs=(
            *(item for item in before.signs if item[0] != who),
            *(item for item in last.day.signs if item[0] == who),
        ),
    )
    for cap in before.caps:
        if cap not in day.caps:
            bench.record(CapLifted(bench.now, who, cap.part, cap.reason, answer.key))
    recording.taken_back(bench, who, last.day)
    if not last.unplaced:
        recording.placed(bench, who)
    recording.recall(bench, day)
    unhealed = bench.g.unhealed | {who} if last.unhealed else bench.g.unhealed - {who}
    bench.g = replace(bench.g, lowered=None, unhealed=unhealed, asked=None)
    if last.status is Status.HERE and bench.g.status(who) is not Status.HERE:
        _in(bench, who, answer)
    else:
        bench.close_window()
        shown = message("group-back-shown", people=str(who))
        bench.tell_of(answer, shown, message("group-back"))
        seating.replan(bench)


def gone(
    bench: GroupBench, who: int, status: Status, answer: Answer, *, advised: bool = False
) -> None:
    """Somebody takes no part now: their place is free for others.

    `advised` where what to do is said by itself, and nothing comes before it.
    """
    g, before = bench.g, bench.g.status(who)
    unhealed = g.unhealed | {who} if status is Status.HURT else g.unhealed
    vacate(bench, who)
    bench.g = replace(
        bench.g,
        statuses={**g.statuses, who: status},
        unhealed=unhealed,
        away={who: bench.now, **g.away},
    )
    bench.about_nobody()
    bench.took(answer, message(f"group-{status.value}-shown", people=str(who)))
    if before is not status:
        bench.record(Presence(bench.now, who, status.value, answer.key))
    if before is Status.HERE:
        if not advised:
            bench.say(_of_leaving(who, status))
        _reseat(bench)


def _of_leaving(who: int, status: Status) -> Message:
    """What all hear of it: of whoever is out or hurt neither who nor why."""
    match status:
        case Status.LATE:
            return message("group-later", people=str(who))
        case Status.HURT:  # they may have fallen, and nobody should make them move
            return message("group-lie-still")
        case _:
            return message("group-aside")


def vacate(bench: GroupBench, who: int) -> None:
    """Somebody leaves their seat in the middle of a turn; a partner stays."""
    recording.cut_short(bench, who)
    seating.uncall(bench, who)
    g = bench.g
    bench.g = replace(
        g,
        seated=tuple(seat for seat in g.seated if g.members(seat) != (who,)),
        ready=tuple(one for one in g.ready if one != who),
    )


def _reseat(bench: GroupBench) -> None:
    """The rota without, or with, somebody."""
    if bench.g.act is Act.ROTA and bench.g.here:
        seating.replan(bench)
        if bench.g.standing is None:
            acts.change(bench)


def _in(bench: GroupBench, who: int, answer: Answer, *, late: bool = False) -> None:
    """Somebody takes part from now on; the mat first, if they come late or are cold."""
    g = bench.g
    cold = g.act is Act.ROTA and bench.now - g.away.get(who, bench.now) > COOLED
    owes = g.late | {who} if (late or cold) and g.act is not Act.DOWN else g.late
    away = {one: at for one, at in g.away.items() if one != who}
    bench.g = replace(g, statuses={**g.statuses, who: Status.HERE}, late=owes, away=away)
    recording.come_back(bench, who)
    bench.record(Presence(bench.now, who, Status.HERE.value, answer.key))
    bench.about_nobody()
    key = "group-mat-first" if who in owes and g.act is not Act.DOWN else "group-in"
    if g.act is Act.ROTA:
        time_for = seating.join(bench, who)
        key = f"{key}-{time_for}" if time_for != "all" else key
    back = message(key, people=str(who))
    if key == "group-in" and regrouping.hurt_today(bench.g, who):
        spared = message("group-in-spared", people=str(who))
        bench.took(answer, spared)
        bench.say(back if bench.quiet else spared)
    else:
        bench.tell(answer, back)
    if g.act is Act.ROTA and bench.g.standing is None:
        acts.change(bench)


def _remember(bench: GroupBench) -> None:
    g = bench.g
    bench.g = replace(
        g,
        lowered=Lowered(
            g.about,
            bench.now,
            g.programme.day,
            g.status(g.about),
            g.about in g.unhealed,
            g.about in g.unplaced,
        ),
    )
