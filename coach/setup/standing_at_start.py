"""What stands for people from earlier days, into what a session of any kind begins with.

`coach start`, `rest`, `plan` and `group` all go through here: a hurt, a sign or an illness that
nobody ended loads nothing, whatever the kind of session and the spelling of a name.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from coach.journal import Journal
from coach.journal.body_statements import Before, told_by
from coach.journal.entries import recent
from coach.journal.persons import person_of
from coach.journal.store import SessionId
from coach.journal.told_ages import age_of
from coach.model.body import Feel, Part
from coach.model.facts import TAKEN_BACK, Presence
from coach.model.messages import Message, message
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning import break_limits
from coach.record.people import FEW, OWN, Someone
from coach.record.standing import ILL, JournalPlace, Stands, by_subject, eased, standing

#: Days for which a soreness is told at the start (our choice).
SORE_DAYS = 14


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands for one person of a session, and what has ended and stays careful today."""

    who: int
    someone: Someone
    stands: tuple[Stands, ...]
    """A hurt or a sign, the earliest first."""
    sore: tuple[Stands, ...]
    """What was sore and has not been told to feel better; the check-in asks how it is today."""
    eased: tuple[str, ...]
    """Parts, and signs without one, that stay careful though they have ended."""


def standing_of(
    options: Options, journal: Journal, today: date, *, group: bool = False
) -> Iterator[Standing]:
    """What stands for each person. In a group somebody is known again by name alone."""
    several = FEW + 1 if group else len(options.people)
    for person in options.people:
        someone = _known(journal, person, several)
        if someone is not None:
            yield of_someone(journal, someone, today, person.who)


def _known(journal: Journal, person: Person, several: int) -> Someone | None:
    if several > FEW and not person.name.strip():
        return None
    return person_of(journal, person, several)


def of_someone(journal: Journal, someone: Someone, today: date, who: int = 1) -> Standing:
    """What stands for a person of the journal."""
    told, before = told_by(journal, someone), Before(journal)
    about = by_subject(told)
    found = standing(told, before, about)
    every = [one for one in found if one.sign or one.feel is Feel.HURTING]
    # of a part that hurts and has signs the last sign counts: it ends with all of it
    named = {one.what: one for one in sorted(every, key=lambda one: bool(one.sign))}
    sore = tuple(one for one in found if one.feel is Feel.SORE and one.what not in named)
    stays = eased(told, before, _last(journal, someone), today, about)
    return Standing(who, someone, tuple(named.values()), sore, stays)


def _last(journal: Journal, someone: Someone) -> JournalPlace | None:
    """Where a person's last session began in which anything was done."""
    done = [one for one in recent(journal, someone) if one.digest.seconds > 0]
    return JournalPlace(done[-1].id, 0, done[-1].begun.timestamp()) if done else None


#: The latest sessions among which the last group is looked for.
LATEST = 30


def last_group_hurt(journal: Journal) -> bool:
    """Whether somebody was hurt in the last group whom no name will call to mind again.

    It ended by it, or went on and it was never said who, or they had a number alone.
    """
    for row in reversed(journal.latest(LATEST)):
        start = journal.start_of(row.id)
        if start.kind == "group":
            named = {person.who for person in start.people if person.name.strip()}
            return row.how == "hurt" or not named.issuperset(_hurt_in(journal, row.id))
    return False


def _hurt_in(journal: Journal, session: SessionId) -> set[int]:
    """Who was hurt in a group's session, 0 for whoever it was; not if that was taken back."""
    found: set[int] = set()
    for fact in journal.facts(session, Presence):
        assert isinstance(fact, Presence)
        if fact.status == "hurt":
            found.add(fact.who)
        elif fact.who == 0 or fact.by == TAKEN_BACK:
            found.discard(fact.who)
    return found


def with_ages(options: Options, journal: Journal, *, group: bool = False) -> Options:
    """The options with the ages that people told before; a remembered one is its owner's alone."""
    several = FEW + 1 if group else len(options.people)
    people, ageless = [], set(options.ageless)
    for person in options.people:
        someone = _known(journal, person, several)
        theirs = person.who in options.usual_age and (someone is None or someone.id == OWN)
        if someone is None or theirs or not _untold(person, options):
            people.append(person)
            continue
        age = age_of(journal, someone)
        people.append(replace(person, age=age))
        if age is not AgeBand.UNKNOWN:
            ageless.discard(person.who)
        elif person.who in options.usual_age:
            ageless.add(person.who)
    return replace(options, people=tuple(people), ageless=tuple(sorted(ageless)))


def _untold(person: Person, options: Options) -> bool:
    """Whether nobody typed the age of a person for this session."""
    return person.age is AgeBand.UNKNOWN or person.who in options.usual_age


def with_standing(
    options: Options, journal: Journal, today: date, *, group: bool = False
) -> Options:
    """The options with what stands; what a group says aloud names nobody."""
    for one in standing_of(options, journal, today, group=group):
        options = _with(options, one, group)
        if not group and (sore := list(_sore_lately(options, one, today))):
            told = (one.who, message("sore-before", part=_listed(sore)))
            options = replace(options, stands=(*options.stands, told))
    return options


def _sore_lately(options: Options, one: Standing, today: date) -> Iterator[Part]:
    """What was sore within the last two weeks and nothing else of the start tells of."""
    again = [dict(told.values)["part"] for who, told in options.again if who == one.who]
    now = [part for who, part, _ in options.hurting or () if who == one.who]
    for item in one.sore:
        old = (today - item.day).days > SORE_DAYS
        if item.part is not None and not old and item.part not in (*again, *now):
            yield item.part


def _with(options: Options, one: Standing, group: bool) -> Options:
    who, signs = one.who, [item for item in one.stands if item.sign]
    hurt = [item.part for item in one.stands if not item.sign and item.part is not None]
    parts = [item.part for item in signs if item.part is not None]
    names = {item.sign for item in signs if item.part is None}
    tags = [f"{break_limits.WELL}{_part_of(what)}" for what in one.eased]
    tags += [tag for tag, there in _tags(names, group) if there]
    said = [message("still-hurt", part=_listed(hurt))] if hurt else []
    said += [message("uncleared-sign", part=_listed(parts))] if parts else []
    said += _said_of(names)
    return replace(
        options,
        signs=(*options.signs, *((who, part) for part in parts)),
        complaints=(*options.complaints, *((who, f"hurt:{part}") for part in hurt)),
        told=tuple(dict.fromkeys((*options.told, *((who, tag) for tag in tags)))),
        away=tuple(number for number in options.away if number != who or not names),
        stands=(*options.stands, *((who, told) for told in said)),
    )


def _tags(names: set[str], group: bool) -> Iterator[tuple[str, bool]]:
    """What is told of the day by signs without a part; in a group nobody is asked for symptoms."""
    known = {break_limits.BIRTH_SIGN, *ILL}
    yield break_limits.ILL, group and bool(names & {"fever", break_limits.ILL_SIGN})
    yield break_limits.BIRTH, break_limits.BIRTH_SIGN in names
    yield break_limits.ILLNESS, not names.isdisjoint(ILL)
    yield break_limits.SIGN_UNTOLD, bool(names - known)


def _said_of(names: set[str]) -> Iterator[Message]:
    """What is said of them; where symptoms are still to be asked about, the question says it."""
    if break_limits.BIRTH_SIGN in names:
        yield message("back-after-birth")
    if break_limits.ILLNESS_SIGN in names:
        yield message("back-after-illness")
    if names - {break_limits.BIRTH_SIGN, *ILL}:
        yield message("sign-untold")


def _part_of(what: str) -> str:
    return what if what in list(Part) else break_limits.ALL


def _listed(parts: list[Part]) -> str:
    return " ".join(dict.fromkeys(part.value for part in parts))
