"""The one sentence of the debrief about the year, judged by what the export says was done.

The judge adds up the steps of the exported day (`tests.record.recount`), and knows of
docs/year.md which hours are told. It imports nothing that decides what is said.
"""

import re
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.lines import export
from coach.journal.transfer import put
from coach.model.messages import message
from coach.model.person import Person
from coach.runtime.rehearsal import rehearse
from coach.session.step import new_session
from tests.beginning import entry
from tests.record.invented import session
from tests.record.real import Ran
from tests.record.recount import Judge
from tests.record.rehearsed import DAY, OPTIONS, Committed

HOURS = (1, 2, 3, 5, 10, 15, 20, 30, 50, 75, 100)
DOSES = ("mobility", "hangs", "focus")
TOLD = re.compile(r"(One|\d+) hours? of (\w+) this year\.")
BEGUN = datetime.fromisoformat("2026-03-03T18:00:00+01:00")
LIBRARY = load_library("full", "tarnwick", ())
LANGUAGE = load_language("en", LIBRARY.movements, ())


@dataclass
class _Keeper:
    committed: list[Committed] = field(default_factory=list)

    def commit(self, event: Any, facts: Any, wall: datetime) -> None:
        self.committed.append((event, facts, wall))


def told(folder: Path, before: dict[str, float], **more: Any) -> list[str]:
    """What a whole day says, after so many seconds of the year; its export is left in a folder."""
    doses = tuple((1, dose, seconds) for dose, seconds in before.items())
    options, kept = replace(OPTIONS, doses=doses, **more), _Keeper()
    script = read_answers(DAY, LANGUAGE.breath)
    day = rehearse(new_session(LIBRARY, options), LANGUAGE, script, kept)
    ran = Ran(entry(LIBRARY, options, BEGUN), tuple(kept.committed), "done")
    with Journal.open(folder / "journal.db", write=True) as journal:
        put(journal, session(ran, BEGUN, "one"))
        with (folder / "day.jsonl").open("w", encoding="utf-8") as to:
            export(journal, to)
    return [one.text for one in day.transcript.entries if one.kind == "said"]


def done(folder: Path) -> dict[str, float]:
    """Seconds of each dose, by the exported day."""
    (day,) = Judge(folder / "day.jsonl").sittings("")
    steps = [step for step in day.of("StepEnded") if step["amount"] > 0]
    return {
        dose: sum(step["seconds"] for step in steps if day.dose(step) == dose) for dose in DOSES
    }


def due(before: dict[str, float], today: dict[str, float]) -> list[tuple[int, str]]:
    """What is news: the most hours that were passed today, of equal ones the first dose."""
    passed = [
        (-hours, DOSES.index(dose))
        for dose, seconds in before.items()
        for hours in HOURS
        if seconds < 3600 * hours <= seconds + today[dose]
    ]
    return [(-hours, DOSES[dose]) for hours, dose in sorted(passed)[:1]]


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> dict[str, float]:
    """What such a day holds of each dose."""
    folder = tmp_path_factory.mktemp("usual")
    told(folder, {})
    return done(folder)


#: Hours that the year comes to by the end of the day, and seconds beyond them; of each dose.
YEARS: tuple[dict[str, tuple[int, float]], ...] = (
    {"mobility": (1, 1.0)},
    {"mobility": (1, -1.0)},
    {"hangs": (2, 0.5), "mobility": (1, 5.0)},
    {"hangs": (3, 5.0), "mobility": (3, 5.0), "focus": (2, 5.0)},
    {"hangs": (4, 5.0), "focus": (6, 5.0)},
    {"focus": (100, 60.0), "mobility": (50, -5.0)},
    {"mobility": (2, 4000.0), "hangs": (5, 1000.0), "focus": (10, 9000.0)},
)


@pytest.mark.parametrize("year", YEARS)
def test_an_hour_is_told_once_on_the_day_that_passes_it(
    year: dict[str, tuple[int, float]], usual: dict[str, float], tmp_path: Path
) -> None:
    before = {dose: 3600.0 * h + over - usual[dose] for dose, (h, over) in year.items()}
    texts = told(tmp_path, before)
    today = done(tmp_path)
    assert today == pytest.approx(usual)
    told_of = [m.groups() for text in texts if (m := TOLD.search(text))]
    called = {"technique": "focus"}
    found = [(1 if h == "One" else int(h), called.get(dose, dose)) for h, dose in told_of]
    assert found == due(before, today)
    for text in filter(TOLD.search, texts):
        # in the debrief, before the one question of it
        assert texts.index(text) > len(texts) - 5
        assert len(text.split()) <= 12


def test_what_was_told_of_the_year_at_the_start_is_all(
    usual: dict[str, float], tmp_path: Path
) -> None:
    before = {"mobility": 3601.0 - usual["mobility"]}
    (tmp_path / "aim").mkdir()
    aim = message("aim-focus", what="quiet-feet")
    assert not any(map(TOLD.search, told(tmp_path / "aim", before, aim=aim)))
    review = ((1, message("review-nothing")),)
    assert not any(map(TOLD.search, told(tmp_path, before, review=review)))


def test_of_several_nobody_is_told(usual: dict[str, float], tmp_path: Path) -> None:
    people = (OPTIONS.people[0], Person(2, "Runa", OPTIONS.people[0].age))
    before = {dose: 3601.0 - usual[dose] for dose in DOSES}
    assert not any(map(TOLD.search, told(tmp_path, before, people=people)))
