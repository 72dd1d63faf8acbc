"""How a day begins: what stands, the place, the age, the minutes.

These rules fire once for each person when the plan is made, after the budget has chosen.
"""

from coach.model.body import CapReason, Part
from coach.model.person import AgeBand
from coach.model.plan import Step, StepKind
from coach.model.routine import BlockKind, Reach
from coach.planning import break_limits, checks, contents, fitting, target
from coach.planning.day_tags import TRIES
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PLAN, PlanDraft, Situation


def _opening(s: Situation) -> bool:
    return s.question == PLAN


def _nothing(s: Situation, draft: PlanDraft) -> None:
    """The plan has been made with it in mind."""


def _under_16(s: Situation) -> bool:
    return _opening(s) and s.person.age is AgeBand.UNDER_16


def _under_18(s: Situation) -> bool:
    return _opening(s) and s.person.age is AgeBand.UNDER_18


def _age_untold(s: Situation) -> bool:
    return _opening(s) and s.person.age is AgeBand.UNKNOWN


#: Caps of all day that have rules of their own.
_OTHER = frozenset({"hurt", *break_limits.EVERYWHERE})


def _capped(s: Situation, *, hurt: bool) -> list[Part]:
    """The parts that are spared all day by what was hurt, or by signs."""
    mine = [c for c in s.day.caps if c.who == s.who and c.reason is CapReason.SIGN]
    return [c.part for c in mine if (c.rule == "hurt" if hurt else c.rule not in _OTHER)]


def _uncleared(s: Situation) -> bool:
    return _opening(s) and bool(_capped(s, hurt=False))


def _spare_it(s: Situation, draft: PlanDraft) -> None:
    draft.part = _capped(s, hurt=False)[-1]
    draft.no_tries()


def _still_hurt(s: Situation) -> bool:
    return _opening(s) and bool(_capped(s, hurt=True))


def _spare_hurt(s: Situation, draft: PlanDraft) -> None:
    draft.part = _capped(s, hurt=True)[-1]
    draft.no_tries()


def _hard_yesterday(s: Situation) -> bool:
    return _opening(s) and s.told("hard-yesterday")


def _short_of_sleep(s: Situation) -> bool:
    return _opening(s) and (s.told("short-of-sleep") or s.told("tired"))


def _weary(s: Situation, draft: PlanDraft) -> None:
    """Less of all that loads, and nothing in its place: the session ends sooner."""
    draft.fewer_tries(fitting.tries(draft.steps, s.who) // 2)
    first = next((i for i, x in enumerate(draft.steps) if x.kind is StepKind.TRY), None)
    behind = {x.name for x in draft.steps[first:] if x.block is BlockKind.EASY} if first else ()
    draft.sit_out(lambda step: _beyond_the_least(step) or step.name in behind)
    draft.shorter = True


def _beyond_the_least(step: Step) -> bool:
    """Hangs, and middle boulders, that are not of the least warm-up."""
    middle = step.block is BlockKind.MIDDLE and step.kind is StepKind.CLIMB
    return (step.hangs or middle) and not (step.floor or step.core)


def _wanted(s: Situation) -> list[int]:
    """How many hard tries somebody wanted at most, as often as it was told."""
    told = [tag for who, tag in s.day.told if who == s.who]
    return [int(tag.removeprefix(TRIES)) for tag in told if tag.startswith(TRIES)]


def _tries_wanted(s: Situation) -> bool:
    return _opening(s) and bool(_wanted(s))


def _no_more_than_wanted(s: Situation, draft: PlanDraft) -> None:
    most = min(_wanted(s))
    if most:
        draft.fewer_tries(most)
    else:
        draft.no_tries()


def _no_board(s: Situation) -> bool:
    return (
        _opening(s)
        and not s.library.place.boards
        and any(block.kind is BlockKind.BOARD for block in s.library.routine.blocks)
    )


def _no_edge(s: Situation) -> bool:
    """Whether this person would be asked about an edge without one in hand before."""
    return (
        _opening(s)
        and checks.without_an_edge(s.steps, s.day, s.library, s.who)
        and not checks.spared(s.day, s.who)
        and not break_limits.mobility_only(s.day, s.who)
    )


def _check_on_boulders(s: Situation, draft: PlanDraft) -> None:
    checks.by_climbing(draft)


def _no_partner(s: Situation) -> bool:
    return _opening(s) and s.told("no-partner")


def _crowded(s: Situation) -> bool:
    return _opening(s) and s.told("crowded")


def _short_day(s: Situation) -> bool:
    late = s.day.ends_at - s.now < s.library.routine.minutes * 60.0 - 30.0
    return _opening(s) and (late or s.told("late"))


def _no_room_for_hard(s: Situation) -> bool:
    """Whether hard tries found no room."""
    return _opening(s) and s.day.reach is not Reach.HARD


def _longer_warm_up(s: Situation) -> bool:
    return _opening(s) and bool(target.reasons(s.day))


def _long_stretches(s: Situation) -> bool:
    return _opening(s) and bool(contents.too_long(s.day, s.library))


_YOUNG = (
    "Morrison AB, Schoeffl VR (2007) Br J Sports Med 41:852-861; UIAA Medical Commission by the "
    "BMC's guidance: no intensive finger training under 16, no campusing with the feet off under "
    "18; no hang and no hard tries under 16, and the largest holds with the feet on at 16 and 17, "
    "are our stricter choice"
)

RULES = (
    Rule(
        name="uncleared-sign",
        fires="a sign of an earlier day that no clinician cleared",
        does="no load on that part; no hard tries",
        when=_uncleared,
        then=_spare_it,
        say="uncleared-sign",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source="Return after an injury is a clinician's decision (Schoeffl VR, Schoeffl I 2006, J "
        "Hand Surg 31A(4):647-654)",
    ),
    Rule(
        name="still-hurt",
        fires="a part that was hurt, and is not well again",
        does="no load on that part; no hard tries",
        when=_still_hurt,
        then=_spare_hurt,
        say="still-hurt",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="hard-yesterday",
        fires="a hard session yesterday",
        does="half of the hard tries; of hangs and middle boulders the least; nothing instead",
        when=_hard_yesterday,
        then=_weary,
        say="hard-yesterday",
        values=("tries",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="short-of-sleep",
        fires="short of sleep, or tired at the check-in",
        does="half of the hard tries; of hangs and middle boulders the least; nothing instead",
        when=_short_of_sleep,
        then=_weary,
        say="short-of-sleep",
        values=("tries",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="tries-wanted",
        fires="a number of hard tries was wanted at most, such as an easier day's",
        does="no more than that; nothing makes them more again today",
        when=_tries_wanted,
        then=_no_more_than_wanted,
        say="tries-wanted",
        values=("tries",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="static-before-hard",
        fires="still stretches would bring a part to a minute before hard tries",
        does="leaves out those that do",
        when=_long_stretches,
        then=_nothing,
        say="static-before-hard",
        values=(),
        sure=Sure.PUBLISHED,
        source="Behm DG et al. (2016) Appl Physiol Nutr Metab 41(1):1-11: -4.6 % from 60 s on",
    ),
    Rule(
        name="under-16",
        fires="somebody is under 16",
        does="no hang, no hard tries on the fingers",
        when=_under_16,
        then=_nothing,
        say="under-16",
        values=("who",),
        sure=Sure.DESIGN_CHOICE,
        source=_YOUNG,
    ),
    Rule(
        name="under-18",
        fires="somebody is 16 or 17",
        does="only the largest holds with the feet on",
        when=_under_18,
        then=_nothing,
        say="under-18",
        values=("who",),
        sure=Sure.DESIGN_CHOICE,
        source=_YOUNG,
    ),
    Rule(
        name="age-untold",
        fires="an age is not told",
        does="counts as under 18",
        when=_age_untold,
        then=_nothing,
        say="age-untold",
        values=("who",),
        sure=Sure.DESIGN_CHOICE,
        source=_YOUNG,
    ),
    Rule(
        name="fingers-by-climbing",
        fires="somebody has no edge in hand before their fingers are asked about",
        does="asks after the first easy boulders; what is harder waits",
        when=_no_edge,
        then=_check_on_boulders,
        say="fingers-by-climbing",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="No published readiness screen exists for fingers; that the check comes after the "
        "first easy boulders where no edge is used is our choice",
    ),
    Rule(
        name="no-board",
        fires="the place has no board",
        does="the board's blocks hold what needs none",
        when=_no_board,
        then=_nothing,
        say="no-board",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="Without a board the first boulders prepare the fingers (common practice)",
    ),
    Rule(
        name="no-partner",
        fires="nobody else is there",
        does="no far catches",
        when=_no_partner,
        then=_nothing,
        say="no-partner",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="crowded",
        fires="the place is crowded",
        does="each boulder counts with 1.4 times its minutes",
        when=_crowded,
        then=_nothing,
        say="crowded",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="longer-warm-up",
        fires="a longer warm-up is asked for; something is stiff; tired or short of sleep; a cold "
        "place; the morning; over 50",
        does="the first hard try may come some minutes later, more of the warm-up before it",
        when=_longer_warm_up,
        then=_nothing,
        say="longer-warm-up",
        values=("longer",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="no-room-for-hard",
        fires="hard tries do not fit behind ten easy and five middle boulders",
        does="there are none",
        when=_no_room_for_hard,
        then=_nothing,
        say="no-room-for-hard",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="Ten easy and five middle boulders come before hard tries, or there are none "
        "(common practice)",
    ),
    Rule(
        name="short-day",
        fires="late, or fewer minutes than the routine is made for",
        does="fits the plan: hard tries are left out before any of the warm-up",
        when=_short_day,
        then=_nothing,
        say="short-day",
        values=("minutes", "tries"),
        sure=Sure.COMMON_PRACTICE,
        source="Hard tries are left out before any of the warm-up is (common practice)",
    ),
    Rule(
        name="budget",
        fires="every plan",
        does="takes what fits the minutes and is worth most together",
        when=_opening,
        then=_nothing,
        say="plan-in-one-sentence",
        values=("tries",),
        sure=Sure.DESIGN_CHOICE,
        source="What is worth most when time is short is the designers' choice; no trial was found "
        "for the shape of a bouldering session",
    ),
)
