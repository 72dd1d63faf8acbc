"""Idling: what a long pause asks for. Seconds come from the caller; nothing here has a clock."""

from coach.model.day import Change, Day, Library
from coach.model.messages import message
from coach.model.plan import Fired, Step
from coach.planning import fit, settle
from coach.planning.situation import Draft

#: Seconds of idling that are mentioned, and after which a re-warm is offered.
NOTICE = 900.0
OFFER = 1200.0


def after_idle(
    day: Day, steps: tuple[Step, ...], now: float, idle_seconds: float, library: Library
) -> Change:
    """The session after nothing was done for a while: 15 min notice, over 20 min an offer.

    Basis: waiting more than 15 to 20 min after a warm-up may prove problematic (West DJ et
    al. 2013, J Sci Med Sport 16:172-176); the thresholds are our rule. Steps are fitted to
    the time that is left either way.
    """
    if idle_seconds < NOTICE:
        return keep_time(day, steps, now, library)
    fitted = keep_time(day, steps, now, library)
    minutes = int(idle_seconds // 60)
    tries = fit.tries(fitted.steps)
    offer = idle_seconds > OFFER
    key = "idle-offer" if offer else "idle-notice"
    return Change(
        day=fitted.day,
        steps=fitted.steps,
        say=message(key, minutes=minutes),
        fired=(
            *fitted.fired,
            Fired(key, message(f"why-{key}", minutes=minutes, tries=tries), "published"),
        ),
        cut=fitted.cut,
        ask="re-warm" if offer and fitted.steps else "",
    )


def keep_time(day: Day, steps: tuple[Step, ...], now: float, library: Library) -> Change:
    """The steps fitted to the time that is left; says what went, and nothing where all fits.

    Call it where a block ends and after pauses: hard tries go first, floors last.
    """
    if now + fit.seconds_of(steps) <= day.ends_at + 30.0:
        return Change(day, steps)
    who = day.people[0].who
    draft = Draft(day, list(steps), now, who, library)
    settle.settle(draft, steps)
    left = tuple(draft.steps)
    if left == steps:
        return Change(draft.day, steps)
    values = {
        "minutes": round(fit.seconds_of(left) / 60.0),
        "tries": fit.tries(left),
        "lost": max(fit.tries(steps) - fit.tries(left), 0),
    }
    return Change(
        day=draft.day,
        steps=left,
        say=message("running-late", **values),
        fired=(Fired("running-late", message("why-running-late", **values), "common practice"),),
        cut=bool(steps) and (not left or left[0].name != steps[0].name),
    )
