"""Tones at the boards, and who joins in the last part of the rota, judged by the clock alone."""

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from coach.group.gathering import Act, Group
from coach.model.body import Feel, Part
from coach.model.facts import StepEnded
from coach.model.person import AgeBand
from coach.planning.stations import COOLED, Station
from coach.session.effects import Effect, Play, Tone
from coach.session.events import Event, SoundEnded
from tests.group.led import Led
from tests.group.runs import group, run, said

WALL = Station("wall", "wall", 6)
#: Minute at which the eighth comes -> what is said: the later the less.
LATE = {
    12.0: "group-mat-first",
    18.0: "group-mat-first-some",
    25.0: "group-mat-first-none",
}


def of(people: int, *, boards: int = 1, late: tuple[int, ...] = ()) -> Led:
    stations = tuple(Station(f"board {n + 1}", "board", 1) for n in range(boards))
    return Led(group((AgeBand.ADULT,) * people, stations=(*stations, WALL), late=late))


def hangs(people: int, boards: int) -> tuple[list[float], float, Led]:
    """How long from each tone to the next in the rota, second by second, and hangs to be marked."""
    led, times = of(people, boards=boards), list[tuple[float, Tone]]()

    def seen(_: Group, __: Event, now: Group, effects: tuple[Effect, ...]) -> None:
        if now.act is Act.ROTA:
            times.extend((one.at, one.tone) for one in effects if isinstance(one, Play))

    led.also = seen
    led.until(5400.0)
    marks = [one for one in times if one[1] in (Tone.START, Tone.END)][1:]  # the mat's own end
    starts = [at for at, tone in marks if tone is Tone.START]
    ends = [at for at, tone in marks if tone is Tone.END]
    assert len(starts) == len(ends)
    # one hangs at a time: each hang is over before the next begins
    assert all(start < end for start, end in zip(starts, ends, strict=True))
    assert all(end < start for end, start in zip(ends, starts[1:], strict=False))
    return [end - start for start, end in zip(starts, ends, strict=True)], len(starts), led


@pytest.mark.parametrize(("people", "boards"), [(8, 1), (8, 2)])
def test_each_hang_at_the_board_has_its_tones(people: int, boards: int) -> None:
    lengths, count, led = hangs(people, boards)
    stop = next(one for one in led.now.programme.stops if one.kind == "board")
    meant = [one.step.seconds for one in stop.callouts if one.step.hangs]
    assert led.aloud.count("group-tones") == 1
    assert meant
    assert {round(one, 1) for one in lengths} == {round(one, 1) for one in meant}
    assert count == people * len(meant) / boards


def test_boards_that_are_not_in_time_have_no_tones() -> None:
    """Nobody could tell whose they are."""
    led = of(7, boards=2)
    begun = led.until(900.0).now
    assert begun.act is Act.ROTA
    starts = {seat.start for seat in (*begun.seated, *begun.pending) if seat.turn.kind == "board"}
    assert len(starts) > 1
    lengths, _, led = hangs(7, 2)
    assert "group-tones" not in led.aloud
    assert lengths == []


@cache
def ends_without() -> float:
    """When it is over where the eighth never comes."""
    ended = of(8, late=(8,)).until(7200.0).now.ended
    assert ended is not None
    return ended


@pytest.mark.parametrize("minute", LATE)
def test_who_joins_late_is_warmed_first_and_nobody_waits_long_for_them(minute: float) -> None:
    alone = of(8, late=(8,)).until(minute * 60.0)
    assert alone.now.act is Act.ROTA
    without = ends_without()
    alone.tell("person:8", "late")
    joined = alone.now
    mine = [seat.turn for seat in (*joined.seated, *joined.pending) if 8 in joined.members(seat)]
    assert mine[0].kind == "mat"
    told = joined.did.key if joined.did is not None else ""
    assert told == LATE[minute]
    ranks = {turn.rank for turn in mine if turn.kind != "mat"}
    kinds = {turn.kind for turn in mine}
    if told == "group-mat-first-some":
        assert kinds == {"mat", "wall"}
        assert ranks == {1}
    elif told == "group-mat-first-none":
        assert kinds == {"mat"}
    else:
        assert told == "group-mat-first"
        assert kinds == {"mat", "wall", "board"}
    ended = alone.until(7200.0).now.ended
    assert ended is not None
    # the mat itself may take a little longer than it takes to cool
    assert ended <= without + COOLED + 60.0


def test_a_hurried_leader_waits_for_nobody_beyond_the_minutes() -> None:
    """Who came back in the middle of the mat owes it; the others are hurried through their turns.

    They stood about for seventeen minutes, nine of them beyond the session's own.
    """
    led = Led(group((AgeBand.ADULT,) * 7, minutes=20.0))
    led.until(60.0).tell("person:5", "out").until(360.0).tell("person:5", "late")
    while led.now.act is not Act.DOWN and led.now.at < 3600.0:
        if led.now.at < 700.0:
            led.tell("next")
        led.until(led.now.at + 20.0)
    ended = led.until(7200.0).now.ended
    assert ended is not None
    assert ended <= 20 * 60.0
    # the order is kept: a whole mat of her own, then what is left of the time
    assert "group-late-less" in led.aloud


def test_what_is_cut_and_whose_sign_it_is_are_told_once() -> None:
    led = of(8).until(30.0).tell("next", voice=True).until(40.0).tell("next", voice=True)
    assert led.aloud.count("group-cold") == 1
    led.tell("sign:chest-pain", voice=True).until(60.0).tell("person:3", voice=True).until(70.0)
    assert led.aloud.count("advice-sit") == 1
    assert "emergency-first-aid" not in led.aloud


def test_no_hang_begins_before_its_people_have_been_called_and_could_get_there(
    tmp_path: Path,
) -> None:
    _, seen = run(group((AgeBand.ADULT,) * 24, minutes=45), "", tmp_path)

    tones = [e for _, _, effects in seen.turns for e in effects if isinstance(e, Play)]
    ended = [(event.at, now) for now, event, _ in seen.turns if isinstance(event, SoundEnded)]
    called = [at for at, now in ended if now.act is Act.ROTA and now.speech.saying is None]
    changes = [tone.at for tone in tones if tone.tone is Tone.WHISTLE]
    for change in changes:
        quiet = next((at for at in called if at > change), change)
        hangs = [tone.at for tone in tones if tone.tone is Tone.START and tone.at > change]
        assert not hangs or hangs[0] >= quiet + 7.9


def test_calls_are_said_once_more_after_eight_seconds_of_silence(tmp_path: Path) -> None:
    done, _ = run(group((AgeBand.ADULT,) * 8, minutes=40), "", tmp_path)

    lines = [entry for entry in done.transcript.entries if entry.kind == "said"]
    silences = [
        after.at - before.at - before.seconds
        for n, (before, after) in enumerate(pairwise(lines))
        if after.text
        in [one.text for one in lines[max(n - 8, 0) : n + 1] if after.at < one.at + 60]
        and after.text.endswith((": wall.", ": board 1.", ": board 2."))
    ]
    assert len(silences) >= 6
    assert max(silences) <= 9.0


def test_what_keeps_warm_is_explained_once_where_the_mat_did_not(tmp_path: Path) -> None:
    done, _ = run(group((AgeBand.ADULT,) * 24, minutes=45), "", tmp_path)

    words = [text for _, text in said(done)]
    for title, how in (
        ("Mirror steps", "Face a partner and mirror their steps."),
        ("Statues", "Walk around; freeze when the leader claps."),
        ("Scapular pull-ups", "Feet on the floor, draw the shoulder blades low."),
    ):
        named = [n for n, text in enumerate(words) if title in text]
        told = [n for n, text in enumerate(words) if text == how]
        assert len(told) == 1
        assert 0 < told[0] - named[0] <= 2


def test_one_who_may_do_nothing_does_not_let_the_others_stand(tmp_path: Path) -> None:
    hurting = tuple((2, part, Feel.HURTING) for part in Part)
    done, _ = run(group((AgeBand.ADULT,) * 20, minutes=45, hurting=hurting), "", tmp_path)

    words = [text for _, text in said(done)]
    waiting = [text for text in words if text.startswith("The others")]
    assert waiting
    assert all(text.endswith("Or your easier form.") for text in waiting)


def test_who_comes_back_cold_does_the_mat_and_leaves_the_partner_every_turn(
    tmp_path: Path,
) -> None:
    words = "11:30 number one\n11:33 is out\n20:30 number one\n20:33 is back\n"
    stations = (Station("board 1", "board", 1), Station("wall", "wall", 8))
    given = group((AgeBand.ADULT,) * 8, minutes=45, stations=stations)
    assert given.programme.teams[1] == (1, 2)
    _, seen = run(given, words, tmp_path)

    back = next(now.at for now, event, _ in seen.turns if event.at > 1233 and 1 in now.here)
    after = [(now, seat) for now, _, _ in seen.turns if now.at >= back for seat in now.seated]
    mine = [seat.station for now, seat in after if 1 in now.members(seat)]
    assert mine[0] == "mat"
    done = {
        (fact.who, fact.step)
        for fact in seen.facts
        if isinstance(fact, StepEnded) and fact.outcome == "done" and fact.block != "pulse"
    }
    for step in ("board.1", "easy.1", "easy.2", "easy.3"):
        assert (2, step) in done


@pytest.mark.parametrize("paired", [False, True])
def test_who_was_hurt_is_let_in_without_a_call_to_what_loads_it(
    paired: bool, tmp_path: Path
) -> None:
    words = (
        "11:30 number two\n11:34 is in pain\n11:40 my wrist\n11:46 no\n"
        "12:30 number two\n12:34 is back\n12:40 let them in\n"
    )
    given = group((AgeBand.ADULT,) * (12 if paired else 4), minutes=45)
    done, seen = run(given, words, tmp_path)

    texts = [text for at, text in said(done) if at > 695.0]
    assert "2: with us, and no load where it hurts." in texts
    called = [text for text in texts if text[0].isdigit() and text.endswith(("wall.", "1.", "2."))]
    assert called
    assert not any("2" in text.partition(":")[0].replace(",", "").split() for text in called)
    assert 2 in seen.turns[-1][0].here
