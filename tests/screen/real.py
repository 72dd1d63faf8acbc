"""Views of sessions that the real core ran, in its own words, for the pictures of the documents.

Nobody did any of it: the climbers and their hall are invented, and what they say is chosen so that
a picture shows something. All that stands in a picture is the program's own.
"""

from collections.abc import Callable
from functools import cache

from coach.group.display import look as look_at_group
from coach.group.display import stands
from coach.group.gathering import Act, Group
from coach.group.kind import GROUP
from coach.model.plan import StepKind
from coach.model.tries import Boulder
from coach.runtime.rehearsal import rehearse
from coach.runtime.watching import Picture, lines
from coach.screen.face import Face
from coach.screen.large import draw_large
from coach.screen.rows import Rows
from coach.screen.shapes import BLOCKS, Shapes
from coach.session.looking import look
from coach.session.state import Phase
from coach.session.view import View
from tests.group import runs
from tests.session.stage import Play

BOULDERS = ((1, Boulder("flint 4", "overhang", 9)), (2, Boulder("slate 2")))


def _alone() -> Play:
    return Play(routine="full", place="tarnwick", minutes=90.0, boulders=BOULDERS[1:])


def _pair() -> Play:
    return Play(
        people=2, names=("Ada", "Mira", ""), routine="rests", minutes=120.0, boulders=BOULDERS
    )


def _stay(play: Play) -> None:
    play.until(Phase.WORK, StepKind.STAY)
    play.run(8.0)


def _feel(play: Play) -> None:
    play.until(Phase.ASK, question="gate-fingers")


def _sore(play: Play) -> None:
    _feel(play)
    play.say("feel:sore")
    play.until(Phase.ASK, question="tissue")
    play.say("tissue:muscle")
    play.until(Phase.REST)
    play.run(5.0)


def _climb(play: Play) -> None:
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(83.0)


def _go(play: Play) -> None:
    play.until(Phase.ASK, question="go-ahead")


def _try(play: Play) -> None:
    play.until(Phase.WORK, StepKind.TRY)
    play.run(12.0)


def _rest(play: Play) -> None:
    for result in ("move:5", "ended-top"):
        play.until(Phase.ASK, question="try-result")
        play.say(result)
    play.until(Phase.REST)
    play.run(5.0)


def _note(play: Play) -> None:
    _rest(play)
    play.say("keep")
    play.run(2.0)


def _who(play: Play) -> None:
    _rest(play)
    play.say("feel:fingers:sore")
    play.until(Phase.ASK, question="who")


#: Each picture by who is there and by what is played to come to it.
SCENES: dict[str, tuple[Callable[[], Play], Callable[[Play], None]]] = {
    "alone-stay": (_alone, _stay),
    "alone-feel": (_alone, _feel),
    "alone-sore": (_alone, _sore),
    "alone-climb": (_alone, _climb),
    "alone-go": (_alone, _go),
    "alone-try": (_alone, _try),
    "pair-try": (_pair, _try),
    "pair-rest": (_pair, _rest),
    "pair-note": (_pair, _note),
    "pair-who": (_pair, _who),
}


@cache
def played(name: str) -> tuple[Play, View, float]:
    """The session of a picture, its view, and the time on its timeline."""
    begin, on = SCENES[name]
    play = begin()
    on(play)
    return play, look(play.session), play.now


def face(name: str, shapes: Shapes = BLOCKS) -> Face:
    """The words of that session."""
    language = played(name)[0].language
    return Face(language.text, language.phrase, shapes)


@cache
def group() -> Picture:
    """A group of twelve at the hall's boards and wall, a quarter of a minute into its rota."""
    seen: list[Group] = []

    def look_on(now: Group, event: object, effects: object) -> None:
        if now.act is Act.ROTA and now.at - now.rota_at >= 15.0:
            seen.append(now)

    rehearse(runs.group(), runs.language(), (), also=look_on, kind=GROUP)
    first = seen[0]
    return Picture(look_at_group(first), first.at, first.options.people, stands(first))


def large(columns: int, rows: int) -> Rows:
    """The large view of that group, while the time stands."""
    picture, language = group(), runs.language()
    face = Face(language.text, language.phrase, BLOCKS)
    rows_of = lines(picture, language.naming(picture.people).names)
    return draw_large(picture.view, rows_of, picture.now, columns, rows, face)
