"""The options that several commands take, each written once, with what they mean.

They describe a day: who is here, how long, where, and how they feel. `start`, `plan` and
`rehearse` take the same ones.
"""

from collections.abc import Callable, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any, TypeVar

import click
from click.shell_completion import CompletionItem

from coach.errors import UsageError
from coach.model.person import AgeBand
from coach.setup.choices import MOST_PEOPLE, Choices

#: Context settings of a command that is also run without the overview around it.
HELP = {"help_option_names": ["-h", "--help"]}

Command = TypeVar("Command", bound=Callable[..., Any])


#: Ages below which a band holds.
_UNDER = ((16, AgeBand.UNDER_16), (18, AgeBand.UNDER_18), (120, AgeBand.ADULT))


class AgeBands(click.Choice[str]):
    """An age band; years are told theirs, and a mistyped band the nearest."""

    def __init__(self) -> None:
        super().__init__([band.value for band in AgeBand])

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The band; UsageError with the one that was meant."""
        told = str(value)
        if told in self.choices:
            return told
        from coach.files.names import advice

        bands = list(self.choices)
        if not told.isdecimal():
            raise UsageError(f"--age: there is no band {told!r}", advice(told, bands))
        band = next((name for years, name in _UNDER if int(told) < years), None)
        meant = f"Did you mean {band.value!r}? " if band is not None else ""
        raise UsageError(
            f"--age: takes a band, no years: {told}", f"{meant}Valid here: {', '.join(bands)}."
        )


def routine_names(ctx: click.Context, param: click.Parameter, typed: str) -> list[CompletionItem]:
    """Complete the name of a routine."""
    from coach.files.paths import paths
    from coach.files.routines import list_routines

    return _completed(list_routines(paths().user_dirs), typed)


def place_names(ctx: click.Context, param: click.Parameter, typed: str) -> list[CompletionItem]:
    """Complete the name of a place."""
    from coach.files.paths import paths
    from coach.files.places import list_places

    return _completed(list_places(paths().user_dirs), typed)


def voice_names(ctx: click.Context, param: click.Parameter, typed: str) -> list[CompletionItem]:
    """Complete the name of a voice."""
    from coach.files.paths import paths
    from coach.files.voices import list_voices

    return _completed(list_voices(paths().user_dirs), typed)


def _completed(names: Sequence[str], typed: str) -> list[CompletionItem]:
    return [CompletionItem(name) for name in names if name.startswith(typed)]


_DAY = (
    click.argument("routine", required=False, shell_complete=routine_names),
    click.option(
        "--minutes", type=click.IntRange(1, 300), metavar="N", help="How many minutes you have."
    ),
    click.option(
        "--until", metavar="HH:MM", help="When the session must be over, instead of --minutes."
    ),
    click.option(
        "--hurting",
        metavar="TEXT",
        help="What hurts or feels off: 'no', 'fingers', 'left shoulder stiff, skin sore'.",
    ),
    click.option(
        "--today",
        metavar="TEXT",
        help="Anything else about today, with commas: 'short of sleep', 'hard yesterday', "
        "'crowded', 'late', 'no partner', 'tries: 2' (hard tries at most), 'break: holiday' "
        "(illness, injury, birth).",
    ),
    click.option(
        "--same-place/--changed",
        "same_place",
        default=None,
        help="Same place and gear as last time, or not: then the edge check is not compared.",
    ),
    click.option("--place", metavar="NAME", shell_complete=place_names, help="Hall or crag."),
    click.option(
        "--people",
        type=click.IntRange(1, MOST_PEOPLE),
        metavar="N",
        help=f"How many climb together, up to {MOST_PEOPLE}; without it you and those of --with.",
    ),
    click.option(
        "--with",
        "companions",
        metavar="NAME",
        multiple=True,
        help="Who climbs with you, once for each; the coach calls them so.",
    ),
    click.option(
        "--boulder",
        metavar="TEXT",
        multiple=True,
        help="Your hard boulder by number or circuit, with its style and moves where you know "
        "them, its key move, the hand and your plan: 'flint 4, overhang, 9 moves, leap at 5, left "
        "hand, plan: heel first, then the far hold'; once "
        "for each person, or one for all.",
    ),
    click.option(
        "--warm-up",
        type=click.Choice(["usual", "long"]),
        help="'long' for about ten minutes more of it before the first hard try.",
    ),
    click.option(
        "--rest",
        metavar="M:SS",
        help="Your rest between hard tries, 2:00 to 6:00; else what you chose or took before.",
    ),
    click.option(
        "--ask",
        type=click.Choice(["results", "feeling", "nothing"]),
        help="What is asked after a hard try: how it went; also what you felt, before a change is "
        "offered; or nothing. What you say counts anyway.",
    ),
    click.option("--name", "called", metavar="NAME", help="What the coach calls you."),
    click.option(
        "--age",
        type=AgeBands(),
        metavar="BAND",
        multiple=True,
        help=f"Age band, remembered: {', '.join(AgeBand)}; once for each person. "
        "Unknown counts as under 18.",
    ),
    click.option(
        "--circuits",
        metavar="NAMES",
        help="The place's circuits from easiest to hardest, with commas; remembered. "
        "Grades are optional: 'pumice 3 to 4, slate 5 to 6A'.",
    ),
    click.option(
        "--climbing",
        type=click.IntRange(0, 900),
        metavar="MONTHS",
        help="For how many months you have climbed; remembered. Without it, the usual doses hold.",
    ),
    click.option(
        "--comfortable", metavar="CIRCUIT", help="The circuit that is comfortable; remembered."
    ),
    click.option(
        "--best",
        metavar="GRADE",
        help="Your best boulder so far, as a grade (V4, 6B+) or a circuit; remembered.",
    ),
    click.option("--edge", metavar="NAME", help="Usual edge for the edge check; remembered."),
    click.option(
        "--voice", metavar="NAME", shell_complete=voice_names, help="Voice profile; remembered."
    ),
    click.option(
        "--call",
        metavar="WORD",
        help="The word before an answer where none was asked for, as in 'coach, how long'; 'off' "
        "for none; remembered. Without it: 'coach' for two or more, none for one.",
    ),
)


def day_options(command: Command) -> Command:
    """Add the routine and the options of a day; the command takes them as `**day`."""
    for decorate in reversed(_DAY):
        command = decorate(command)
    return command


_RUN = (
    click.option(
        "--resume/--new",
        "resume",
        default=None,
        help="Go on with a session that was cut off, or don't; else a terminal asks.",
    ),
    click.option(
        "--screen/--plain",
        "screen",
        default=None,
        help="A full screen, or a line for each thing that happens; the screen where it can be.",
    ),
    click.option("--no-sound", is_flag=True, help="Say and hear nothing: text and keys."),
    click.option(
        "--to-file",
        type=click.Path(path_type=Path, dir_okay=False),
        metavar="WAV",
        help="Also write what would be heard to a sound file.",
    ),
    click.option(
        "--share",
        type=click.IntRange(0, 65535),
        metavar="PORT",
        help="Show the session in browsers: a link to watch, and one to answer or to lead.",
    ),
    click.option(
        "--share-host",
        default="127.0.0.1",
        show_default=True,
        metavar="ADDRESS",
        help="Address to share at: 0.0.0.0 for phones nearby; the default is this machine only.",
    ),
)


def run_options(command: Command) -> Command:
    """Add what a session that really runs may be told.

    resume, screen, no_sound, to_file, share, share_host.
    """
    for decorate in reversed(_RUN):
        command = decorate(command)
    return command


def few_day_options(*names: str) -> Callable[[click.Command], click.Command]:
    """Add only some of the options of a day, by the names of their parameters."""
    every = day_options(click.Command("day")).params

    def add(command: click.Command) -> click.Command:
        command.params += [one for one in reversed(every) if one.name in names]
        return command

    return add


def choices(day: dict[str, Any]) -> Choices:
    """The options of a day as one value."""
    known = {field.name for field in fields(Choices)}
    return Choices(**{name: value for name, value in day.items() if name in known})
