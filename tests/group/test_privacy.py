"""What everybody hears and sees tells nobody whose limit it is.

Two judges. One changes who has which limit and age, and asks whether anything public changes with
it: the strongest test there is, because what does not depend on something can't tell it. The other
is a reader who has learnt from many public transcripts, knows how many there are, and guesses.
"""

import random
from dataclasses import replace
from pathlib import Path

import pytest

from coach.group.display import look, stands, title
from coach.group.gathering import Act, Group
from coach.group.group_step import deadline, new_group, step
from coach.model.answers import parse
from coach.model.body import Feel, Part
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.session.effects import Say
from coach.session.events import Answered, Event, Started, TimePassed
from coach.session.state import Phase
from coach.web.scene import Shown, scene_of
from tests.group.readers import Reader, public_words
from tests.group.runs import BOARDS, WALL, group, language, library, run

LIMITS = [(part, feel) for part in Part for feel in (Feel.SORE, Feel.HURTING)]
SESSIONS = 40


def drawn(seed: int) -> tuple[list[AgeBand], list[tuple[int, Part, Feel]]]:
    """Ages and limits of three to nine people, a fifth of them limited."""
    dice = random.Random(seed)
    count = dice.randint(3, 9)
    ages = [dice.choice(list(AgeBand)) for _ in range(count)]
    hurting = [(who, *dice.choice(LIMITS)) for who in range(1, count + 1) if dice.random() < 0.2]
    return ages, hurting


@pytest.mark.no_cover
@pytest.mark.parametrize("seed", range(5))
def test_nothing_public_changes_when_the_limits_are_somebody_elses(
    seed: int,
) -> None:
    ages, hurting = drawn(seed)
    order = list(range(len(ages)))
    random.Random(seed + 1000).shuffle(order)
    moved_ages = [ages[one] for one in order]
    moved = [(order.index(who - 1) + 1, part, feel) for who, part, feel in hurting]

    def public(ages: list[AgeBand], hurting: list[tuple[int, Part, Feel]]) -> list[str]:
        given = group(ages, minutes=30, hurting=tuple(sorted(hurting)))
        return public_words(given)

    assert public(ages, hurting) == public(moved_ages, moved)


@pytest.mark.no_cover
def test_a_reader_who_has_learnt_guesses_no_better_than_chance() -> None:
    """Of every group the reader names who is most likely limited; beside drawing by lot.

    Chance is counted on the same groups: the share of limited people in each. The bound is three
    standard errors of that.
    """
    seen = [(seed, *drawn(seed)) for seed in range(SESSIONS)]
    reader = Reader()
    right = chance = spread = 0.0
    for seed, ages, hurting in seen:
        limited = {who for who, _, _ in hurting}
        words = public_words(group(ages, minutes=30, hurting=tuple(hurting)))
        if seed >= SESSIONS // 2 and limited:
            share = len(limited) / len(ages)
            right += reader.guess(words, len(ages)) in limited
            chance += share
            spread += share * (1 - share)
        reader.learn(words, len(ages), limited)

    assert right <= chance + 3 * spread**0.5


def test_the_reader_finds_what_is_there_to_be_found() -> None:
    """The same reader on transcripts that single people out: else it proves nothing."""
    reader, right = Reader(), 0
    for seed in range(120):
        dice = random.Random(seed)
        limited = dice.randint(1, 6)
        words = ["1, 2, 3, 4, 5, 6: wall.", f"{limited}: mat."]
        right += seed >= 60 and reader.guess(words, 6) == limited
        reader.learn(words, 6, {limited})
    assert right >= 50


def test_no_public_line_of_a_change_is_about_one_person_with_a_limit(tmp_path: Path) -> None:
    """The minor with sore fingers was once called alone to the mat, twice."""
    people = (
        Person(1, age=AgeBand.ADULT),
        Person(2, age=AgeBand.UNDER_16),
        *(Person(who, age=AgeBand.ADULT) for who in range(3, 9)),
    )
    hurting = ((2, Part.FINGERS, Feel.SORE),)
    given = new_group(library(), Options(people, 40.0, hurting), (*BOARDS, WALL))
    done, seen = run(given, "", tmp_path)

    # at a board of one place everybody is called by themselves: so are others, in the same words
    called = [e.text for e in done.transcript.entries if e.kind == "said"]
    for text in (one for one in called if one.startswith("2: ")):
        assert any(f"{who}:{text[2:]}" in called for who in (1, *range(3, 9))), text

    def shown(now: Group) -> str:
        return f"{language().text(title(now))} {stands(now)}"

    assert not any("under" in shown(now) or "sore" in shown(now) for now, _, _ in seen.turns)


def told_by_key(who: int, keys: tuple[str, ...]) -> list[str]:
    """What everybody hears and sees of a session in which the leader's keys tell of somebody."""
    now, _ = step(group((AgeBand.ADULT,) * 8, minutes=30), Started(0.0))
    left, public = [f"person:{who}", *keys], list[str]()
    while now.phase is not Phase.OVER:
        due = deadline(now)
        assert due is not None
        event: Event = TimePassed(max(due, now.at))
        if now.act is Act.ROTA and now.speech.saying is None and left:
            event = Answered(now.at + 1, parse(left.pop(0)), 0, now.at + 1, window_of(now))
        now, effects = step(now, event)
        public += [language().text(e.what) for e in effects if isinstance(e, Say)]
        scene = scene_of(Shown(look(now), now.at, now.options.people, stands(now)), language())
        public.append(str(replace(scene.public(), state="", now=0.0)))
    assert not left
    return public


def window_of(now: Group) -> int | None:
    return now.window.number if now.window is not None else None


@pytest.mark.no_cover
@pytest.mark.parametrize(
    "keys", [("feel:sore", "part:fingers", "tissue:joint"), ("feel:sore", "part:knees", "undo")]
)
def test_what_a_leader_tells_by_key_is_public_of_nobody(keys: tuple[str, ...]) -> None:
    assert told_by_key(2, keys) == told_by_key(5, keys)
