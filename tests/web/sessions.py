"""Sessions that the real core runs until pages have something to show, in a journal."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from coach.files.words import load_language
from coach.group.arrangement import options_of
from coach.group.gathering import Group
from coach.group.group_step import new_group
from coach.group.kind import GROUP
from coach.group.phrases import ANY_TIME
from coach.journal import Journal
from coach.language import Language
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning.stations import Station
from coach.runtime.keeper import JournalKeeper
from coach.runtime.rehearsal import TextWorld
from coach.runtime.replay import rules_version
from coach.runtime.runner import Runner
from coach.runtime.sharing import follower_scene
from coach.session.events import Started
from coach.web.presses import Presses
from coach.web.roles import Role, passes_for
from coach.web.server import Sharing
from tests.beginning import entry
from tests.group import runs

LINE = "from coach.cli import main; main()"


def coach(*words: str) -> list[str]:
    """The command line of the program, by this interpreter."""
    return [sys.executable, "-c", LINE, *words]


def started(*words: str) -> subprocess.Popen[str]:
    """A session in a process of its own, shared on a port of the system's choice."""
    line = coach(*words, "--no-sound", "--plain", "--share", "0")
    pipe = subprocess.PIPE
    return subprocess.Popen(line, stdin=pipe, stdout=pipe, stderr=pipe, text=True)


def links_of(running: subprocess.Popen[str]) -> dict[str, str]:
    """What each link that it prints is for, as far as the last one."""
    found: dict[str, str] = {}
    wanted = {"To watch", "To lead", "To answer, person 1"}
    assert running.stderr is not None
    while len(found) < 2:
        line = running.stderr.readline()
        assert line, "it ended before it shared"
        head, _, link = line.strip().partition(": http")
        if head in wanted:
            found[head] = f"http{link}"
    return found


def language() -> Language:
    """The English pack, without movements: what a page says by itself."""
    return load_language("en", {})


@contextmanager
def in_the_rota(folder: Path, count: int, minutes: float) -> Iterator[dict[Role, str]]:
    """A group that the real core has led to the boards and the wall, shared: role -> link.

    Its clock stands there, so that pages can be looked at for as long as it takes.
    """
    people = tuple(Person(who, age=AgeBand.ADULT) for who in range(1, count + 1))
    boards = tuple(Station(f"board {n}", "board", 1) for n in range(1, 1 + max(count // 10, 1)))
    stations = (*boards, Station("wall", "wall", 8))
    library, words = runs.library(), runs.language()
    wall = datetime.now().astimezone()
    given = new_group(library, Options(people, minutes), stations)
    begun = replace(
        entry(library, given.options, wall),
        rules_version=rules_version(),
        kind=GROUP.name,
        options=options_of(stations, ()),
    )
    path = folder / "journal.db"
    with Journal.open(path, write=True) as journal:
        world = TextWorld(words, (), anytime=frozenset(ANY_TIME))
        keeper = JournalKeeper(journal, journal.begin(begun))
        runner = Runner(given, world, keeper, lambda: wall, kind=GROUP)
        runner.take(Started(0.0))
        while not _under_way(runner):
            runner.take(runner.next())
        presses = Presses(lambda: GROUP.look(runner.session), world.now, lambda _: None)
        scene = follower_scene(path, words, lambda: wall)
        passes = passes_for((), led=True)
        sharing = Sharing("127.0.0.1", 0, passes, presses, scene, words)
        sharing.start()
        try:
            yield {by.role: link for by, link in sharing.links()}
        finally:
            sharing.stop()


def _under_way(runner: Runner[Group]) -> bool:
    """Whether all that a first change of the rota says has been said."""
    shown = GROUP.stands(runner.session)
    return (
        any(stand.now for stand in shown if stand.name != "mat")
        and runner.session.speech.saying is None
    )
