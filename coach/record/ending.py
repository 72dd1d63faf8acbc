"""How what stands ends: what is asked first, how long it takes at least, what opens afterwards.

A check is made by moving, at a key, and passes only if nothing is left of what stood. It finds
nothing out and names nothing: whoever doubts says so, and it stands. The movements and the days of
a pain are our choice. After illness: seven days without symptoms, then two easy weeks (Salman D et
al. 2021, BMJ 372:m4721). After birth: not before three months, nor with any symptom (Goom T,
Donnelly G, Brockwell E 2019); the signs by Davenport MH et al. 2025, Br J Sports Med 59(8):527-538.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from coach.model.body import Feel, Part
from coach.record.standing import CLEARED, ILL, WELL, Stands

AFTER_BIRTH = "after-birth"
#: Days in three calendar months, at most: no impact before (Goom T, Donnelly G, Brockwell E 2019).
THREE_MONTHS = 92
#: Days without symptoms, and of easy ones after them (Salman D et al. 2021, BMJ 372:m4721).
FREE, EASY = 7, 14

#: Part -> how it is moved before it counts as well.
MOVES: dict[Part, str] = {
    Part.FINGERS: "make a fist, open it wide, press the fingertips of both hands together",
    Part.WRISTS: "bend them both ways, then lean lightly on a table with flat hands",
    Part.ELBOWS: "bend and straighten them, then turn the palms up and down",
    Part.SHOULDERS: "reach up, behind your neck, and behind your back",
    Part.NECK: "look left, right, up and down",
    Part.BACK: "bend forward, lean back, turn both ways",
    Part.HIPS: "sit down and stand up, lift each knee",
    Part.KNEES: "squat half way three times, step up on each leg",
    Part.ANKLES: "rise on your toes, then stand on each leg for ten seconds",
    Part.SKIN: "press where it was open or thin",
}


@dataclass(frozen=True, slots=True)
class EndCheck:
    """What comes before something ends by being well, or by a birth being three months ago."""

    do: str
    """What to do first, in words; '' for nothing."""
    none_of: tuple[str, ...]
    """Questions to which the answer has to be no."""
    not_before: date | None = None
    """The first day on which it can end; None for any."""


def check_of(stands: Stands, claim: str, born: date | None = None) -> EndCheck:
    """What is asked before a claim ends what stands; nothing before a clinician's word.

    `born` is the day of a birth. After one even a clinician's word waits for the three months.
    """
    if stands.sign == AFTER_BIRTH:
        day = None if born is None else born + timedelta(days=THREE_MONTHS)
        return EndCheck(
            "",
            (
                "Any leaking, heaviness, or a bulge along the middle of the belly?",
                "Any pain of the pelvis or the back, or any bleeding?",
            ),
            day,
        )
    if claim.startswith(CLEARED):
        return EndCheck("", ())
    if stands.sign in ILL:
        free = FREE if stands.sign == "fever" else 0
        return EndCheck(
            "",
            (
                "Any symptom within the last three weeks?",
                "Chest pain, a racing heart, or out of breath on stairs since then?",
            ),
            stands.day + timedelta(days=free + EASY),
        )
    move = MOVES.get(stands.part) if stands.part is not None else None
    return EndCheck(
        f"Slowly, now: {move}." if move else "",
        (
            "Did it hurt in the last two days, at rest or in use?",
            "Did anything hurt in the movement just now, or catch, click or give way?",
            "Is anything swollen, numb, weaker or stiffer than on the other side?",
        ),
    )


def opens(stands: Stands, claim: str) -> str:
    """What opens by a claim, and what stays careful, as a line."""
    if stands.feel is Feel.SORE:
        return "On the record: it is well again. If anything is felt again, say so."
    what = "It" if stands.part is None else f"The {stands.part}"
    if stands.part is None and stands.sign not in (*ILL, AFTER_BIRTH):
        what = "Every part"
    verb = "may be loaded again"
    who = "a clinician cleared it" if claim.startswith(CLEARED) else "it is well again"
    return (
        f"On the record: {who}. {what} {verb}. The next session stays gentle there and holds no "
        "hard tries; if anything is felt again, say 'hurt'."
    )


def refused(stands: Stands, claim: str) -> str:
    """Why a claim can't end what stands; '' where it can."""
    if claim.startswith(WELL) and stands.sign and stands.sign not in ILL:
        return "that is a warning sign: it ends when a clinician has cleared it"
    return ""
