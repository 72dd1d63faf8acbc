"""A session of the real core, from its journal to every printed form."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from coach.cli import commands, diagnostics
from coach.cli.journal import replayed
from coach.errors import ExitCode
from coach.journal import Journal
from coach.journal.entries import entries
from coach.journal.transfer import whole
from coach.model.facts import Climbed, Finished, StepEnded
from coach.model.person import Person
from coach.record.story import story
from tests.record.rehearsed import rehearse_into


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal with one normal day in it."""
    path = tmp_path_factory.mktemp("real") / "journal.db"
    with Journal.open(path, write=True) as journal:
        rehearse_into(journal)
    return path


def test_the_digest_counts_what_the_facts_say(file: Path) -> None:
    with Journal.open(file, write=False) as journal:
        (entry,) = entries(journal, Person(1))
        facts = list(journal.facts(journal.sessions()[0].id))
    digest = entry.digest
    ended = [fact for fact in facts if isinstance(fact, Finished)]
    assert digest.seconds == ended[-1].seconds
    assert sum(digest.boulders.values()) == sum(
        fact.boulders for fact in facts if isinstance(fact, Climbed)
    )
    assert digest.doses["mobility"] > 5 * 60
    assert digest.doses["hangs"] > 20
    steps = sum(fact.seconds for fact in facts if isinstance(fact, StepEnded) and fact.amount > 0)
    assert sum(digest.blocks.values()) == pytest.approx(steps)
    assert len(digest.edges) == 1


def test_the_story_tells_every_block(file: Path) -> None:
    with Journal.open(file, write=False) as journal:
        (entry,) = entries(journal, Person(1))
        told = story(entry, journal.facts(journal.sessions()[0].id), {})
    text = "\n".join(sentence.text for sentence in told)
    for block in ("Mat:", "Board:", "Easy:", "Middle:", "Cool-down:", "Edge check", "Go-ahead"):
        assert block in text
    assert [sentence.at for sentence in told] == sorted(sentence.at for sentence in told)


def test_it_replays_to_the_same_facts(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = diagnostics.guarded(commands, ["journal", "verify", "--json", "--journal", str(file)])
    assert code is ExitCode.OK
    verdict = json.loads(capsys.readouterr().out)
    assert (verdict["replayed"], verdict["other_rules"]) == (1, 0)


def test_other_facts_are_found_by_the_replay(file: Path) -> None:
    with Journal.open(file, write=False) as journal:
        given = whole(journal, journal.sessions()[0].id)
    assert replayed(given.start, given.recorded) == ""
    with_facts = next(i for i, one in enumerate(given.recorded) if one.facts)
    changed = list(given.recorded)
    changed[with_facts] = replace(changed[with_facts], facts=())
    assert replayed(given.start, changed).startswith(f"event {with_facts + 1} ")
