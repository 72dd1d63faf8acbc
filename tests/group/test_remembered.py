"""What a leader tells of somebody's body stands on that person's record, as if told alone.

The facts come from the real core; what stands is read as the next day's start reads it.
"""

from datetime import date

import pytest

from coach.group.gathering import Group, Status
from coach.model.body import Part
from coach.model.facts import Felt, SignTold
from coach.model.person import AgeBand
from coach.record.standing import JournalPlace, Told, standing
from coach.session.effects import Effect, Record
from coach.session.events import Event
from tests import poses
from tests.group.led import Led
from tests.group.runs import group

ADULTS = (AgeBand.ADULT,) * 3
DAY = date(2026, 3, 3)


def kept(*told: str, undone: bool = False, killed: bool = False) -> list[tuple[str, str]]:
    """What stands on the record of number two after the leader told it, and said nothing more.

    Where the session is killed, nothing comes after what was told last.
    """
    facts: list[Felt | SignTold] = []

    def seen(_: Group, __: Event, ___: Group, effects: tuple[Effect, ...]) -> None:
        found = (effect.fact for effect in effects if isinstance(effect, Record))
        facts.extend(fact for fact in found if isinstance(fact, Felt | SignTold))

    led = Led(group(ADULTS))
    led.also = seen
    led.until(60.0).tell("person:2", *told)
    if undone:
        led.until(led.now.at + 5.0).tell("undo")
    if not killed:
        led.tell("finish").until(led.now.at + 900.0)
    session = [Told(JournalPlace(1, n, 0.0), DAY, fact) for n, fact in enumerate(facts)]
    stands = standing(session, lambda one, other: one.seq < other.seq)
    return [(str(one.part or ""), one.sign or str(one.feel)) for one in stands]


@pytest.mark.parametrize(
    ("told", "stands"),
    [
        (("hurts", "part:knees", "no"), [("knees", "hurting")]),
        (("hurts", "part:knees", "sign:yes"), [("knees", "hurting"), ("knees", "yes")]),
        (("hurts",), [("", "hurt")]),
        (("sign:swelling",), [("", "hurt")]),
        (("hurts", "person:2", "sign:mood"), [("", "hurt"), ("head", "mood")]),
        (("sign:swelling", "part:knees"), [("knees", "swelling")]),
        (("sign:mood",), [("head", "mood")]),
        (("hurts", "part:head"), [("head", "head-knock")]),
        (("feel:sore", "part:fingers", "tissue:muscle"), [("fingers", "sore")]),
    ],
)
def test_what_the_leader_tells_of_a_body_stands_on_the_persons_record(
    told: tuple[str, ...], stands: list[tuple[str, str]]
) -> None:
    """It was lost with the session once: nobody spared it the day after."""
    assert kept(*told) == stands
    assert kept(*told, killed=True) == stands


def test_what_was_told_of_the_wrong_person_stands_on_nobodys_record() -> None:
    assert kept("hurts", "part:knees", "no", undone=True) == []
    assert kept("hurts", undone=True) == []


def test_what_is_taken_back_later_leaves_a_hurt_that_nobody_placed() -> None:
    hurt_then_sore = ("hurts", "person:2", "feel:sore", "part:fingers", "tissue:muscle")
    assert ("", "hurt") in kept(*hurt_then_sore)
    assert kept(*hurt_then_sore, undone=True) == [("", "hurt")]


def test_a_sign_whose_part_is_told_after_it_stays_when_its_person_is_let_in() -> None:
    led = Led(group(ADULTS)).until(60.0).tell("person:2", "sign:swelling", "part:wrists")
    led.until(90.0).tell("person:2", "return", "let-in")
    assert led.now.status(2) is Status.HERE
    ahead = [*led.now.callouts, *(one for s in led.now.programme.stops for one in s.callouts)]
    done = {form.movement for one in ahead if (form := one.doing(2)) and form.movement}
    assert done
    assert [name for name in done if poses.uses(name, "wrists")] == []


def test_of_a_second_soreness_the_first_is_not_forgotten() -> None:
    """Nobody said of what kind the fingers are sore: they count as a joint, and carry nothing."""
    led = Led(group(ADULTS))
    led.until(60.0).tell(
        "person:2", "feel:fingers:sore", "feel:sore", "part:knees", "tissue:muscle"
    )
    led.until(led.now.at + 60.0)
    callouts = led.now.programme.callouts
    mine = [form.movement for one in callouts if (form := one.doing(2)) is not None]
    assert mine
    assert not any(poses.uses(one, "fingers") for one in mine)


def test_the_same_soreness_told_again_is_no_second_one() -> None:
    led = Led(group(ADULTS))
    led.until(60.0).tell("person:2", "feel:fingers:sore", "feel:fingers:sore", "tissue:muscle")
    mine = (one for one in led.now.programme.day.caps if one.who == 2)
    assert min(one.most for one in mine if one.part is Part.FINGERS) == 1
