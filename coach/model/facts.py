"""Facts for the record: what history, trends and exports read. Written once, never recomputed."""

from dataclasses import dataclass

from coach.model.body import CapReason, Feel, Part, Tissue
from coach.model.person import AgeBand


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that happened to one person (0: to everybody), at a time of the session."""

    at: float
    who: int


@dataclass(frozen=True, slots=True)
class Planned(Fact):
    """A plan came into force: how long it is and how it is made up."""

    seconds: float
    hard: int
    """Hard tries that it holds."""
    because: str
    """Rule or answer that made it; 'check-in' for the first."""


@dataclass(frozen=True, slots=True)
class StepEnded(Fact):
    """A step ended, was skipped, or was left out."""

    step: str
    movement: str
    kind: str
    block: str
    amount: float
    """What was really done, in the unit of the kind."""
    seconds: float
    """How long it really took, pauses not counted."""
    planned: float
    outcome: str
    """'done', 'skipped', 'cut', 'left-out', or 'untold': nobody said that it was over."""
    side: str = ""


@dataclass(frozen=True, slots=True)
class Rested(Fact):
    """A rest ended."""

    seconds: float
    suggested: float
    after: str


#: `Felt.gate` where a leader took back what was told: it was about somebody else.
TAKEN_BACK = "undo"


@dataclass(frozen=True, slots=True)
class Felt(Fact):
    """A person told how a part feels."""

    part: Part
    feel: Feel
    tissue: Tissue | None = None
    gate: str = ""
    """The question it answered; '' when told unasked."""


@dataclass(frozen=True, slots=True)
class GateAnswered(Fact):
    """A gate was answered, or stayed shut because nobody did."""

    question: str
    answer: str
    """Answer key; 'silence' for none."""


@dataclass(frozen=True, slots=True)
class EdgeChecked(Fact):
    """The edge check: same edge, grip, feet and posture, or it is not comparable."""

    edge: str
    grip: str
    feet: str
    feel: Feel
    reading: float | None = None
    """Scale's reading in kilograms, where one was told."""


@dataclass(frozen=True, slots=True)
class ScaleRead(Fact):
    """A scale's reading of the edge check before it, told once how it felt was; the last counts."""

    reading: float
    """In kilograms."""


@dataclass(frozen=True, slots=True)
class Tried(Fact):
    """A hard try: how it ended."""

    boulder: str
    number: int
    """Which try of this person today, from 1."""
    result: str
    """'topped', 'start', 'middle', 'top', 'below' (not topped, no more told), or 'untold'."""
    seconds: float
    """Seconds between off the floor and down; 0 where not timed."""
    move: int = 0
    """The move it ended at, 0 where not told."""


@dataclass(frozen=True, slots=True)
class Retold(Fact):
    """How the try before it of this number ended, told anew: it takes the place of what stood."""

    boulder: str
    number: int
    result: str
    """As in `Tried`."""
    move: int = 0


@dataclass(frozen=True, slots=True)
class BoulderNamed(Fact):
    """A person named the boulder that they try: what happens on it is remembered across days."""

    boulder: str
    style: str = ""
    moves: int = 0
    about: str = ""
    """Its key move; '' for untold."""
    key_at: int = 0
    """Which move that is, 0 for untold."""
    hand: str = ""
    """The hand that does it; '' for untold."""


@dataclass(frozen=True, slots=True)
class Varied(Fact):
    """One thing was different in a try: what, and what it gave beside the best before."""

    boulder: str
    number: int
    """Which try of this person today, from 1."""
    variation: str
    gave: str
    """'better', 'no better', or "can't tell"."""


@dataclass(frozen=True, slots=True)
class RestChosen(Fact):
    """A person said how long they rest between hard tries."""

    seconds: float


@dataclass(frozen=True, slots=True)
class CauseTold(Fact):
    """Why the last try on a boulder ended, and what was offered for the next, if anything."""

    boulder: str
    cause: str
    offer: str = ""


@dataclass(frozen=True, slots=True)
class EffortFelt(Fact):
    """How hard a person's last try on a boulder was beside the one before."""

    boulder: str
    felt: str
    """'harder', 'same' or 'easier'."""


@dataclass(frozen=True, slots=True)
class WentForIt(Fact):
    """Whether a person went for the last try on a boulder, or held back."""

    boulder: str
    gone: bool


@dataclass(frozen=True, slots=True)
class NoteMade(Fact):
    """A person kept a spoken note about a boulder: a file of its own, the only sound that is."""

    boulder: str
    name: str
    """Name of the file in the folder of notes, without its end."""
    seconds: float


@dataclass(frozen=True, slots=True)
class Filmed(Fact):
    """A person had the last try filmed."""

    boulder: str
    number: int
    """Which try of theirs, from 1."""
    clock: str
    """Time of day at which it was said, HH:MM; '' where the session knows none."""


@dataclass(frozen=True, slots=True)
class Won(Fact):
    """What a try brought that none before it had."""

    boulder: str
    what: str
    """'topped', 'further', 'higher', 'closer', 'move-done' or 'went-for-it'."""
    moves: int = 0
    """By how many moves it went further, where the moves are known."""


@dataclass(frozen=True, slots=True)
class FocusChosen(Fact):
    """The focus with which easy boulders begin."""

    focus: str
    """Name of its movement."""
    told: bool
    """Whether the person chose it; else it is the first of those that were offered."""


@dataclass(frozen=True, slots=True)
class Climbed(Fact):
    """Boulders climbed in a tier."""

    tier: str
    boulders: int
    seconds: float


@dataclass(frozen=True, slots=True)
class CapSet(Fact):
    """A cap was set."""

    part: Part
    most: int
    reason: CapReason
    rule: str


@dataclass(frozen=True, slots=True)
class CapLifted(Fact):
    """A cap ended, by its own answer."""

    part: Part
    reason: CapReason
    by: str


@dataclass(frozen=True, slots=True)
class RuleFired(Fact):
    """A planning rule fired."""

    rule: str
    sure: str


@dataclass(frozen=True, slots=True)
class SignTold(Fact):
    """A warning sign was told."""

    sign: str
    part: Part | None


@dataclass(frozen=True, slots=True)
class AgeTold(Fact):
    """A person told their age band; it counts from then on, until another is told."""

    band: AgeBand


@dataclass(frozen=True, slots=True)
class ClimbedTold(Fact):
    """For how long a person has climbed, when it was asked; it is not asked again."""

    months: int | None
    """At least so many; None where they left it untold."""


@dataclass(frozen=True, slots=True)
class ComfortableTold(Fact):
    """The circuit that is comfortable at this place, when it was asked; it is not asked again."""

    circuit: str
    """'' where they left it untold."""


@dataclass(frozen=True, slots=True)
class Decided(Fact):
    """The go-ahead: go or not today, and whether the landing was looked at."""

    go: bool


@dataclass(frozen=True, slots=True)
class Omitted(Fact):
    """A movement that somebody of a group left out, or did in another form, and why."""

    movement: str
    instead: str
    """The form that was done; '' for none."""
    why: str
    """The rule, such as 'under-16'; 'offered' where the harder form was theirs to choose."""


@dataclass(frozen=True, slots=True)
class Presence(Fact):
    """Somebody of a group came, went or was taken back in.

    `who` is 0 where somebody is hurt and nobody has said who; 'here' of 0 says that it is known.
    """

    status: str
    """'here', 'late', 'out' or 'hurt'."""
    by: str
    """Answer key that said so; 'roster' at the start."""


@dataclass(frozen=True, slots=True)
class Finished(Fact):
    """The session ended."""

    seconds: float
    """Elapsed less paused."""
    effort: int | None
    """Session effort 0 to 10, where told."""
    how: str
    """'done', 'ended', 'hurt', 'closed'."""
