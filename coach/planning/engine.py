"""The engine of rules: what a situation makes of the day and the steps.

Owns that every rule that matches fires in the order of the table, that steps are settled once
after all of them, and that one sentence says what changed: that of the first rule.
"""

from coach.model.day import Change
from coach.model.messages import Message, Value, message
from coach.model.plan import Fired, Step
from coach.planning import fit, settle
from coach.planning.gates import GATES
from coach.planning.rules import RULES, Rule
from coach.planning.situation import Draft, Situation


def matching(situation: Situation) -> list[Rule]:
    """The rules that fire, in the order of the table."""
    found: list[Rule] = []
    for rule in RULES:
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
    draft = Draft(day, list(steps), situation.now, situation.who, situation.library, ask=ask)
    draft.between = situation.question in GATES
    draft.first = steps[0].name if steps else ""
    for rule in rules:
        rule.then(situation, draft)
    settle.settle(draft, steps)
    values = values_of(situation, draft)
    left = tuple(draft.steps)
    return Change(
        day=draft.day,
        steps=left,
        say=_message(rules[0].say, rules[0].values, values),
        fired=tuple(fire(rule, values) for rule in rules),
        cut=bool(steps) and all(step.name != steps[0].name for step in left[:1]),
        ask=draft.ask,
    )


def values_of(situation: Situation, draft: Draft) -> dict[str, Value]:
    """Everything that a rule's message may hold."""
    running = situation.running
    tries = fit.tries(draft.steps, situation.who)
    left = fit.seconds_of(draft.steps)
    added = left - fit.seconds_of(situation.steps)
    return {
        "part": draft.part.value if draft.part is not None else "",
        "gate": situation.question,
        "step": title(running) if running is not None else "",
        "tries": tries,
        "lost": max(fit.tries(situation.steps, situation.who) - tries, 0),
        "minutes": round(left / 60.0),
        "seconds": round(max(added, 0.0)),
        "who": situation.who if len(situation.day.people) > 1 else 0,
        "to": draft.to,
        "idle": (situation.answer.number or 0) // 60,
    }


def title(step: Step) -> str:
    """The movement that a step is named after."""
    return next((form.movement for form in step.forms if form.movement), step.name)


def _message(key: str, names: tuple[str, ...], values: dict[str, Value]) -> Message:
    return message(key, **{name: values[name] for name in names})


def fire(rule: Rule, values: dict[str, Value]) -> Fired:
    """The rule as it goes on the record."""
    return Fired(rule.name, _message(f"why-{rule.name}", rule.values, values), rule.sure.value)
