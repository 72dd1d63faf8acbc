"""Idling: warmth goes; after a while a few easy minutes come before anything hard."""

from coach.model.answers import Meaning
from coach.model.movement import Unit
from coach.model.routine import BlockKind
from coach.planning import fitting, forms, gates
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import CLOCK, IDLE, PlanDraft, Situation

#: Easy boulders of a re-warm.
BOULDERS = 4


#: Seconds of idling that are mentioned, and beyond which a re-warm is offered.
NOTICE = 540
OFFER = 900
_SOURCE = (
    "After 9 min idle a jump was 3.8 % lower (Kapnia AK et al. 2022, Res Q Exerc Sport); after "
    "more than 15 min warm up again (Silva LM et al. 2018, Sports Med 48:2285-2299); neither "
    "looked at boulderers, and that these are the times to say so is our choice"
)


def _idle(s: Situation) -> int:
    """Seconds of idling that the rules are asked about; 0 in every other situation."""
    return s.answer.number or 0 if s.question == IDLE else 0


def _noticed(s: Situation) -> bool:
    """Not once the time is up: then nothing comes that she could ease into but a try."""
    comes = s.now < s.day.ends_at or fitting.tries(s.steps) > 0
    return comes and NOTICE <= _idle(s) <= OFFER


def _cold(s: Situation) -> bool:
    return _idle(s) > OFFER


def _offer(s: Situation, draft: PlanDraft) -> None:
    draft.ask = "re-warm" if draft.steps else ""


def _late(s: Situation) -> bool:
    return s.question == CLOCK


def _nothing(s: Situation, draft: PlanDraft) -> None:
    """Nothing changes but what is said."""


def _fit(s: Situation, draft: PlanDraft) -> None:
    """Settling fits the steps to the time; what is too short for a try goes to easy minutes."""
    draft.spare = True


def _rewarm(s: Situation) -> bool:
    return s.answer.meaning is Meaning.REWARM


def _easy_first(s: Situation, draft: PlanDraft) -> None:
    movement = next(
        (
            m
            for block in s.library.routine.blocks
            if block.kind is BlockKind.EASY
            for item in block.items
            if (m := s.library.movements.get(item.movement)) is not None and m.unit is Unit.BOULDERS
        ),
        None,
    )
    if movement is not None:
        kind, dose = BlockKind.EASY, BOULDERS
    else:
        kind = BlockKind.PULSE
        movement = next(
            (m for m in s.library.movements.values() if m.family.value == "pulse"), None
        )
        if movement is None:
            return
        dose = movement.amount
    name = draft.number(f"{kind}.re-warm")
    everybody = (person.who for person in s.day.people)
    step = forms.of(s.day, s.library).lay(name, movement, dose, kind, everybody)
    if step is not None:
        draft.insert([step], before=draft.steps[0].name if draft.steps else "")


def _no(s: Situation) -> bool:
    return s.question == "re-warm" and s.answer.meaning in (Meaning.NO, Meaning.SILENCE)


def _stay_cool(s: Situation, draft: PlanDraft) -> None:
    """Everybody has cooled off: each needs a go-ahead of their own before the next hard try."""
    for who in s.day.go:
        draft.who = who
        draft.shut(gates.GO_AHEAD)
        first = next((x for x in draft.steps if x.turn == who), None)
        if first is not None:
            draft.insert([draft.ask_step(gates.GO_AHEAD, BlockKind.HARD)], before=first.name)
    draft.who = s.who


RULES = (
    Rule(
        name="idle-notice",
        fires="nobody has moved for nine minutes",
        does="says so",
        when=_noticed,
        then=_nothing,
        say="idle-notice",
        values=("idle",),
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="idle-offer",
        fires="nobody has moved for more than fifteen minutes",
        does="offers to warm up again",
        when=_cold,
        then=_offer,
        say="idle-offer",
        values=("idle",),
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="running-late",
        fires="a block ends late",
        does="fits what is left: hard tries are left out first, floors last; two minutes and more "
        "that no try fits into go to what is gentle",
        when=_late,
        then=_fit,
        say="running-late",
        values=("minutes", "tries", "lost", "gone"),
        sure=Sure.COMMON_PRACTICE,
        source="Hard tries are left out before any of the warm-up is (common practice)",
    ),
    Rule(
        name="re-warm",
        fires="yes to warming up again",
        does="adds a few easy boulders, or a pulse raiser",
        when=_rewarm,
        then=_easy_first,
        say="re-warm",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source=_SOURCE,
    ),
    Rule(
        name="no-re-warm",
        fires="no to warming up again",
        does="the go-ahead is asked again",
        when=_no,
        then=_stay_cool,
        say="no-re-warm",
        values=("tries",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
