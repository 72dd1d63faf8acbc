"""What a page shows: plain values made from what a session shows, the same for every page.

Nothing here is about anybody's age or reasons: a scene holds what the large view holds.
"""

import hashlib
from dataclasses import asdict, dataclass, replace

from coach.language import Language
from coach.model.answers import parse
from coach.model.messages import message
from coach.model.nature import Tendency
from coach.model.person import Person
from coach.session.kinds import Stand
from coach.session.view import View, Word

#: Words under which timers stand.
STANDING = frozenset({Word.PAUSED, Word.STOPPED})


@dataclass(frozen=True, slots=True)
class Button:
    """An answer that a page may offer as a button; of a person, the one that names them."""

    key: str
    label: str


@dataclass(frozen=True, slots=True)
class StationScene:
    """A station of a group: its name, who is there, who comes next."""

    name: str
    now: tuple[Button, ...]
    next: tuple[Button, ...]


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything that a page draws."""

    state: str
    """Changes whenever a press would mean something else; every press names it."""
    word: str
    title: str = ""
    cue: str = ""
    heard: str = ""
    did: str = ""
    turn: str = ""
    """Whose turn it is; '' where that does not matter."""
    next: str = ""
    counts_from: float | None = None
    counts_to: float | None = None
    stands_at: float | None = None
    now: float = 0.0
    ends_at: float | None = None
    stations: tuple[StationScene, ...] = ()
    away: tuple[Button, ...] = ()
    """Who of a group is not here; for its leader alone."""
    offers: tuple[Button, ...] = ()
    """The answers that count now, the expected one first; a raising one never stands first."""
    standing: bool = False
    over: bool = False
    asks: int = 0
    """Of several people, whom the open question is asked of; 0 for everybody or nobody."""

    def of(self, who: int) -> "Scene":
        """What somebody sees whose answers are their own: none to what another is asked."""
        return self if self.asks in (0, who) else replace(self, offers=())

    def public(self) -> "Scene":
        """What everybody hears and sees anyway: no answers, nor whom a leader speaks of."""
        turn = "" if self.stations else self.turn
        return replace(self, heard="", did="", turn=turn, away=(), offers=(), asks=0)

    def document(self) -> dict[str, object]:
        """As values that JSON holds."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Shown:
    """What a scene is made of."""

    view: View
    now: float
    """Second of the session's timeline."""
    people: tuple[Person, ...]
    stands: tuple[Stand, ...] = ()
    over: bool = False


def scene_of(shown: Shown | None, language: Language) -> Scene:
    """The scene of what is shown; that of an empty room where no session runs."""
    if shown is None:
        return Scene("none", "", cue=language.text(message("web-none")))
    words = language.naming(shown.people)
    view = shown.view
    return Scene(
        state=state_of(view, over=shown.over),
        word=words.text(message(f"word-{view.word.value}")),
        title=words.text(view.step),
        cue=words.text(view.cue),
        heard=words.text(view.heard) if view.heard is not None else "",
        did=words.text(view.did) if view.did is not None else "",
        turn=called(view.turn, words) if view.turn else "",
        next=called(view.next, words) if view.next else "",
        counts_from=view.counts_from,
        counts_to=view.counts_to,
        stands_at=view.stands_at,
        now=shown.now,
        ends_at=view.ends_at,
        stations=tuple(
            StationScene(
                stand.name,
                tuple(_person(who, words) for who in stand.now),
                tuple(_person(who, words) for who in stand.next),
            )
            for stand in shown.stands
        ),
        away=_away(shown, words),
        offers=tuple(Button(key, words.phrase(key)) for key in _ordered(view)),
        standing=view.word in STANDING,
        over=shown.over or view.word is Word.OVER,
        asks=view.asks,
    )


def state_of(view: View, *, over: bool = False) -> str:
    """A short name of what a press would be about."""
    about = repr((view.word, view.window, view.step, view.turn, over))
    return hashlib.sha256(about.encode()).hexdigest()[:12]


def called(who: int, words: Language) -> str:
    """A person as everybody calls them: by name, else by number."""
    return words.names.get(who) or str(who)


def _person(who: int, words: Language) -> Button:
    return Button(f"person:{who}", called(who, words))


def _away(shown: Shown, words: Language) -> tuple[Button, ...]:
    here = {who for stand in shown.stands for who in stand.now}
    led = bool(shown.stands) and not shown.over and shown.view.word is not Word.OVER
    everybody = (person.who for person in shown.people if led)
    return tuple(_person(who, words) for who in everybody if who not in here)


def _ordered(view: View) -> list[str]:
    return sorted(view.answers, key=lambda key: parse(key).tendency is Tendency.RAISING)
