"""The table of rules is whole: each can be said and explained, in words that exist."""

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from coach.files.words import load_language
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part, Tissue
from coach.model.messages import Value, message
from coach.model.questions import QUESTIONS
from coach.model.signs import SIGNS, known
from coach.planning import MESSAGES, rule_engine
from coach.planning.day_tags import TOLD
from coach.planning.rules import RULES, Rule, rules_about
from coach.planning.rules.rule import Sure
from coach.planning.situation import CLOCK, GAINED, IDLE, LATE_READING, PLAN, UNTOLD_PART, Situation
from tests.planning.days import library
from tests.planning.simulated import day_of

VALUES: dict[str, Value] = {
    "part": "fingers",
    "gate": "gate-body",
    "step": "cat-arch",
    "to": "cat-arch",
}


@pytest.mark.parametrize(
    ("sure", "source"),
    [
        (Sure.PUBLISHED, "Smith 2011, as our trainers read it"),
        (Sure.PUBLISHED, "common practice since 2011"),
        (Sure.PUBLISHED, "a textbook"),
        (Sure.COMMON_PRACTICE, "Smith 2011"),
    ],
)
def test_no_rule_calls_itself_surer_than_its_source(sure: Sure, source: str) -> None:
    with pytest.raises(ValueError, match="its source is"):
        replace(RULES[0], sure=sure, source=source)


def test_names_are_unique() -> None:
    names = [rule.name for rule in RULES]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_says_how_sure_it_is_and_where_it_is_from(rule: Rule) -> None:
    assert rule.fires
    assert rule.does
    assert rule.say in MESSAGES
    assert f"why-{rule.name}" in MESSAGES


def test_every_message_has_words() -> None:
    language = load_language("en", library().movements)
    for key, names in MESSAGES.items():
        values: dict[str, Value] = {name: VALUES.get(name, 2) for name in names}
        assert language.text(message(key, **values)).strip()


def test_signs_and_tags_are_named_once() -> None:
    assert known("pop") is SIGNS["pop"]
    assert known("else").part is None
    assert all(TOLD.values())


def test_no_rule_fires_on_what_its_file_is_not_about(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every rule is asked about every situation of some days, and about any other answer in it."""
    seen: list[Situation] = []
    matching = rule_engine.matching

    def noted(situation: Situation) -> list[Rule]:
        seen.append(situation)
        return matching(situation)

    monkeypatch.setattr(rule_engine, "matching", noted)
    dice = Random(5)
    for _ in range(12):
        for _ in day_of(dice):
            pass
    assert len(seen) > 100
    questions = ["", PLAN, IDLE, CLOCK, LATE_READING, GAINED, UNTOLD_PART, *QUESTIONS]
    met: Counter[str] = Counter()
    for situation in dice.sample(seen, 100):
        others = [
            replace(
                situation,
                answer=Answer(
                    meaning,
                    feel=dice.choice([None, *Feel]),
                    part=dice.choice([None, *Part]),
                    tissue=dice.choice([None, *Tissue]),
                    number=dice.choice([None, 0, 2, 1500]),
                ),
                question=dice.choice(questions),
            )
            for meaning in Meaning
        ]
        for one in (situation, *others):
            about = rules_about(one.answer.meaning, one.question)
            fire = {rule.name for rule in RULES if rule.when(one)}
            met.update(fire)
            assert fire <= {rule.name for rule in about}, (one.answer, one.question)
    assert len(met) > len(RULES) // 3, "enough rules fire for this to say something"
