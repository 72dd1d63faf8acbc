"""Whole sessions of the real core in which everything comes by phrases, keys and options.

`fired(seed)` are the rules of one of them. Nothing is handed to planning by hand: what is said is a
phrase of the language pack, taken to its answer by the pack; what was settled is what the command
line settles; what stands of an earlier day is what the journal gives at a start.
"""

from dataclasses import replace
from datetime import datetime
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

from coach.files.answers_file import Scripted, read_answers
from coach.files.paths import paths
from coach.files.words import load_language
from coach.language import Language
from coach.model.answers import ANYTIME
from coach.model.body import Part
from coach.model.facts import RuleFired
from coach.planning.day_tags import TOLD
from coach.runtime.rehearsal import TextWorld
from coach.runtime.runner import Runner
from coach.session.effects import Effect
from coach.session.events import Event, Started
from coach.session.state import Session
from coach.session.step import new_session
from coach.setup.choices import Choices
from coach.setup.earlier_days import recorded
from coach.setup.settling import Setup, settle
from tests.record.real import Answering, Kept

NOW = datetime.fromisoformat("2026-03-02T18:00:00+01:00")
_HURTING = ("no", "no", "no", "fingers sore", "left shoulder stiff", "elbow hurting", "skin sore")
_OFTEN = (
    "skip", "easier", "harder", "longer", "short-of-time", "leaving", "feel:sore", "feel:hurting",
    "feel:fingers:sore", "hurt", "enough", "last-go", "warmer",
)  # fmt: skip
_TEARING = ("stop", "finish")


@cache
def _words() -> Language:
    return load_language("en", {}, ())


#: Tags that leave no hard tries: a few days have one, so that the others are not all gentle.
_STANDS = [tag for tag in TOLD if tag.startswith(("ill", "sign:", "well:"))]


def _setup(dice: Random, stands: Random) -> Setup:
    told = [tag for tag in TOLD if tag not in _STANDS and dice.random() < 0.06]
    told = [tag for tag in told if tag != "edge:low"]
    if stands.random() < 0.08:
        told.append(stands.choice(_STANDS))
    ages = [dice.choice(("adult", "adult", "adult", "under-18", "under-16", "unknown"))]
    people = dice.choice((1, 1, 1, 2))
    choices = Choices(
        routine=dice.choice(("full", "full", "full", "quick", "technique-day", "rests")),
        minutes=dice.choice((50, 60, 75, 90, 120)),
        hurting=dice.choice(_HURTING),
        today=", ".join(told) or None,
        same_place=True,
        place=dice.choice(("tarnwick", "tarnwick", None)),
        people=people,
        age=tuple(ages * people),
    )
    setup = settle(choices, paths(), NOW)
    if dice.random() < 0.08:
        # what the journal gives at the start of somebody for whom a sign stands
        signs = ((1, dice.choice(list(Part))),)
        setup = replace(setup, options=replace(setup.options, signs=signs))
    if stands.random() < 0.04:
        # and for whom a hurt does
        hurt = ((1, f"hurt:{stands.choice(list(Part))}"),)
        setup = replace(setup, options=replace(setup.options, complaints=hurt))
    return setup


def _script(dice: Random, language: Language, minutes: float) -> tuple[Scripted, ...]:
    """Phrases at times of their own: some often, some of every kind that counts at any time."""
    known = dict(language.answers)
    often = [key for key in _OFTEN if key in known]
    every = [key for key in known if not key.startswith(_TEARING)]
    items = []
    for line in range(1, dice.choice((2, 4, 8))):
        key = dice.choice(often if dice.random() < 0.6 else every)
        phrase = dice.choice(known[key])
        answer = language.find(phrase)
        if answer is None:
            continue
        at = dice.uniform(30.0, minutes * 50.0)
        items.append(Scripted(at, 1, answer, phrase, line))
    if dice.random() < 0.25:
        at, gone = dice.uniform(300.0, minutes * 40.0), dice.uniform(600.0, 1700.0)
        for time, phrase in ((at, known["pause"][0]), (at + gone, known["resume"][0])):
            items.append(Scripted(time, 1, language.find(phrase), phrase, 100 + len(items)))
    return tuple(sorted(items, key=lambda item: item.at))


def fired(seed: int) -> frozenset[str]:
    """The rules that fired in one session."""
    dice = Random(f"reaching-{seed}")
    setup = _setup(dice, Random(f"standing-{seed}"))
    script = _script(dice, setup.language, setup.minutes)
    world = Answering(setup.language, script, anytime=frozenset(ANYTIME), chance=dice)
    return _fired(setup, world)


def ran(script: str, seed: int | None = None, **told: Any) -> frozenset[str]:
    """The rules of one day: options, and phrases of a file of answers; a seed answers the rest."""
    usual = {"minutes": 90, "hurting": "no", "same_place": True, "place": "tarnwick"}
    options = {**usual, "age": ("adult",), **told}
    setup = recorded(settle(Choices(**options), paths(), NOW), paths(), NOW.date(), print)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "day.txt"
        path.write_text(script, "utf-8")
        items = read_answers(path, setup.language.breath)
    anytime = frozenset(ANYTIME)
    world = TextWorld(setup.language, items, anytime=anytime)
    if seed is not None:
        world = Answering(setup.language, items, anytime=anytime, chance=Random(seed))
    return _fired(setup, world)


def _fired(setup: Setup, world: TextWorld) -> frozenset[str]:
    kept = Kept()
    session = new_session(setup.library, setup.options)

    def seen(now: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        world.weighs = now.weighs

    Runner(session, world, kept, world.clock.wall, seen).run(Started(0.0))
    return frozenset(
        fact.rule for _, facts, _ in kept.committed for fact in facts if isinstance(fact, RuleFired)
    )
