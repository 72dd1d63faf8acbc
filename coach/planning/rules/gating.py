"""Gates and the go-ahead: what a clear answer opens, and what silence and doubt leave shut."""

from coach.model.answers import Meaning
from coach.model.body import CapReason
from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.planning import gates
from coach.planning.gates import FINGERS, GATES, GO_AHEAD
from coach.planning.rules.rule import Rule, Sure
from coach.planning.rules.sore import LIFTABLE
from coach.planning.situation import LATE_READING, PlanDraft, Situation

#: Seconds of rest that 'more time' at the go-ahead gives.
WAIT = 120.0
#: Tries of a high or leaping boulder after which the go-ahead is asked again.
LOOK_AGAIN = 3


def _clear(s: Situation) -> bool:
    return s.question != GO_AHEAD and gates.opened_by(s.question, s.answer)


def _contradicts(s: Situation) -> bool:
    """A clear answer about a part that was told sore, before the rest that a new check needs."""
    if not _clear(s):
        return False
    about = GATES[s.question].about
    return about is not None and s.capped(about, CapReason.SORE) and not _rested(s)


def _rested(s: Situation) -> bool:
    """Whether a repeated check of this gate is due: its rest has passed."""
    for who, key in s.day.pending:
        if who == s.who and key.startswith(f"recheck:{s.question}:"):
            return s.now >= float(key.rsplit(":", 1)[1])
    return False


def _stay_shut(s: Situation, draft: PlanDraft) -> None:
    draft.part = GATES[s.question].about


def _below_usual(s: Situation) -> bool:
    asked = _clear(s) and s.question == FINGERS
    return (asked or s.question == LATE_READING) and s.told("edge:low")


def _shut_it(s: Situation, draft: PlanDraft) -> None:
    """The fingers' gate is shut as if the edge had been low from the first; a go is asked again."""
    draft.part = GATES[FINGERS].about
    if (s.who, FINGERS) in s.day.gates:
        draft.shut(FINGERS)
    if s.who in s.day.go:
        _ask_to_go_again(draft)


def _ask_to_go_again(draft: PlanDraft) -> None:
    """Take back the go of the person of the draft, and ask it again before their next try."""
    draft.shut(GO_AHEAD)
    first = next((step for step in draft.steps if step.turn == draft.who), None)
    if first is not None:
        before = _before_rest(draft, first.name)
        draft.insert([draft.ask_step(GO_AHEAD, BlockKind.HARD)], before=before)


def _open(s: Situation, draft: PlanDraft) -> None:
    about = GATES[s.question].about
    draft.part = about
    if about is not None and _rested(s):
        draft.lift(CapReason.SORE, LIFTABLE, (about,))
    assert s.answer.feel is not None
    if about is not None:
        draft.report(about, s.answer.feel)
    draft.open(s.question)


def _silent(s: Situation) -> bool:
    return s.answer.meaning is Meaning.SILENCE and s.question in GATES and s.question != GO_AHEAD


def _nothing(s: Situation, draft: PlanDraft) -> None:
    draft.part = GATES[s.question].about


def _go(s: Situation) -> bool:
    return s.question == GO_AHEAD and s.answer.meaning is Meaning.GO


def missing(s: Situation) -> tuple[str, ...]:
    """The gates besides the go-ahead that are still shut for this person."""
    shut = gates.shut(s.day.caps, s.who)
    return tuple(q for q in GATES if q in shut and q != GO_AHEAD)


#: Marks somebody who was sent back to a check once.
_SENT_BACK = f"again:{GO_AHEAD}"


def _go_too_early(s: Situation) -> bool:
    return _go(s) and bool(missing(s)) and not s.told(_SENT_BACK)


def _go_unchecked(s: Situation) -> bool:
    return _go(s) and bool(missing(s)) and s.told(_SENT_BACK)


def _none(s: Situation, draft: PlanDraft) -> None:
    draft.part = GATES[missing(s)[0]].about
    draft.no_tries()


def _ask_first(s: Situation, draft: PlanDraft) -> None:
    question = missing(s)[0]
    draft.part = GATES[question].about
    first = next((x for x in draft.steps if x.turn == s.who), None)
    if first is None:
        return
    draft.tell(_SENT_BACK)
    draft.insert(
        [draft.ask_step(question, BlockKind.HARD), draft.ask_step(GO_AHEAD, BlockKind.HARD)],
        before=_before_rest(draft, first.name),
    )


def _before_rest(draft: PlanDraft, name: str) -> str:
    """The try itself, or the rest that leads up to it."""
    index = next(i for i, step in enumerate(draft.steps) if step.name == name)
    if index and draft.steps[index - 1].kind is StepKind.REST:
        return draft.steps[index - 1].name
    return name


def _go_clear(s: Situation) -> bool:
    return _go(s) and not missing(s)


def _let_go(s: Situation, draft: PlanDraft) -> None:
    draft.open(GO_AHEAD)
    if any(c.who == s.who and c.reason is CapReason.COLD for c in s.day.caps):
        # what was cut of the warm-up is made up before this, or there is no hard try
        draft.no_tries()


def _high(s: Situation) -> bool:
    return _go_clear(s) and s.told("high-or-leaping")


def _look_again(s: Situation, draft: PlanDraft) -> None:
    """The go-ahead is asked again before every third try: the landing counts each time."""
    mine = [x.name for x in draft.steps if x.kind is StepKind.TRY and x.turn == s.who]
    for name in mine[LOOK_AGAIN::LOOK_AGAIN]:
        before = _before_rest(draft, name)
        draft.insert([draft.ask_step(GO_AHEAD, BlockKind.HARD)], before=before)


def _not_today(s: Situation) -> bool:
    return s.answer.meaning is Meaning.NOT_TODAY or (
        s.question == GO_AHEAD and s.answer.meaning in (Meaning.SILENCE, Meaning.NO)
    )


def _easy_instead(s: Situation, draft: PlanDraft) -> None:
    if s.who in s.day.go:
        draft.shut(GO_AHEAD)
    draft.no_tries()


def _wait(s: Situation) -> bool:
    return s.question == GO_AHEAD and s.answer.meaning is Meaning.MORE_TIME


def _rest_and_ask(s: Situation, draft: PlanDraft) -> None:
    first = next((x for x in draft.steps if x.turn == s.who), None)
    if first is not None:
        draft.insert(
            [draft.rest_step(WAIT, BlockKind.MIDDLE), draft.ask_step(GO_AHEAD, BlockKind.HARD)],
            before=_before_rest(draft, first.name),
        )


RULES = (
    Rule(
        name="contradiction",
        fires="a part told sore is fine, before the rest that a new check needs",
        does="its gate stays shut",
        when=_contradicts,
        then=_stay_shut,
        say="contradiction",
        values=("part",),
        sure=Sure.DESIGN_CHOICE,
        source="Of two answers that contradict each other the cautious one counts",
        alone=True,
    ),
    Rule(
        name="edge-below-usual",
        fires="the edge felt fine, but a scale's reading is below one's own usual",
        does="the fingers' gate stays shut, or shuts again where the reading is told later",
        when=_below_usual,
        then=_shut_it,
        say="edge-below-usual",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="Out by 2.5 spreads of one's own median (Leys C et al. 2013, J Exp Soc Psychol "
        "49(4):764-766); that it keeps the gate shut is our choice",
        alone=True,
    ),
    Rule(
        name="gate-open",
        fires="fresh or fine, in the window of a gate",
        does="opens it",
        when=_clear,
        then=_open,
        say="gate-open",
        values=("gate",),
        sure=Sure.DESIGN_CHOICE,
        source="No published readiness screen exists for these checks",
    ),
    Rule(
        name="gate-silent",
        fires="nothing is heard in the window of a gate",
        does="it stays shut, what follows stays gentle",
        when=_silent,
        then=_nothing,
        say="gate-silent",
        values=("gate",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="go-too-early",
        fires="go, while another gate is shut",
        does="asks that gate, then the go-ahead",
        when=_go_too_early,
        then=_ask_first,
        say="go-too-early",
        values=("gate",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="go-unchecked",
        fires="go once more, while a gate is still shut",
        does="no hard tries",
        when=_go_unchecked,
        then=_none,
        say="go-unchecked",
        values=("gate", "who"),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="go",
        fires="go, every gate open",
        does="opens the hard tries",
        when=_go_clear,
        then=_let_go,
        say="go",
        values=("tries",),
        sure=Sure.COMMON_PRACTICE,
        source="Head and landing are decided by the climber before hard tries (common practice)",
    ),
    Rule(
        name="landing",
        fires="go for a boulder that is high or leaps",
        does="the go-ahead is asked again before every third try",
        when=_high,
        then=_look_again,
        say="landing",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="Landing zone once per hard block and per high or leaping boulder; after two or "
        "three falls something is changed (common practice)",
    ),
    Rule(
        name="not-today",
        fires="not today, or no or silence at the go-ahead",
        does="no hard tries; easy boulders in their place",
        when=_not_today,
        then=_easy_instead,
        say="not-today",
        values=("minutes", "who"),
        sure=Sure.COMMON_PRACTICE,
        source="Poor fingers, skin or head: more easy volume, no hard tries (common practice)",
    ),
    Rule(
        name="go-later",
        fires="more time, at the go-ahead",
        does="two minutes of rest, then the go-ahead again",
        when=_wait,
        then=_rest_and_ask,
        say="go-later",
        values=("seconds",),
        sure=Sure.DESIGN_CHOICE,
        source="Rest of 2 to 3 min between sets (ACSM 2009, Med Sci Sports Exerc 41:687-708, as it "
        "is quoted); that it is as much before hard tries is our choice",
    ),
)
