"""Who works with whom while a rota runs: somebody as a team of their own, and who is spared."""

from dataclasses import replace

from coach.group.gathering import Group
from coach.group.recording import done_in
from coach.group.station_turns import MAT, members_of, team_of
from coach.planning.stations import Seat, Turn


def apart(g: Group, who: int) -> Group:
    """Somebody as a team of their own; a partner keeps the seats, and each what both have had."""
    team = team_of(g.teams, who)
    rest = tuple(one for one in members_of(g.teams, team) if one != who)
    teams = {key: members for key, members in g.teams.items() if key != team} | {who: (who,)}
    had = g.had | {(who, name) for key, name in g.had if key == team}
    if not rest:
        return replace(g, teams=teams, had=had)
    other = min(rest)

    def theirs(seats: tuple[Seat, ...]) -> tuple[Seat, ...]:
        return tuple(
            replace(seat, turn=replace(seat.turn, who=other)) if seat.turn.who == team else seat
            for seat in seats
        )

    had |= {(other, name) for key, name in g.had if key == team}
    seated, pending = theirs(g.seated), theirs(g.pending)
    return replace(g, teams={**teams, other: rest}, had=had, seated=seated, pending=pending)


def hurt_today(g: Group, who: int) -> bool:
    """Whether somebody was hurt in this session, as all have seen; not what a roster tells."""
    before = {one for one, _ in g.options.complaints} | {one for one, *_ in g.options.hurting or ()}
    caps = g.programme.day.caps
    return who not in before and any(cap.who == who and cap.rule == "hurt" for cap in caps)


def spared(g: Group, turn: Turn) -> bool:
    """Whether nobody of a team may do any of a turn, since they were hurt: they are not called."""
    members = members_of(g.teams, turn.who)
    does = any(one.doing(who) for one in done_in(g, turn) for who in members)
    return turn.kind != MAT and not does and all(hurt_today(g, who) for who in members)
