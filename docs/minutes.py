"""What minutes buy by level, pace and company, and a newcomer's hour by words alone.

`docs/minutes.md` has both, from plans and a session of the real core.
"""

from functools import cache
from pathlib import Path

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.day import Library
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning import bought, levels, make_plan, open_day, timeline
from coach.planning.own_pace import library_of
from coach.planning.why import once_open
from coach.runtime.rehearsal import clock_time, rehearse
from coach.session.step import new_session
from docs.generate import table

MINUTES = (20, 30, 45, 60, 75, 90, 120)
#: Level -> months of climbing, and circuits from the comfortable one to the best.
LEVELS = {"new": (3, 2), "learning": (12, 2), "usual": (60, 2), "strong": (60, 3)}
#: Pace -> seconds of an easy and of a middle boulder.
PACES = {
    "quick, 25 and 50 s": (25.0, 50.0),
    "usual": (40.0, 80.0),
    "slow, 65 and 110 s": (65.0, 110.0),
}
WORDS = Path(__file__).parents[1] / "tests" / "cli" / "forty-five-minutes.txt"


@cache
def _hall() -> Library:
    return load_library("full", "tarnwick", ())


def _people(level: str, several: bool) -> tuple[Person, ...]:
    months, distance = LEVELS[level]
    names = [circuit.name for circuit in _hall().place.circuits]
    return tuple(
        Person(
            who,
            age=AgeBand.ADULT,
            comfortable=names[0],
            best=names[distance],
            edge="medium",
            months=months,
        )
        for who in range(1, 3 if several else 2)
    )


def cell(minutes: int, level: str, pace: str, *, several: bool) -> str:
    """The minute of the first hard try and how many there are; without any, the boulders."""
    people = _people(level, several)
    easy, middle = PACES[pace]
    library = library_of(_hall(), {"easy": easy, "middle": middle}, people)
    if minutes < library.routine.least_minutes:
        return "too few"
    change = make_plan(open_day(people, minutes, library), 0.0, library)
    one = bought.of(once_open(change.day, change.steps, library), 1)
    if one.first_try is None:
        return f"{one.easy} easy" + (f", {one.middle} middle" if one.middle else "")
    return f"{one.first_try}: {one.tries}"


def buys() -> str:
    """The table of levels, paces, alone and in a pair."""
    rows = [
        (
            *(level, pace, "pair" if several else "alone"),
            *(cell(minutes, level, pace, several=several) for minutes in MINUTES),
        )
        for level in LEVELS
        for pace in PACES
        for several in (False, True)
    ]
    return table(("level", "a boulder takes", "who", *(f"{n} min" for n in MINUTES)), rows)


def shared() -> str:
    """How much sooner the first hard try comes as mat and board share their time."""
    rows = []
    for minutes in (45, 60, 75, 90, 120):
        library = _hall()
        people = _people("usual", several=False)
        change = make_plan(open_day(people, minutes, library), 0.0, library)
        steps = once_open(change.day, change.steps, library)
        ahead = steps[: next(n for n, one in enumerate(steps) if one.kind.value == "try")]
        mat = [one for one in ahead if one.block.value in ("pulse", "mat")]
        rest = [one for one in ahead if one not in mat]
        one_by_one = timeline.seconds_of([*mat, *rest])
        rows.append(
            (
                f"{minutes}",
                clock_time(timeline.seconds_of(ahead)),
                clock_time(one_by_one),
                f"{one_by_one - timeline.seconds_of(ahead):.0f} s",
            )
        )
    return table(("minutes", "shared", "mat first, then the board", "sooner by"), rows)


def doses() -> str:
    """The bounds of the levels."""
    return (
        f"under {levels.NEW} months of climbing, under {levels.LEARNING}, more, and more with the "
        f"best boulder {levels.DISTANCE} circuits above the comfortable one"
    )


def newcomer() -> str:
    """Somebody who says the minutes, and whatever is asked, up to the first hard try."""
    library = _hall()
    language = load_language("en", library.movements, ())
    # a first session has no last time, and nobody has told an age or for how long they climb
    first = Options((Person(1),), same_place=False, ageless=(1,), level_asked="climbed")
    script = read_answers(WORDS, language.breath)
    done = rehearse(new_session(library, first), language, script)
    lines = []
    for entry in done.transcript.entries:
        if entry.kind in ("said", "heard"):
            text = f'"{entry.text}"' if entry.kind == "heard" else f"         {entry.text}"
            lines.append(f"{clock_time(entry.at)}  {text}")
        if entry.kind == "said" and entry.text.startswith("Try 1"):
            break
    return "\n".join(["```text", *lines, "```"])
