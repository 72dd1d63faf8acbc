"""Of several people, whose day an answer changed begins the sentence; judged by what is said."""

import re

from coach.model.answers import parse
from coach.model.person import AgeBand, Person
from coach.session.changes import _personal
from tests.climber import ADULT, rehearsed

TWO = (
    Person(1, "Ines", age=AgeBand.ADULT, edge="medium"),
    Person(2, "Marlo", age=AgeBand.ADULT, edge="medium"),
)


def heard_after(
    people: tuple[Person, ...], said: dict[float, str], part: str, who: str = ""
) -> list[str]:
    """The sentences about a part, where these answers are said at these seconds.

    `who` answers "who is it?"; '' for silence.
    """
    left = dict(said)

    def also(session: object, now: float) -> str | None:
        due = [at for at in left if now >= at]
        return left.pop(due[0]) if due else None

    day = rehearsed(40.0, people=people, also=also, answers={"who": who})
    texts = [entry.text for entry in day.transcript.entries if entry.kind == "said"]
    return [text for text in texts if re.search(part, text) and "?" not in text]


def test_alone_nobody_is_named() -> None:
    texts = heard_after(ADULT, {400.0: "feel:fingers:sore"}, "on the fingers")
    assert texts
    assert not any(":" in text.partition("fingers")[0] for text in texts)


def test_of_two_the_one_who_told_it_is_named() -> None:
    for who, name in ((1, "Ines"), (2, "Marlo")):
        said = {400.0: "feel:fingers:sore"}
        texts = heard_after(TWO, said, "gentle on the fingers", f"person:{who}")
        assert {text.partition(": ")[0] for text in texts} == {name}


def test_what_counts_for_both_is_said_once_and_names_nobody() -> None:
    texts = heard_after(TWO, {400.0: "feel:fingers:sore"}, "gentle on the fingers")
    assert len(texts) == 1
    assert texts[0].startswith("Only gentle")


def test_what_is_everybodys_names_nobody() -> None:
    for key in ("short-of-time:20", "longer:10", "leaving", "skip", "feel:fine", "silence"):
        assert not _personal(parse(key), "")
    for key in ("feel:sore", "tissue:joint", "sign:pop", "easier", "go"):
        assert _personal(parse(key), "")
    assert _personal(parse("silence"), "gate-body")
