"""Coming back after a break: what its reason means for the day, and what else is asked then."""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.facts import SignTold
from coach.model.messages import message
from coach.planning import break_limits
from coach.session.dialogue import Asking
from coach.session.draft import Draft

#: `Asking.step` where the part of an injury is asked for.
BREAK = "break"
#: A sign of an earlier day.
BEFORE = Answer(Meaning.SIGN, sign="before")


def how(tag: str) -> str:
    """The key of what the reason of a break means for the day."""
    return f"back-after-{tag.partition(':')[2] or 'break'}"


def say_how(draft: Draft, who: int, tag: str) -> None:
    """What the reason of a break means for the day."""
    draft.say(message(how(tag), who=who if len(draft.s.people) > 1 else 0))


def returns(draft: Draft, who: int, tag: str) -> None:
    """What the reason of a break means is said; after birth it goes on the record, where it stands.

    What else there is to know is asked.
    """
    if tag != break_limits.ILLNESS:
        say_how(draft, who, tag)
    if tag == break_limits.BIRTH:
        draft.record(SignTold(draft.now, who, break_limits.BIRTH_SIGN, None))
    elif tag == break_limits.INJURY:
        draft.ask_later(Asking("which-part", who, step=BREAK, about=BEFORE))
    elif tag == break_limits.ILLNESS:
        draft.ask_later(Asking("symptom-free", who))


def been_ill(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Whether seven days passed without symptoms: if not, or untold, nothing is loaded."""
    free = answer.meaning is Meaning.SYMPTOM_FREE
    sign = break_limits.ILLNESS_SIGN if free else break_limits.ILL_SIGN
    draft.record(SignTold(draft.now, asking.who, sign, None))
    if free:
        say_how(draft, asking.who, break_limits.ILLNESS)
    else:
        told = (asking.who, break_limits.ILL)
        draft.options = replace(draft.s.options, told=(*draft.s.options.told, told))
        draft.day = replace(draft.day, told=(*draft.day.told, told))
        several = len(draft.s.people) > 1
        draft.say(message("not-yet-well", who=asking.who if several else 0))
    draft.go_on = True


def cleared_by(draft: Draft, asking: Asking, answer: Answer) -> None:
    """Who cleared an injury: it stays spared today whoever did, and until that is typed."""
    who = asking.who if len(draft.s.people) > 1 else 0
    part = asking.part.value if asking.part is not None else ""
    if answer.meaning is Meaning.CLEARED_BY and answer.reason != "nobody":
        draft.say(message("cleared-aloud", who=who))
    elif part:
        draft.say(message("uncleared-sign", who=who, part=part))
    draft.go_on = True


def came_back(draft: Draft, who: int, reason: str | None) -> None:
    """Why somebody was away; untold counts as what a clinician decides about.

    It takes the place of the question about place and gear: after a break they count as changed.
    """
    tag = f"break:{reason}" if reason is not None else "break"
    options, day = draft.s.options, draft.day
    draft.options = replace(
        options,
        away=tuple(one for one in options.away if one != who),
        told=(*options.told, (who, tag)),
        same_place=options.same_place or False,
    )
    draft.day = replace(day, told=(*day.told, (who, tag)))
    returns(draft, who, tag)
    draft.go_on = True
