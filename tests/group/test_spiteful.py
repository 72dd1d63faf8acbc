"""A leader who says the wrong thing at the wrong time: what is held all the same.

Told by key as well as by voice; the facts come from the real core.
"""

from pathlib import Path

import pytest

from coach.group.display import look
from coach.group.gathering import Act, Group, Status
from coach.group.group_step import new_group
from coach.model.body import Part
from coach.model.facts import Presence, StepEnded
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.session.events import Reopened
from coach.session.state import Phase
from tests.bench.spiteful import FIRST, day
from tests.group.led import Led
from tests.group.runs import BOARDS, WALL, group, library, run, said

ADULTS = (AgeBand.ADULT,) * 6


def rolled() -> Group:
    people = tuple(Person(who, age=AgeBand.ADULT) for who in range(1, 7))
    return new_group(library(), Options(people, 45.0), (*BOARDS, WALL), roll=True)


@pytest.mark.parametrize("late", [(5,), ()])
def test_who_missed_the_mat_does_it_before_a_station_however_they_are_let_in(
    late: tuple[int, ...], tmp_path: Path
) -> None:
    """'Is back' of somebody who was never there, or left at its first step, once skipped it."""
    gone = "" if late else "01:00 number five\n01:03 is out\n"
    _, seen = run(group(late=late), f"{gone}15:00 number five\n15:03 is back\n", tmp_path)

    mine = [f for f in seen.facts if isinstance(f, StepEnded) and f.who == 5 and f.at > 900]
    blocks = [fact.block for fact in mine]
    assert "mat" in blocks
    assert blocks.index("mat") < min(blocks.index(one) for one in ("easy", "board"))


def test_who_comes_late_while_the_others_warm_up_does_the_mat_in_the_rota(tmp_path: Path) -> None:
    """They were told so, and the rota began without it."""
    _, seen = run(group(late=(5,)), "09:00 number five\n09:03 is late\n", tmp_path)

    seats = [s for now, _, _ in seen.turns for s in now.seated if 5 in now.members(s)]
    assert seats[0].station == "mat"
    assert {seat.station for seat in seats} > {"mat"}


def test_who_was_away_until_cold_is_warmed_again(tmp_path: Path) -> None:
    away = "13:00 number six\n13:03 is out\n{}:00 number six\n{}:03 is back\n"
    soon, _ = run(group(), away.format(14, 14), tmp_path)
    late, seen = run(group(), away.format(22, 22), tmp_path)

    assert "6: with us now." in [text for _, text in said(soon)]
    assert any(text.startswith("6: the mat") for _, text in said(late))
    mine = [f for f in seen.facts if isinstance(f, StepEnded) and f.who == 6 and f.at > 1320]
    assert mine[0].block in ("pulse", "mat")


def test_after_a_long_stand_everybody_is_warmed_again() -> None:
    led = Led(group(ADULTS)).until(840.0)
    assert led.now.act is Act.ROTA
    short = Led(group(ADULTS)).until(840.0).tell("pause")
    short.until(short.now.at + 300).tell("resume")
    assert "group-warm-again" not in short.aloud
    led.tell("pause")
    led.until(led.now.at + 560).tell("resume").until(led.now.at + 5)
    assert "group-warm-again" in led.aloud
    assert {seat.station for seat in led.now.seated} == {"mat"}
    led.until(led.now.at + 2000)
    assert led.now.how == "done"

    early = Led(group(ADULTS)).until(200.0).tell("stop")
    early.until(early.now.at + 500).tell("resume").until(early.now.at + 30)
    assert early.now.running is not None
    assert early.now.running.callout == early.now.programme.warm[0]


def test_a_crash_while_all_stood_makes_nothing_later_than_it_was() -> None:
    def second(*gone: str) -> float:
        led = Led(group(ADULTS)).until(840.0).tell("pause")
        at = led.now.at + 100.0
        led.until(at) if not gone else led.take(Reopened(at, seconds=at - led.now.at))
        return led.tell("resume").now.rota_second

    assert second("crash") == pytest.approx(second(), abs=1.5)


def test_what_the_leader_gives_and_asks_stands_on_the_screen() -> None:
    """Two more minutes left the minutes as they were; 'stop' and 'who is where' showed nothing."""
    led = Led(group(ADULTS)).until(90.0)
    before = look(led.now).ends_at
    assert before is not None
    led.until(led.now.at + 3)
    assert look(led.now).ends_at == pytest.approx(before)
    assert look(led.tell("more-time:2").now).ends_at == pytest.approx(before + 120.0)
    for key, shown in (("where", "group-move"), ("stop", "ask-carry-on"), ("hurt", "group-hurt")):
        did = look(led.tell(key).now).did
        assert did is not None
        assert did.key == shown


def test_next_in_the_roll_call_begins_the_warm_up_and_skips_none_of_it() -> None:
    led = Led(rolled()).until(5.0).tell("next")

    assert led.now.act is Act.WARM
    assert led.now.running is not None


def test_whatever_is_pressed_it_stays_open_who_is_hurt() -> None:
    for key in ("pause", "stop", "stay", "next"):
        led = Led(group(ADULTS)).until(60.0).tell("hurt", key)
        assert led.now.phase is Phase.HURT, key
        assert led.until(led.now.at + 15).aloud.count("group-hurt") >= 2
        assert led.tell("finish").now.how == "hurt"
    sore = Led(group(ADULTS)).until(60.0).tell("hurt", "feel:fingers:sore", "person:3")
    assert sore.now.status(3) is Status.HURT
    slept = Led(group(ADULTS)).until(60.0).tell("hurt")
    slept.take(Reopened(70.0, seconds=300.0))
    assert slept.now.phase is Phase.HURT
    assert slept.tell("person:2").now.status(2) is Status.HURT


def test_what_a_danger_sign_asks_for_comes_before_whose_it_is() -> None:
    led = Led(group(ADULTS)).until(60.0).tell("sign:bleeding").until(70.0)
    assert led.aloud[led.aloud.index("advice-press") :][1] == "group-hurt"
    led.tell("pause", "person:3")
    assert led.now.status(3) is Status.HURT

    on = Led(group(ADULTS)).until(60.0).tell("sign:chest-pain", "resume").until(80.0)
    assert "group-all-eased" in on.aloud
    caps = on.now.programme.day.caps
    assert {(c.who, c.part) for c in caps if c.most <= 1} >= {
        (who, part) for who in on.now.people for part in Part
    }


def test_what_was_told_before_a_pause_is_asked_after_it() -> None:
    led = Led(group(ADULTS)).until(60.0).tell("feel:sore", "pause", "resume")
    assert led.now.asked is not None
    led.until(led.now.at + 20)
    assert "group-all-eased" in led.aloud


def test_nobody_is_called_out_to_when_nobody_is_there(tmp_path: Path) -> None:
    words = "".join(
        f"13:{10 * n:02d} number {name}\n13:{10 * n + 3:02d} is hurting\n"
        for n, name in enumerate(("one", "two"))
    )
    done, _ = run(group((AgeBand.ADULT,) * 2), words, tmp_path)

    assert "Nobody takes part now. Carry on, or finish?" in [text for _, text in said(done)]
    assert done.session.how == "hurt"
    back, _ = run(
        group((AgeBand.ADULT,) * 2),
        "13:00 number one\n13:03 is out\n13:10 number two\n13:13 is out\n"
        "14:00 number one\n14:03 is back\n14:10 carry on\n",
        tmp_path,
    )
    assert back.session.how == "done"


def test_what_is_so_already_is_not_said_again(tmp_path: Path) -> None:
    words = "13:00 number two\n13:03 is out\n13:20 number two\n13:23 is out\n"
    done, seen = run(group(), words, tmp_path)

    assert [text for _, text in said(done)].count("One of us rests to the side.") == 1
    assert len([f for f in seen.facts if isinstance(f, Presence) and f.who == 2]) == 1
    absent, _ = run(group(late=(2,)), "13:00 number two\n13:03 is out\n", tmp_path)
    assert "One of us rests to the side." not in [text for _, text in said(absent)]


def test_while_all_stand_carry_on_counts_whatever_was_told() -> None:
    led = Led(group(ADULTS)).until(60.0).tell("stop", "person:2", "out").until(75.0)

    assert led.now.window is not None
    assert "resume" in led.now.window.answers
    assert led.tell("undo", "undo").now.status(2) is Status.HERE
    assert led.until(led.now.at + 15).now.window is not None


@pytest.mark.parametrize("told", ["13:06 my neck\n", "13:06 my head\n", "13:06 sign:seizure\n"])
def test_head_and_neck_are_grave_and_nobody_comes_back_from_them(told: str, tmp_path: Path) -> None:
    words = f"13:00 number two\n13:03 is hurting\n{told}14:00 number two\n14:03 is back\n"
    done, _ = run(group(), words + "14:06 undo that\n14:10 let them in\n", tmp_path)

    assert done.session.status(2) is Status.HURT
    advised = {
        "Don't move. Have someone call for help.",
        "No climbing until a clinician has looked.",
        "Stop here. Have someone call for help now.",
    }
    texts = [text for _, text in said(done)]
    assert advised.intersection(texts)
    assert "Let 2 in again?" not in texts


def test_a_sign_is_taken_back_by_key_alone_and_what_was_let_in_not_at_all(tmp_path: Path) -> None:
    sign = "13:00 number two\n13:03 sign:chest-pain\n13:20 undo that\n"
    by_voice, _ = run(group(), sign, tmp_path)
    assert by_voice.session.status(2) is Status.HURT
    assert "That sign stays. Take it back by key." in [text for _, text in said(by_voice)]
    led = Led(group(ADULTS)).until(60.0).tell("person:2", "sign:chest-pain", "undo")
    assert led.now.status(2) is Status.HERE

    knee = "13:00 number two\n13:03 is hurting\n13:08 my knee\n13:25 number two\n13:28 is back\n"
    back, _ = run(group(), knee + "13:35 let them in\n14:00 undo that\n", tmp_path)
    caps = {c.part: c.most for c in back.session.programme.day.caps if c.who == 2}
    assert back.session.status(2) is Status.HERE
    assert caps[Part.KNEES] == 0


def test_what_was_answered_before_it_was_asked_is_not_asked(tmp_path: Path) -> None:
    words = "13:00 number two\n13:03 is hurting\n13:05 my knee\n"
    done, _ = run(group(), words, tmp_path)

    assert not [text for _, text in said(done) if "here?" in text]


@pytest.mark.no_cover
@pytest.mark.parametrize("seed", [*range(FIRST, FIRST + 4), FIRST + 54])
def test_whatever_a_leader_says_or_presses(seed: int) -> None:
    assert day(seed) == []
