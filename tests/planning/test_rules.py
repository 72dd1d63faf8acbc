"""The table of rules is whole: each can be said and explained, in words that exist."""

import pytest

from coach.files.words import load_language
from coach.model.messages import Value, message
from coach.model.signs import SIGNS, known
from coach.planning import MESSAGES
from coach.planning.day_tags import TOLD
from coach.planning.rules import RULES, Rule, Sure
from tests.planning.days import library

VALUES: dict[str, Value] = {
    "part": "fingers",
    "gate": "gate-body",
    "step": "cat-arch",
    "to": "cat-arch",
}


def test_names_are_unique() -> None:
    names = [rule.name for rule in RULES]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_says_how_sure_it_is_and_where_it_is_from(rule: Rule) -> None:
    assert rule.fires
    assert rule.does
    assert rule.say in MESSAGES
    assert f"why-{rule.name}" in MESSAGES
    if rule.sure is Sure.PUBLISHED:
        assert any(year in rule.source for year in map(str, range(1970, 2027)))
    if rule.sure is Sure.COMMON_PRACTICE:
        assert "common practice" in rule.source


def test_every_message_has_words() -> None:
    language = load_language("en", library().movements)
    for key, names in MESSAGES.items():
        values: dict[str, Value] = {name: VALUES.get(name, 2) for name in names}
        assert language.text(message(key, **values)).strip()


def test_signs_and_tags_are_named_once() -> None:
    assert known("pop") is SIGNS["pop"]
    assert known("else").part is None
    assert all(TOLD.values())
