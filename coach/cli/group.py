"""`coach group`: a leader warms up a group, aloud, with the hands free."""

import sys
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from coach.cli import diagnostics, output
from coach.cli.arguments import place_names, routine_names, run_options, voice_names
from coach.cli.kept_group import roster_path
from coach.cli.sheet import sheet_of
from coach.cli.start import screen_wanted
from coach.errors import JournalError, UsageError
from coach.files.answers_file import Scripted, read_answers
from coach.files.library import load_library
from coach.files.paths import Paths, paths
from coach.files.roster import MOST, Roster, doubtful, load_roster, numbered
from coach.files.settings import load_settings
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.group.arrangement import by_number_of, options_of
from coach.group.gathering import Group
from coach.group.group_step import new_group
from coach.group.kind import GROUP
from coach.group.phrases import ADDRESSED, heard_from
from coach.group.programme import more_time
from coach.journal import Journal
from coach.language import Language
from coach.model.person import Person
from coach.model.place import Board
from coach.model.start import Options, Start
from coach.planning.stations import Station
from coach.runtime.rehearsal import clock_time, rehearse
from coach.runtime.running import RunOptions, run_session
from coach.runtime.sound import Wanted
from coach.setup.call_word import call_word
from coach.setup.settling import USUAL_VOICE, Setup, place_called
from coach.setup.standing_at_start import (
    last_group_hurt,
    standing_of,
    with_ages,
    with_standing,
)

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
    help="Who is here: a TOML or CSV file, or the name of one kept among your own files.",
)
@click.option("--people", type=click.IntRange(1, MOST), metavar="N", help="How many, by number.")
@click.option(
    "--minutes", type=click.IntRange(1, 300), metavar="N", help="How many minutes you have."
)
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
    help=f"How many climb at once where the roster names no wall; {WALL} without it.",
)
@click.option("--place", metavar="NAME", shell_complete=place_names, help="Hall or crag.")
@click.option("--voice", metavar="NAME", shell_complete=voice_names, help="Voice profile.")
@click.option(
    "--call",
    metavar="WORD",
    help="The word before an answer at any other time, as in 'coach, number five'; 'off' for none.",
)
@click.option("--roll-call", is_flag=True, help="Ask the leader first who is not here yet.")
@click.option("--no-cool-down", is_flag=True, help="End without it: the session goes on.")
@click.option("--sheet", is_flag=True, help="Print the leader's sheet, ages and reasons too.")
@click.option(
    "--answers",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help="Run in seconds, with answers from a file, 'MM:SS words' a line; nothing is kept.",
)
@run_options
def command(sheet: bool, answers: Path | None, **told: Any) -> None:
    """Warm up a group with its leader.

    Everybody stays within their own limits. The easier form is called out for all, and a harder
    one to whoever agreed on it with you; names, ages and reasons are only on the sheet.
    """
    known = paths()
    if told["resume"]:
        _run(None, known, told)
        return
    setup, stations, roster = _settle(told, known)
    ear = not (sheet or answers is not None or told["no_sound"])
    by_number = _by_number(setup, roster.people, known if ear else None)
    wanted = {"roll": told["roll_call"], "cool_down": not told["no_cool_down"]}
    wanted |= {"by_number": by_number}
    setup = replace(
        setup,
        language=_naming(setup.language, roster.people, by_number),
        arrangement=options_of(stations, roster.late, **wanted),
    )
    group = new_group(setup.library, setup.options, stations, roster.late, **wanted)
    if group.programme.mat_only and stations:
        told_more = more_time(setup.options, setup.library, stations, wanted["cool_down"])
        diagnostics.note(f"There is time for the mat alone. {told_more}")
    if sheet:
        output.lines(sheet_of(group, setup.language, roster.notes))
    elif answers is not None:
        _rehearse(group, setup.language, answers)
    else:
        _run(setup, known, told)


def _settle(told: dict[str, Any], known: Paths) -> tuple[Setup, tuple[Station, ...], Roster]:
    """Everything that was told, read and checked."""
    remembered = load_settings(known.settings)
    place = place_called(told["place"] or remembered.place, known.user_dirs)
    library = load_library(told["routine"] or USUAL, place, known.user_dirs)
    profile = load_voice(told["voice"] or remembered.voice or USUAL_VOICE, known.user_dirs)
    language = load_language(profile.language, library.movements, known.user_dirs)
    if told["roster"] is not None:
        roster = load_roster(roster_path(told["roster"], known), library.place)
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
    options = Options(roster.people, minutes, roster.hurting, complaints=roster.complaints)
    roster = _asking(roster)
    options, roster = _standing(options, roster, known)
    address = call_word(told["call"] or remembered.call, roster.people, language)
    setup = Setup(
        library,
        options,
        profile,
        language,
        remembered,
        address=address,
        addressed=ADDRESSED,
        kind="group",
    )
    return setup, stations, roster


def _asking(roster: Roster) -> Roster:
    """The roster with what is to be asked about limits among its notes; the leader reads it now."""
    notes = dict(roster.notes)
    for who, text in roster.asked:
        person = next(one for one in roster.people if one.who == who)
        diagnostics.note(f"{person.name or f'Number {who}'}: {text}")
        notes[who] = " ".join(filter(None, (notes.get(who, ""), text)))
    return replace(roster, notes=tuple(notes.items()))


def _standing(options: Options, roster: Roster, known: Paths) -> tuple[Options, Roster]:
    """The options with what stands for people by name, and the roster with it for the sheet."""
    if not known.journal.exists():
        return options, roster
    today, notes = datetime.now().astimezone().date(), dict(roster.notes)
    try:
        with Journal.open(known.journal, write=False) as journal:
            options = with_ages(options, journal, group=True)
            found = list(standing_of(options, journal, today, group=True))
            options = with_standing(options, journal, today, group=True)
            hurt = last_group_hurt(journal)
    except JournalError as error:
        diagnostics.note(f"{error}\nNo earlier day counts: ask everybody what hurts.")
        return options, roster
    if hurt:
        # it stands for none of them where nobody said who
        diagnostics.note("In the last group somebody was hurt: ask how they are.")
    for one in found:
        told = (f"{item.told}. {item.until}" for item in (*one.stands, *one.sore))
        notes[one.who] = " ".join(filter(None, (notes.get(one.who, ""), *told)))
    spared = sum(bool(one.stands) for one in found)
    if spared:
        diagnostics.note(f"Spared for what earlier days left: {spared}. --sheet tells whom.")
    return options, replace(roster, notes=tuple((who, text) for who, text in notes.items() if text))


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


def _by_number(setup: Setup, people: Sequence[Person], known: Paths | None) -> tuple[int, ...]:
    """Who is called by number, whatever their name, each told with the reason.

    By spelling; and by sound, with the voices and the ear that are here, where paths are given.
    """
    why = doubtful(people, setup.language)
    if known is not None:
        from coach.runtime.name_voices import missed

        left = [person for person in people if person.name and person.who not in why]
        heard = heard_from(setup.language, {one.who: normal_name(one.name) for one in left})
        tried = missed(replace(setup, language=heard), left, known, diagnostics.note)
        why |= dict.fromkeys(tried, "the ear can't tell it")
    for person in people:
        if person.who in why:
            diagnostics.note(
                f"{person.name!r}: {why[person.who]}. Say 'number {person.who}' instead."
            )
    return tuple(sorted(why))


def _naming(language: Language, people: Sequence[Person], by_number: Sequence[int]) -> Language:
    """The pack that calls these people by name, and by number whose name the ear can't know."""
    named = [person for person in people if person.who not in by_number]
    names = {person.who: normal_name(person.name) for person in named if person.name}
    return heard_from(language, names).naming(named)


def normal_name(name: str) -> str:
    """A name as the ear is told it."""
    return " ".join(name.lower().split())


def _rehearse(group: Group, language: Language, answers: Path) -> None:
    """Run in seconds, and print what happened."""
    source = Path("/dev/stdin") if str(answers) == "-" else answers
    script: tuple[Scripted, ...] = read_answers(source, language.breath, language.said)
    done = rehearse(group, language, script, kind=GROUP)
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


def _run(setup: Setup | None, known: Paths, told: dict[str, Any]) -> None:
    """Run the group to the end, or to Ctrl-C; without a setup, the one that goes on."""
    wanted = Wanted(not told["no_sound"], told["to_file"], told["share"], told["share_host"])
    asked = RunOptions(told["resume"], screen_wanted(told["screen"]), wanted)

    def settled(start: Start | None) -> Setup:
        if start is None:
            assert setup is not None, "only what goes on needs none"
            return setup
        return _going_on(start, told, known)

    output.line(run_session(("group",), settled, asked, known, diagnostics.note))


def _going_on(start: Start, told: dict[str, Any], known: Paths) -> Setup:
    """What a group goes on with: everything is in its start."""
    remembered = load_settings(known.settings)
    profile = load_voice(told["voice"] or start.voice, known.user_dirs)
    language = load_language(profile.language, start.library.movements, known.user_dirs)
    address = call_word(told["call"] or remembered.call, start.people, language)
    return Setup(
        start.library,
        start.settled,
        profile,
        _naming(language, start.people, by_number_of(start)),
        remembered,
        address=address,
        addressed=ADDRESSED,
        kind="group",
    )
