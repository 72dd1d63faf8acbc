"""What the command line may tell about the day."""

from dataclasses import dataclass

#: How many may climb together.
MOST_PEOPLE = 3


@dataclass(frozen=True, slots=True)
class Choices:
    """What the command line told about the day; None where it told nothing."""

    routine: str | None = None
    minutes: int | None = None
    open_end: bool = False
    """The minutes are only the most that are looked after, and no end that anybody told."""
    until: str | None = None
    hurting: str | None = None
    today: str | None = None
    same_place: bool | None = None
    place: str | None = None
    people: int | None = None
    called: str | None = None
    companions: tuple[str, ...] = ()
    boulder: tuple[str, ...] = ()
    age: tuple[str, ...] = ()
    circuits: str | None = None
    climbing: int | None = None
    """Months of climbing."""
    comfortable: str | None = None
    best: str | None = None
    edge: str | None = None
    voice: str | None = None
    call: str | None = None
    warm_up: str | None = None
    """`long` for a longer warm-up."""
    rest: str | None = None
    """The rest between hard tries, 'M:SS' or minutes."""
    ask: str | None = None
    """What is asked after hard tries: 'results' or 'nothing'."""
