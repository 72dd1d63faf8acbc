"""What is told of earlier days and of an age, as real rehearsals and the real journal give it.

Every session here is begun by the code that begins real ones, on days of its own, and rehearsed.
"""

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

from coach.cli.suggest import lines_of
from coach.files.answers_file import Scripted
from coach.files.paths import Paths
from coach.journal import Journal, SessionId
from coach.journal.body_statements import end
from coach.journal.entries import entries
from coach.journal.persons import person_of
from coach.model.person import Person
from coach.record.ending import check_of, opens
from coach.runtime.beginning import begin
from coach.runtime.rehearsal import Transcript, clock_time
from coach.runtime.runner import Runner
from coach.session.events import Event
from coach.setup.choices import Choices
from coach.setup.settling import settle
from coach.setup.standing_at_start import of_someone
from coach.setup.suggested import known_of, proposal
from docs.saying import Saying

FIRST = datetime.fromisoformat("2026-03-03T18:00:00+01:00")
TOLD = {
    "minutes": 90, "place": "tarnwick", "same_place": True, "age": ("adult",), "climbing": 60,
    "comfortable": "slate",
}  # fmt: skip
#: Seconds that are shown after the plan was said.
SHOWN = 20.0
HURT = ("i got hurt", "no", "my wrist", "no", "finish")
SIGN = ("i got hurt", "no", "my wrist", "yes", "finish")


class Kept:
    """Keeps into a journal, at the time of its own days."""

    def __init__(self, journal: Journal, session: SessionId, began: datetime) -> None:
        self._journal, self._session, self._began = journal, session, began

    def commit(self, event: Event, facts: tuple[object, ...], wall: datetime) -> None:
        """Keep an event with the facts that it caused."""
        when = self._began + timedelta(seconds=event.at)
        self._journal.commit(self._session, event, facts, when)  # type: ignore[arg-type]


@contextmanager
def record() -> Iterator[tuple[Journal, Paths]]:
    """A journal of nobody, in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        paths = Paths(root / "config", root / "data", root / "state", root / "cache")
        paths.data.mkdir()
        with Journal.open(paths.journal, write=True) as journal:
            yield journal, paths


def day(
    journal: Journal, paths: Paths, number: int, words: Sequence[str] = (), **told: object
) -> list[str]:
    """A session so many days after the first, until its plan is said or it ends, as lines."""
    now = FIRST + timedelta(days=number)
    setup = settle(Choices(**{**TOLD, "hurting": "no", **told}), paths, now)  # type: ignore[arg-type]
    begun = begin(journal, setup, now, print)
    script = []
    for line, text in enumerate(words):
        answer = setup.language.find(text)
        assert answer is not None, text
        script.append(Scripted(0.0, 1, answer, text, line))
    world, transcript = Saying(setup.language, tuple(script)), Transcript(setup.language)
    kept = Kept(journal, begun.id, now)
    runner = Runner(begun.session, world, kept, world.clock.wall, transcript.seen)
    going, planned_at = runner.take(begun.first), None
    while going and (planned_at is None or world.now() < planned_at + SHOWN):
        going = runner.take(runner.next())
        done = runner.session.course.planned and len(world.spoken) == len(words)
        planned_at = planned_at or (world.now() if done else None)
    journal.close_session(begun.id, runner.session.how or "done")
    spoken = iter(world.spoken)
    return [
        f"{clock_time(one.at)}  "
        + (f'"{next(spoken, one.text)}"' if one.kind == "heard" else one.text)
        for one in transcript.entries
        if one.kind in ("said", "heard")
    ]


def block(title: str, lines: Sequence[str]) -> str:
    """A titled transcript."""
    return f"### {title}\n\n```text\n" + "\n".join(lines) + "\n```\n"


def suggested(journal: Journal, paths: Paths, number: int) -> list[str]:
    """What `coach suggest` says so many days after the first."""
    today = (FIRST + timedelta(days=number)).date()
    someone = person_of(journal, Person(1))
    known = known_of(journal, someone, entries(journal, someone), today, paths)
    return list(lines_of(proposal(journal, someone, known, paths), today))


def ended(journal: Journal, number: int, claim: str) -> list[str]:
    """The checks before a claim, each answered with no, and what is said then."""
    now = FIRST + timedelta(days=number)
    someone = person_of(journal, Person(1))
    (one,) = of_someone(journal, someone, now.date()).stands
    check = check_of(one, claim)
    end(journal, someone, claim, now)
    asked = [f"{question} (no, or yes): no" for question in check.none_of]
    typed = f"$ coach people {claim.replace(':', ' ')}"
    return [typed, *filter(None, (check.do,)), *asked, opens(one, claim)]


def ages() -> str:
    """The age at a first start: told, and untold."""
    found = []
    for title, words in (("Told", ("grown up",)), ("Nobody answers", ())):
        with record() as (journal, paths):
            found.append(
                block(f"The first start: {title.lower()}", day(journal, paths, 0, words, age=()))
            )
            found.append(block("The next one", day(journal, paths, 2, age=())))
    return "\n".join(found)


def hurts() -> str:
    """A hurt, the start after it, what is suggested, how it ends, and the start after that."""
    with record() as (journal, paths):
        found = [
            block("The day of the hurt", day(journal, paths, 0, HURT)),
            block("The next start, under another spelling or none", day(journal, paths, 2)),
            block("`coach suggest`", suggested(journal, paths, 3)),
            block("It is well again, by key", ended(journal, 12, "well:wrists")),
            block("The start after that", day(journal, paths, 12)),
        ]
    with record() as (journal, paths):
        day(journal, paths, 0, SIGN)
        found += [
            block("After a warning sign", day(journal, paths, 2)),
            block("A clinician cleared it, by key", ended(journal, 12, "cleared:wrists")),
        ]
    with record() as (journal, paths):
        for number in (0, 2, 4):
            day(journal, paths, number, hurting="fingers sore")
            if not number:
                found.append(block("Sore once", day(journal, paths, 1)))
        found.append(block("Sore again and again", day(journal, paths, 6)))
    return "\n".join(found)


def breaks() -> str:
    """Back after a break, by its reason, each with its questions answered, and with silence."""
    told: dict[str, tuple[str, ...]] = {
        "An injury": ("an injury", "my elbow", "a physio"),
        "An injury that nobody cleared": ("an injury", "my elbow", "nobody yet"),
        "An injury, and silence then": ("an injury",),
        "A birth": ("after birth",),
        "An illness, seven days clear": ("an illness", "a week clear"),
        "An illness, not yet": ("an illness", "no"),
        "Nobody answers": (),
    }
    found = []
    for title, words in told.items():
        with record() as (journal, paths):
            day(journal, paths, 0, ("stop", "finish"))
            found.append(block(title, day(journal, paths, 30, words, same_place=None)))
    return "\n".join(found)
