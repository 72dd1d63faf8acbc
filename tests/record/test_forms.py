"""No test and no document is made of facts that the core would never write."""

from pathlib import Path

import pytest

from tests.record import real
from tests.record.forms import added, known, odd

HERE = Path(__file__).parents[2]
FILES = [*(HERE / "tests").rglob("*.py"), *(HERE / "docs").rglob("*.py")]


def test_every_fact_that_is_written_by_hand_is_like_those_of_the_core() -> None:
    found = [
        f"{path.relative_to(HERE)}, {line}" for path in FILES for line in odd(path.read_text())
    ]
    assert found == []


def test_an_invented_fact_is_found() -> None:
    lie = 'from coach.model.facts import Rested\nRested(1.0, 1, 9.0, 9.0, "try")\n'
    assert list(odd(lie)) == ["line 2: Rested, who: 'somebody'", "line 2: Rested, after: 'try'"]


@pytest.mark.parametrize("seed", [3, 5])
def test_the_table_is_of_what_the_core_writes_today(seed: int) -> None:
    """`python -m tests.record.forms` adds what is new; a word that went has to be taken out."""
    facts = [fact for _, caused, _ in real.day(seed, "alone").committed for fact in caused]
    table = added(known(), facts)
    # what digests go by; how steps are called is of no end
    for kind in ("Rested", "StepEnded", "RuleFired", "Finished"):
        for field in ("who", "kind", "block", "kind in block", "outcome", "sure", "how"):
            assert table[kind].get(field) == known()[kind].get(field)
