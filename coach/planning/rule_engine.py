"""The engine of rules: what a situation makes of the day and the steps.

Owns that every rule that matches fires in the order of the table, that steps are settled once
after all of them, and that one sentence says what changed: that of the first rule.
"""

from collections import Counter
from collections.abc import Callable

from coach.model.day import Change
from coach.model.messages import Message, Value, message
from coach.model.plan import Fired, Step, StepKind
from coach.model.signs import strange
from coach.planning import consequences, fitting, home, remainder, target
from coach.planning.gates import GATES
from coach.planning.rules import Rule, rules_about
from coach.planning.situation import CLOCK, PLAN, PlanDraft, Situation


def matching(situation: Situation) -> list[Rule]:
    """The rules that fire, in the order of the table."""
    found: list[Rule] = []
    for rule in rules_about(situation.answer.meaning, situation.question):
        if rule.when(situation):
            found.append(rule)
            if rule.alone:
                break
    return found


def apply(situation: Situation, ask: str = "") -> Change:
    """What the rules make of a situation; nothing changes where none fires.

    `ask` is what is asked next unless a rule asks something else.
    """
    day, steps = situation.day, situation.steps
    rules = matching(situation)
    if not rules:
        return Change(day, steps, ask=ask)
    draft = PlanDraft(day, list(steps), situation.now, situation.who, situation.library, ask=ask)
    draft.between = situation.question in GATES
    draft.first = steps[0] if steps else None
    for rule in rules:
        rule.then(situation, draft)
    consequences.settle(draft, steps)
    named = {name for rule in rules for name in rule.values}
    values = {name: VALUES[name](situation, draft) for name in named}
    left = tuple(draft.steps)
    # the plan itself is made before its rules look at it
    stands = left == steps and draft.day.ends_at == day.ends_at and situation.question != PLAN
    was = 0.0 if situation.question == PLAN or stands else situation.seconds
    return Change(
        day=(
            draft.day
            if stands or situation.question == CLOCK
            else home.moved(day, was, draft.day, left, situation.now)
        ),
        steps=left,
        say=_message(said_of(rules[0], draft), rules[0].values, values),
        fired=tuple(fire(rule, values) for rule in rules),
        cut=bool(steps) and all(step.name != steps[0].name for step in left[:1]),
        ask=draft.ask,
        part=draft.part if draft.ask else None,
    )


def said_of(rule: Rule, draft: PlanDraft) -> str:
    """The key of what a rule says; with nothing left to do another sentence may be true."""
    over = rule.say_over and not remainder.minutes_of(draft.steps, draft.who)
    return rule.say_over if over else rule.say


def _lost(s: Situation, draft: PlanDraft) -> int:
    """Hard tries that are left out, of everybody: what is left is told of everybody too."""
    return max(fitting.tries(s.steps) - fitting.tries(draft.steps), 0)


def _gone(s: Situation, draft: PlanDraft) -> Value:
    """The movement that loses most of its time; 0 where hard tries do, or nothing does."""
    left = Counter[str]()
    for step in s.steps:
        left[title(step)] += round(step.seconds)
    for step in draft.steps:
        left[title(step)] -= round(step.seconds)
    done = {title(step) for step in s.steps if step.kind not in (StepKind.REST, StepKind.ASK)}
    lost = [(seconds, name) for name, seconds in left.items() if name in done and seconds > 0]
    return max(lost)[1] if lost and not _lost(s, draft) else 0


def _added(s: Situation, draft: PlanDraft) -> int:
    return round(max(draft.seconds - s.seconds, 0.0))


def _again(s: Situation, draft: PlanDraft) -> int:
    """Whether a step asks about the part once more."""
    asks = (GATES.get(step.question) for step in draft.steps)
    return int(any(gate is not None and gate.about is draft.part for gate in asks))


#: Everything that a rule's message may hold.
VALUES: dict[str, Callable[[Situation, PlanDraft], Value]] = {
    "part": lambda s, draft: draft.part.value if draft.part is not None else "",
    "sign": lambda s, draft: _named(s.answer.sign),
    "gate": lambda s, draft: s.question,
    "step": lambda s, draft: title(s.running) if s.running is not None else "",
    "tries": lambda s, draft: fitting.tries(draft.steps, s.who),
    "lost": _lost,
    "gone": _gone,
    "missing": lambda s, draft: s.running.amount - (s.answer.number or 0) if s.running else 0,
    "left": lambda s, draft: remainder.minutes_of(draft.steps, draft.who),
    "parts": lambda s, draft: remainder.parts_of(draft.steps, draft.who, draft.library.movements),
    "minutes": lambda s, draft: round(draft.seconds / 60.0),
    "seconds": _added,
    "who": lambda s, draft: s.who if len(s.day.people) > 1 else 0,
    "alone": lambda s, draft: int(len(s.day.people) == 1),
    "longer": lambda s, draft: round(target.longer(s.day)),
    "to": lambda s, draft: draft.to,
    "again": _again,
    "idle": lambda s, draft: (s.answer.number or 0) // 60,
}


def _named(sign: str | None) -> str:
    """A sign as it is said: by its phrase, or in the words in which somebody told it."""
    return (sign or "").replace("-", " ") if strange(sign) else f"sign:{sign}"


def title(step: Step) -> str:
    """The movement that a step is named after."""
    return next((form.movement for form in step.forms if form.movement), step.name)


def _message(key: str, names: tuple[str, ...], values: dict[str, Value]) -> Message:
    return message(key, **{name: values[name] for name in names})


def fire(rule: Rule, values: dict[str, Value]) -> Fired:
    """The rule as it goes on the record."""
    return Fired(rule.name, _message(f"why-{rule.name}", rule.values, values), rule.sure.value)
