"""Whom it is about: somebody by number, then how they are; and who is where."""

from coach.group import moving
from coach.group.draft import Draft
from coach.group.easing import ease
from coach.group.leading import ABOUT, THINK
from coach.group.making import MAT
from coach.group.pacing import stand_still
from coach.group.presence import gone, vacate
from coach.group.state import Status
from coach.model.answers import Answer, Meaning
from coach.model.messages import message
from coach.session.state import Phase


def person(draft: Draft, answer: Answer) -> None:
    """Somebody by number: they are called back, so that a wrong one is noticed."""
    who = answer.number or 0
    if draft.g.person(who) is None:
        draft.took(answer, message("group-nobody", number=who))
        draft.say(message("group-nobody", number=who))
        return
    draft.set(asked=who)
    draft.hush()
    draft.say(message("group-about", people=str(who)))
    draft.open_window(ABOUT, who, THINK)


def nothing(draft: Draft, answer: Answer) -> None:
    """It was somebody else, or nothing."""
    draft.about_nobody()


def hurt(draft: Draft, answer: Answer) -> None:
    """Of somebody: no load for them. Of nobody by number: all stand until it is clear who."""
    who = draft.g.asked
    if not who:
        draft.hush()
        stand_still(draft, Phase.HURT, message("group-hurt"))
        return
    vacate(draft, who)  # what was done until now is recorded in the forms of until now
    ease(draft, who, Answer(Meaning.HURT))
    gone(draft, who, Status.HURT, answer)


def feel(draft: Draft, answer: Answer) -> None:
    """Somebody is sore: lower forms for them, by the usual rules."""
    who = draft.g.asked
    if not who:
        draft.took(answer, message("group-who"))
        draft.say(message("group-who"))
        return
    ease(draft, who, answer)
    draft.took(answer, message("group-eased", people=str(who)))
    draft.say(message("group-eased", people=str(who)))
    draft.about_nobody()
    moving.replan(draft)


def where(draft: Draft, answer: Answer) -> None:
    """Who is where, a cue for each station."""
    for station, who in places(draft).items():
        draft.say(message("group-move", people=moving.people(who), station=station))


def places(draft: Draft) -> dict[str, list[int]]:
    """Station -> who is there; the mat for everybody without a seat."""
    found: dict[str, list[int]] = {}
    for seat in draft.g.seated:
        found.setdefault(seat.station, []).append(seat.turn.who)
    found.setdefault(MAT, []).extend(moving.waiting(draft.g))
    return {name: who for name, who in sorted(found.items()) if who}
