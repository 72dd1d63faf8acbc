"""`coach group`: a leader warms up a group, aloud, with the hands free."""

import sys
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import place_names, routine_names, run_options, voice_names
from coach.cli.start import Interrupted, screen_wanted
from coach.errors import UsageError
from coach.files.answers import Scripted, read_answers
from coach.files.library import load_library
from coach.files.paths import Paths, paths
from coach.files.roster import MOST, Roster, doubtful, load_roster, numbered
from coach.files.settings import load_settings
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.group.leading import ADDRESSED, ANY_TIME, heard_from
from coach.group.looking import look
from coach.group.state import Group
from coach.group.step import new_group, step
from coach.group.storing import group_of, options_of, version_of
from coach.journal import Journal
from coach.language import Language
from coach.model.person import AgeBand
from coach.model.place import Board, Edge
from coach.model.start import Options, Start
from coach.planning.pyramid import tiers
from coach.planning.stations import Station
from coach.runtime.awake import awake
from coach.runtime.beginning import Begun
from coach.runtime.faces import Left, run
from coach.runtime.rehearsal import clock_time, rehearse
from coach.runtime.resume import rules_version
from coach.runtime.runner import World
from coach.runtime.sharing import check_sharing
from coach.runtime.sound import Wanted, opened
from coach.session.effects import Effect, OpenWindow
from coach.session.events import Answered, Event, Reopened, Started
from coach.session.state import Phase
from coach.setup.call_word import call_word
from coach.setup.settling import USUAL_VOICE, Setup, place_called

#: The routine of a line that names none.
USUAL = "group"
#: Places at the wall where nothing tells.
WALL = 8


@click.command("group")
@click.argument("routine", required=False, shell_complete=routine_names)
@click.option(
    "--roster",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Who is here, TOML or CSV; without it a terminal asks how many and numbers them.",
)
@click.option("--people", type=click.IntRange(1, MOST), metavar="N", help="How many, by number.")
@click.option("--minutes", type=click.IntRange(1, 300), metavar="N", help="How long there is.")
@click.option(
    "--boards",
    type=click.IntRange(0, MOST),
    metavar="K",
    help="How many boards, a place each; without it those of the roster, else those of the place.",
)
@click.option(
    "--wall-places",
    type=click.IntRange(1, MOST),
    metavar="N",
    help=f"How many climb at once where the roster names no wall; {WALL} if told nothing.",
)
@click.option("--place", metavar="NAME", shell_complete=place_names, help="Hall or crag.")
@click.option("--voice", metavar="NAME", shell_complete=voice_names, help="Voice profile.")
@click.option(
    "--call",
    metavar="WORD",
    help="The word before an answer at any other time, as in 'coach, number five'; 'off' for none.",
)
@click.option("--sheet", is_flag=True, help="Print the leader's sheet, ages and reasons too.")
@click.option(
    "--answers",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help="Run in a moment, with answers from a file, 'MM:SS words' a line; nothing is kept.",
)
@run_options
def command(sheet: bool, answers: Path | None, **told: Any) -> None:
    """Warm up a group with its leader.

    Everybody stays within their own limits. The easier form is called out for all, and a harder
    one is offered by number to those who may; ages and reasons are only on the sheet.
    """
    known = paths()
    setup, stations, roster = _settle(told, known)
    group = new_group(setup.library, setup.options, stations, roster.late)
    if sheet:
        output.lines(sheet_of(group, setup.language, roster.notes))
    elif answers is not None:
        _rehearse(group, setup.language, answers)
    else:
        _run(group, setup, roster, known, told)


def _settle(told: dict[str, Any], known: Paths) -> tuple[Setup, tuple[Station, ...], Roster]:
    """Everything that was told, read and checked."""
    remembered = load_settings(known.settings)
    place = place_called(told["place"] or remembered.place, known.user_dirs)
    library = load_library(told["routine"] or USUAL, place, known.user_dirs)
    profile = load_voice(told["voice"] or remembered.voice or USUAL_VOICE, known.user_dirs)
    language = load_language(profile.language, library.movements, known.user_dirs)
    if told["roster"] is not None:
        roster = load_roster(told["roster"], library.place)
    else:
        roster = numbered(told["people"] or _how_many())
    stations = _stations(told, roster, library.place.boards, language)
    boards = sum(station.places for station in stations if station.kind == "board")
    if boards > len(roster.people):
        raise UsageError(
            f"{boards} places at boards are more than the {len(roster.people)} people",
            f"--boards {len(roster.people)} is the most that helps.",
        )
    hung = any(station.kind == "board" for station in stations)
    there = (roster.edged if told["boards"] is None else ()) or library.place.boards
    library = replace(
        library,
        place=replace(library.place, boards=there or (Board("board", ()),) * hung),
    )
    minutes = float(told["minutes"]) if told["minutes"] is not None else None
    options = Options(roster.people, minutes, roster.hurting)
    address = call_word(told["call"] or remembered.call, roster.people, language)
    language = _naming(language, roster)
    setup = Setup(
        library,
        options,
        profile,
        language,
        remembered,
        address=address,
        addressed=ADDRESSED,
    )
    return setup, stations, roster


def _how_many() -> int:
    """Asked at a terminal, where nothing told it."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise UsageError("nobody is told", "Name a --roster FILE, or how many: --people 12.")
    return int(click.prompt("How many people", type=click.IntRange(1, MOST), err=True))


def _stations(
    told: dict[str, Any], roster: Roster, boards: Sequence[Board], language: Language
) -> tuple[Station, ...]:
    """Boards and wall: of the line, else of the roster, else of the place."""
    if told["boards"] is not None:
        names = [f"{language.words['station-board']} {n}" for n in range(1, told["boards"] + 1)]
        at = tuple(Station(name, "board", 1) for name in names)
    elif roster.boards is not None:
        at = roster.boards
    else:
        at = tuple(Station(board.name, "board", 1) for board in boards)
        at = at[: len(roster.people)]
    if told["wall_places"] is not None or roster.walls is None:
        return (*at, Station(language.words["station-wall"], "wall", told["wall_places"] or WALL))
    return (*at, *roster.walls)


def _naming(language: Language, roster: Roster) -> Language:
    """The pack that calls these people by name, and by number whose name the ear can't know."""
    unknown = doubtful(roster.people, language)
    for person in roster.people:
        if person.who in unknown:
            diagnostics.note(
                f"{person.name!r}: {unknown[person.who]}. Say 'number {person.who}' instead."
            )
    named = [person for person in roster.people if person.who not in unknown]
    names = {person.who: normal_name(person.name) for person in named if person.name}
    return heard_from(language, names).naming(named)


def normal_name(name: str) -> str:
    """A name as the ear is told it."""
    return " ".join(name.lower().split())


def sheet_of(group: Group, language: Language, notes: Sequence[tuple[int, str]]) -> list[str]:
    """The leader's sheet: who, what is otherwise for them and why, and the rota. Not for others."""
    plan, said = group.plan, dict(notes)
    lines = [
        "For the leader's eyes only.",
        f"{len(group.people)} people, {plan.seconds / 60:.0f} min (bound {plan.bound / 60:.0f}).",
        "",
    ]
    for person in group.options.people:
        age = "age not told: as under 18" if person.age is AgeBand.UNKNOWN else person.age.value
        lines.append(" ".join(filter(None, (f"{person.who:2}", person.name, f"({age})"))))
        if person.who in said:
            lines.append(f"     note: {said[person.who]}")
        found = tiers(person, group.library.place)
        if found is not None:
            lines.append(
                f"     boulders, easy: {', '.join(found.easy)}; middle: {', '.join(found.middle)}"
            )
        lines += [
            f"     {language.title(one.movement)}: "
            + (f"{language.title(one.instead)} instead" if one.instead else "left out")
            + f" ({one.why})"
            for one in plan.omitted
            if one.who == person.who and one.why != "offered"
        ]
        lines += [
            f"     may take the {language.title(movement)}; not offered aloud"
            for who, movement in plan.untold
            if who == person.who
        ]
    names = {station.name for station in group.stations}
    edged = [b for b in group.library.place.boards if b.edges and b.name in names]
    lines += [""] * bool(edged)
    lines += [f"{board.name}: {', '.join(map(_edge, board.edges))}" for board in edged]
    lines += ["", "Rota, from the end of the mat:"]
    lines += [
        f"{clock_time(seat.start)}  {seat.station}, place {seat.place}: {seat.turn.who}, "
        f"{seat.turn.seconds / 60:.1f} min"
        for seat in plan.rota.seats
    ]
    return lines


def _edge(edge: Edge) -> str:
    return f"{edge.name} {edge.depth_mm:g} mm" if edge.depth_mm else edge.name


def _rehearse(group: Group, language: Language, answers: Path) -> None:
    """Run in a moment, and print what happened."""
    source = Path("/dev/stdin") if str(answers) == "-" else answers
    script: tuple[Scripted, ...] = read_answers(source, language.find, language.said)
    done = rehearse(group, language, script, advance=step, anytime=ANY_TIME)
    output.table(
        (clock_time(entry.at), entry.kind, entry.text) for entry in done.transcript.entries
    )
    output.line()
    output.table(
        (name.replace("_", " "), f"{value:g}")
        for name, value in asdict(done.transcript.totals()).items()
    )
    for item in done.unsaid:
        diagnostics.note(f"{answers}:{item.line}: {item.words!r} was never said: no window took it")


class LeaderWorld:
    """A world in which the leader speaks: only what a window asks of somebody is theirs."""

    def __init__(self, world: World) -> None:
        self._world = world
        self._window = OpenWindow(0, (), 0.0)

    def now(self) -> float:
        """Seconds on the session's timeline."""
        return self._world.now()

    def wait(self, until: float | None) -> Event | None:
        """The next event; answers that are about nobody are the leader's, number 0."""
        event = self._world.wait(until)
        if isinstance(event, Answered):
            own = event.window is not None and event.window == self._window.window
            return replace(event, who=self._window.who if own else 0)
        return event

    def carry_out(self, effect: Effect) -> None:
        """Do it."""
        if isinstance(effect, OpenWindow):
            self._window = effect
        self._world.carry_out(effect)


def _run(group: Group, setup: Setup, roster: Roster, known: Paths, told: dict[str, Any]) -> None:
    """Run the group to the end, or to Ctrl-C."""
    full = screen_wanted(told["screen"])
    wanted = Wanted(not told["no_sound"], told["to_file"], told["share"], told["share_host"])
    with Journal.open(known.journal, write=True) as journal:
        check_sharing(wanted)
        if told["resume"]:
            begun = take_up(journal, setup.language, datetime.now().astimezone())
        else:
            begun = _begin(journal, group, setup, roster)
        diagnostics.log_to(known.log)
        with awake(), opened(setup, known, wanted) as live:
            for missing in live.missing:
                diagnostics.note(f"{missing}")
            try:
                ended = run(
                    begun,
                    live,
                    journal,
                    known,
                    full,
                    wanted,
                    diagnostics.note,
                    look,
                    step,
                    LeaderWorld,
                )
            except Left:
                diagnostics.note("Leaving. What was announced is saved.")
                raise Interrupted("left", "The same line with --resume goes on with it.") from None
        journal.close_session(begun.id, ended.how)
    output.line(
        f"On the record: {ended.recorded_seconds / 60:.0f} min, {len(ended.people)} people."
    )


def take_up(journal: Journal, language: Language, now: datetime) -> Begun[Group]:
    """The group that was left unfinished; UsageError where there is none that can go on."""
    left = journal.unfinished()
    start = journal.start_of(left.id) if left is not None else None
    if left is None or start is None or start.rules_version != version_of(rules_version()):
        raise UsageError("no group waits to go on", "Leave --resume out to begin with one.")
    group = group_of(start)
    for event in journal.events(left.id):
        group, _ = step(group, event)
    gap = max((now - datetime.fromisoformat(left.wall)).total_seconds(), 0.0)
    offset = group.at + gap
    first = Started(offset) if group.phase is Phase.NEW else Reopened(offset, gap)
    if group.phase is Phase.OVER:
        journal.close_session(left.id, group.how)
        raise UsageError("that group was at its end", "It is on the record.")
    return Begun(left.id, group, first, offset, language)


def _begin(journal: Journal, group: Group, setup: Setup, roster: Roster) -> Begun[Group]:
    """A new group session, on the record from now on."""
    left = journal.unfinished()
    if left is not None:
        journal.close_session(left.id, "closed")
        diagnostics.note("A session that was not finished is closed now.")
    start = Start(
        routine=setup.library.routine.name,
        minutes=round(setup.options.minutes or setup.library.routine.minutes),
        people=setup.options.people,
        library=setup.library,
        rules_version=version_of(rules_version()),
        program=version("coach"),
        wall=datetime.now().astimezone().isoformat(),
        voice=setup.voice.name,
        options=options_of(group.stations, roster.late),
        settled=setup.options,
    )
    return Begun(journal.begin(start), group, Started(0.0), 0.0, setup.language)
