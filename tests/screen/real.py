"""Views of a real session of hard tries, in its own words, for the pictures of docs/tries.md."""

from collections.abc import Callable
from functools import cache

from coach.model.plan import StepKind
from coach.model.tries import Boulder
from coach.screen.face import Face
from coach.screen.shapes import BLOCKS, Shapes
from coach.session.looking import look
from coach.session.state import Phase
from coach.session.view import View
from tests.session.stage import Play

BOULDERS = ((1, Boulder("flint 4", "overhang", 9)), (2, Boulder("slate 2")))


def _pair() -> Play:
    return Play(
        people=2, names=("Ada", "Mira", ""), routine="rests", minutes=120.0, boulders=BOULDERS
    )


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


#: Each picture by what is played to come to it.
SCENES: dict[str, Callable[[Play], None]] = {
    "pair-try": _try,
    "pair-rest": _rest,
    "pair-note": _note,
    "pair-who": _who,
}


@cache
def played(name: str) -> tuple[Play, View, float]:
    """The session of a picture, its view, and the time on its timeline."""
    play = _pair()
    SCENES[name](play)
    return play, look(play.session), play.now


def face(name: str, shapes: Shapes = BLOCKS) -> Face:
    """The words of that session."""
    language = played(name)[0].language
    return Face(language.text, language.phrase, shapes)
