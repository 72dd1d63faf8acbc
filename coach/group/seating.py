"""The rota as it runs: who goes where and when, and what is said of it.

Owns the words of a change: a cue for each station, what is done there, and what keeps those warm
who wait, said once more after a while. A change waits while timers stand.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from coach.group import recording
from coach.group.bench import GroupBench
from coach.group.callout import Callout, Callouts, together
from coach.group.gathering import Act, Group
from coach.group.regrouping import apart, hurt_today, spared
from coach.group.station_turns import (
    MAT,
    MOVE,
    late_turn,
    members_of,
    moves_of,
    team_of,
    teams_of,
    turns_of,
)
from coach.model.messages import Message, message
from coach.planning.stations import COOLED, Held, Seat, Turn
from coach.session.effects import Tone
from coach.session.state import Phase

#: Numbers in one cue; more of them are said in the next.
IN_ONE_CUE = 6
#: Seconds before a change at which the leader and all are told of it.
TEN = 10.0
#: Seconds of waiting from which on people are told what keeps them warm, and after which they are
#: told again: half of what cools them.
SHORT_WAIT, WAIT_AGAIN = 45.0, COOLED / 2


def begin_rota(bench: GroupBench) -> None:
    """The rota of who is here now, in teams; who owes the mat does it first, for themselves."""
    paired = len(bench.g.programme.teams) < len(bench.g.programme.day.people)
    owing = [who for who in bench.g.here if who in bench.g.late]
    warm = [who for who in bench.g.here if who not in owing]
    bench.g = replace(
        bench.g,
        act=Act.ROTA,
        phase=Phase.WORK,
        rota_at=bench.now,
        swapped=0.0,
        toned=math.inf,
        seated=(),
        pending=(),
        teams=teams_of(warm, paired) | teams_of(owing, False),
        joined=frozenset(owing),
    )
    replan(bench, {team: _turns(bench.g, team) for team in bench.g.teams})
    _keep_no_one_waiting(bench)
    if paired and bench.g.programme.stops:
        bench.say(message("group-pairs"))


def join(bench: GroupBench, who: int) -> str:
    """Take somebody into the rota, without the turns that their team has had.

    'all' where there is time for what they have left, 'some' for easy climbing, 'none' for no turn.
    """
    g = bench.g
    team = team_of(g.teams, who)
    if team not in g.teams:
        g = bench.g = replace(g, teams={**g.teams, team: (who,)})
    if who in g.late or hurt_today(g, who):
        bench.g = g = apart(g, who)
        team = who
    bench.g = g = replace(g, joined=g.joined | {who})
    before = (*g.seated, *g.pending)
    if team in {seat.turn.who for seat in before}:
        replan(bench)
        return "all"
    others = max((seat.end for seat in before), default=g.rota_second)
    turns, latest = _turns(g, team), _latest(g, others)
    mat = tuple(turn for turn in turns if turn.kind == MAT)
    rank = min((turn.rank for turn in turns if turn.kind == "wall"), default=0)
    easy = tuple(turn for turn in turns if turn.kind == "wall" and turn.rank == rank)
    for kept in (turns, *(mat + easy[:count] for count in range(len(easy), 0, -1))):
        bench.g = replace(bench.g, pending=g.pending)
        replan(bench, {team: kept})
        if (
            max((seat.end for seat in bench.g.pending if seat.turn.who == team), default=0)
            <= latest
        ):
            return "all" if kept == turns else "some"
    bench.g = replace(bench.g, pending=g.pending)
    replan(bench, {team: mat})
    return "none"


def _latest(g: Group, others: float) -> float:
    """The last second of the rota for whoever came late, where the others are done at some second.

    Nobody waits for them longer than it takes to cool, nor beyond the minutes of the session.
    """
    minutes = g.options.minutes or g.library.routine.minutes
    end = minutes * 60.0 - (g.rota_at - g.began) - together(g.programme.down)
    return max(others, min(others + COOLED, end))


def _keep_no_one_waiting(bench: GroupBench) -> None:
    """Drop the turns of whoever came late that the others would wait for too long."""
    g = bench.g
    if not g.joined or g.joined.issuperset(g.here):
        return
    now = bench.now - g.rota_at
    ends = [s.end for s in (*g.seated, *g.pending) if not g.joined.issuperset(g.members(s))]
    others = max(ends, default=min(g.others_until, now))
    latest = _latest(g, others)
    gone = {
        seat
        for seat in g.pending
        if seat.end > latest and seat.turn.kind != MAT and g.joined.issuperset(g.members(seat))
    }
    left = tuple(seat for seat in g.pending if seat not in gone)
    bench.g = replace(g, pending=left, others_until=others)
    for seat in gone:
        recording.leave_out(bench, seat)
    if gone:
        bench.say(message("group-late-less"))


def warm_again(bench: GroupBench) -> None:
    """Everybody is cold: the mat comes before what is left, and what was begun is not resumed."""
    for seat in bench.g.seated:
        recording.leave(bench, seat, "cut")
    g = bench.g = replace(bench.g, seated=(), late=bench.g.late | frozenset(bench.g.here))
    left = dict.fromkeys(seat.turn.who for seat in g.pending if seat.turn.kind != MAT)
    replan(bench, {team: (late_turn(team, g.programme.warm),) for team in left})


def _turns(g: Group, team: int) -> tuple[Turn, ...]:
    """What a team has not had yet, the mat first where one alone owes it."""
    owed = (late_turn(team, g.programme.warm),) if team in g.late else ()
    turns = turns_of(g.programme.stops, {team: g.teams[team]})
    return (*owed, *(turn for turn in turns if (team, turn.name) not in g.had))


def replan(bench: GroupBench, more: Mapping[int, tuple[Turn, ...]] | None = None) -> None:
    """A new rota of every turn to come; who is seated stays there to the end of the turn."""
    g = bench.g
    now = int(bench.now - g.rota_at)
    owed = set(more or {})
    turns = [s.turn for s in g.pending if s.turn.kind != MAT or s.turn.who not in owed]
    turns += [turn for mine in (more or {}).values() for turn in mine]
    here = set(g.here)
    stops = {MAT, *(stop.name for stop in g.programme.stops)}
    turns = [
        turn
        for turn in turns
        if turn.name in stops
        and here.intersection(members_of(g.teams, turn.who))
        and not spared(g, turn)
    ]
    held = Held(
        people={seat.turn.who: max(seat.end - now, 0) for seat in g.seated},
        places={(seat.station, seat.place): max(seat.end - now, 0) for seat in g.seated},
    )
    seats = moves_of(turns, g.stations, held).seats if turns else ()
    bench.g = replace(g, pending=tuple(replace(seat, start=seat.start + now) for seat in seats))


def change(bench: GroupBench) -> bool:
    """End the seats that are over, take those that begin, call out who moves; False at the end."""
    g = bench.g
    t = bench.now - g.rota_at + 1e-6
    over = [seat for seat in g.seated if seat.end <= t]
    starts = [seat for seat in g.pending if seat.start <= t]
    staying = tuple(seat for seat in g.seated if seat.end > t)
    for seat in over:
        recording.leave(bench, seat, "done")
    g = bench.g = replace(
        bench.g,
        seated=(*staying, *starts),
        pending=tuple(seat for seat in g.pending if seat.start > t),
    )
    _keep_no_one_waiting(bench)
    g = bench.g
    if not g.seated and not g.pending:
        bench.g = replace(g, move=(), repeat=None, owing=False, ready=())
        return False
    if over or starts:
        bench.tone(Tone.WHISTLE)
    many = 2 * sum(len(g.members(seat)) for seat in starts) >= len(g.here)
    bench.g = replace(bench.g, ready_at=bench.now + MOVE if many else None)
    waits = waiting(g)
    if starts or waits != g.ready:
        _call(bench, starts, waits)
    bench.g = replace(bench.g, ready=waits)
    return True


def next_change(g: Group) -> float | None:
    """When the next seat begins or ends, in the session's time."""
    times = [seat.end for seat in g.seated] + [seat.start for seat in g.pending[:1]]
    return g.rota_at + min(times) if times else None


def next_starts(g: Group) -> tuple[Seat, ...]:
    """The seats that begin with the next change at which any do."""
    first = min((seat.start for seat in g.pending), default=0)
    return tuple(seat for seat in g.pending if seat.start == first)


def waiting(g: Group) -> tuple[int, ...]:
    """Who is here and has no seat now."""
    seated = {who for seat in g.seated for who in g.members(seat)}
    return tuple(who for who in g.here if who not in seated)


# what is said


def people(who: Iterable[int]) -> str:
    """Numbers as they stand in a message; the language pack turns them into what is said."""
    return " ".join(map(str, sorted(who)))


def offer_of(callout: Callout) -> Message | None:
    """The harder form, to whoever agreed on it with the leader; None where there is none."""
    return message("group-offer", movement=callout.offer) if callout.offer else None


def _call(bench: GroupBench, starts: Sequence[Seat], waits: tuple[int, ...]) -> None:
    """Call out a change: a cue for each station, what is done there, what the others do."""
    g = bench.g
    cues = _cues(g, starts)
    told = _told(g, starts)
    warm = _keeping_warm(bench, waits)
    for cue in (*cues, *told, *warm):
        bench.say(cue)
    calls = tuple(dict.fromkeys((*bench.g.calls, *told)))
    bench.g = replace(bench.g, move=tuple(cues), owing=True, repeat=None, calls=calls)


def _cues(g: Group, starts: Sequence[Seat]) -> list[Message]:
    by_station: dict[str, list[tuple[int, ...]]] = {}
    for seat in starts:
        if g.members(seat):
            by_station.setdefault(seat.station, []).append(g.members(seat))
    return [
        message("group-move", people=" ".join(few), station=station)
        for station, teams in sorted(by_station.items())
        for few in _few(sorted(teams))
    ]


def _few(teams: Sequence[tuple[int, ...]]) -> list[list[str]]:
    """So many in one cue; two who share a place, and spot each other, stand together."""
    found: list[list[str]] = []
    count = IN_ONE_CUE
    for team in teams:
        if count + len(team) > IN_ONE_CUE:
            found.append([])
            count = 0
        found[-1].append("+".join(map(str, team)))
        count += len(team)
    return found


def uncall(bench: GroupBench, who: int) -> None:
    """Somebody has left: what is still to be said, and said once more, calls them no more."""
    queue = ((one, _uncalled(one.what, who)) for one in bench.speech.queue)
    left = tuple(replace(one, what=cue) for one, cue in queue if cue is not None)
    bench.speech = replace(bench.speech, queue=left)
    move = (_uncalled(cue, who) for cue in bench.g.move)
    bench.g = replace(bench.g, move=tuple(cue for cue in move if cue is not None))


def _uncalled(cue: Message, who: int) -> Message | None:
    """A call without somebody, None where it called nobody else; what calls nobody as it is."""
    if cue.key != "group-move":
        return cue
    values = dict(cue.values)
    teams = (team.split("+") for team in str(values["people"]).split())
    few = ("+".join(one for one in team if one != str(who)) for team in teams)
    values["people"] = " ".join(filter(None, few))
    return message(cue.key, **values) if values["people"] else None


def _told(g: Group, starts: Sequence[Seat]) -> list[Message]:
    """The forms of the stops that teams begin now; each is called out the first time only."""
    found: list[Message] = []
    for turn in {seat.turn.name: seat.turn for seat in starts if seat.turn.name != MAT}.values():
        for callout in recording.done_in(g, turn):
            climbs = callout.step.on_the_wall and not callout.step.hangs
            how = () if climbs else _how(g, (callout.form,))
            for cue in (_form_of(callout), *how, offer_of(callout)):
                if cue is not None and cue not in g.calls and cue not in found:
                    found.append(cue)
    return found


def _how(g: Group, movements: Iterable[str]) -> Iterable[Message]:
    """How they are done, of each that is named by its title and was not explained on the mat."""
    known = {callout.form for callout in g.programme.warm}
    cues = (message("group-how", movement=one) for one in movements if one not in known)
    return (cue for cue in cues if cue not in g.calls)


def _form_of(callout: Callout) -> Message:
    """What is done at a station, in a few words."""
    step, own = callout.step, int(callout.eased)
    if step.on_the_wall and not step.hangs:
        return message("group-climb", movement=callout.form, own=own)
    amount = step.amount
    return message("group-form", movement=callout.form, amount=amount, side=step.side, own=own)


def ready(bench: GroupBench) -> None:
    """There was time to walk there and chalk: who is not ready tells the leader now."""
    bench.g = replace(bench.g, ready_at=None)
    bench.say(message("group-ready"))


def wait_again_at(g: Group) -> float | None:
    """When those who wait are told once more what keeps them warm; None where nobody waits."""
    return g.waits_from + WAIT_AGAIN if g.waits and waiting(g) else None


def wait_again(bench: GroupBench) -> None:
    """Tell those who wait."""
    for line in _keeping_warm(bench, waiting(bench.g)) or ():
        bench.say(line)
    bench.g = replace(bench.g, waits_from=bench.now)


def _until_a_seat(g: Group, waits: tuple[int, ...]) -> float:
    """Seconds until the last of these people has a seat, or until the rota is over."""
    starts = {who: seat.start for seat in reversed(g.pending) for who in g.members(seat)}
    end = max((seat.end for seat in (*g.seated, *g.pending)), default=0)
    return max(starts.get(who, end) for who in waits) - g.rota_second


def _keeping_warm(bench: GroupBench, waits: tuple[int, ...]) -> list[Message]:
    """What everybody does who waits: a movement of the body and one of the hands, for all alike.

    Who joins those who have just begun with it does the same; how it is done is said once.
    """
    g = bench.g
    if not waits or _until_a_seat(g, waits) < SHORT_WAIT:
        return []
    turn = g.waits - 1 if bench.now - g.waits_told < SHORT_WAIT else g.waits
    found, own = Callouts(g.programme.day, g.library).keeping_warm(turn, len(waits) > 1)
    how = tuple(_how(g, found))
    calls, now = (*g.calls, *how), bench.now
    bench.g = replace(g, waits=turn + 1, waits_from=now, waits_told=now, calls=calls)
    if not found:
        return [message("group-watch")]
    if len(found) == 1:
        return [message("group-wait-one", movement=found[0], own=int(own)), *how]
    return [message("group-wait", movement=found[0], other=found[1], own=int(own)), *how]
