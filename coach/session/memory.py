"""What a session remembers of hard tries, boulders, spoken notes and films: values of its state."""

from dataclasses import dataclass

from coach.model.tries import Boulder, Went


@dataclass(frozen=True, slots=True)
class Recording:
    """A note that is being kept."""

    name: str
    who: int
    boulder: str
    overdue: float
    """When it counts as lost even if nothing reports its end."""


@dataclass(frozen=True, slots=True)
class Tries:
    """The hard tries of today, and what is known of the boulders."""

    counts: tuple[tuple[int, int], ...] = ()
    """How many tries each person had: who, tries."""
    last: int = 0
    """Who had the last try."""
    on: tuple[tuple[int, Boulder], ...] = ()
    """The boulder that each person is on, where one was named or changed: who, boulder."""
    known: tuple[Boulder, ...] = ()
    """Style and moves of boulders with a name, as last told by anybody."""
    went: tuple[Went, ...] = ()
    """How tries went, today's last."""
    untold: tuple[tuple[int, str, float, int], ...] = ()
    """Tries whose result was not told: who, boulder, seconds, number of the try."""
    made_with: tuple[tuple[int, int, str], ...] = ()
    """The change that each try was made with that is not on the record yet: who, number, name."""
    asked: tuple[tuple[int, int], ...] = ()
    """How many questions about tries each person got: who, questions."""
    tops: int = 0
    agreed: tuple[tuple[int, str, tuple[str, ...]], ...] = ()
    """The changes that get a try on a boulder, in order: who, boulder, their names."""

    def agreed_on(self, who: int, boulder: str) -> tuple[str, ...]:
        """The changes that a person agreed on for a boulder, in order."""
        return next((names for *key, names in self.agreed if key == [who, boulder]), ())


@dataclass(frozen=True, slots=True)
class Notes:
    """Spoken notes and filmed tries."""

    recording: Recording | None = None
    """The note that is being kept: the only time that sound is."""
    waiting: tuple[tuple[int, str, str], ...] = ()
    """Notes to be played before the next try on their boulder: who, boulder, name."""
    begun: int = 0
    """How many notes were begun today."""
    filmed: tuple[tuple[int, str, int, str], ...] = ()
    """Tries that were filmed: who, boulder, number, clock time."""
    films: tuple[tuple[int, str], ...] = ()
    """Films of the last time that are still to be asked about: who, boulder."""
