"""Spoken notes and filmed tries: kept because somebody said so, and told again in time.

A note is kept only between its two tones; no answer is listened for meanwhile but those that
count at any time. The stage keeps and plays; here it is decided when.
"""

from dataclasses import replace

from coach.model.answers import Answer
from coach.model.facts import Filmed, NoteMade
from coach.model.messages import message
from coach.session import current_boulder, try_outcomes
from coach.session.draft import Draft
from coach.session.effects import LEAD, EndNote, KeepNote, Tone
from coach.session.events import NoteKept
from coach.session.memory import Recording
from coach.session.state import Phase

#: The longest note, in seconds.
MOST = 20.0
#: Seconds between the start of the first tone and that of the note, so that it isn't on it.
AFTER_TONE = 0.4
#: A note whose end nobody reports counts as lost after so many seconds more.
PATIENCE = 5.0


def keep(draft: Draft, who: int, answer: Answer) -> None:
    """'Keep this': a tone, then what is said, in a rest only."""
    s = draft.s
    if s.phase is not Phase.REST or s.notes.recording is not None or s.rests.resting is None:
        draft.refuse(answer)
        return
    if "microphone" in s.devices.lost:
        draft.tell(message("note-no-microphone"))
        return
    draft.hush()
    draft.close_window()
    number = s.notes.begun + 1
    day = "".join(one for one in s.options.wall if one.isdigit())
    name = f"{day or 'note'}-{number}"
    begins = draft.now + LEAD + AFTER_TONE
    draft.tone(Tone.START, draft.now + LEAD)
    draft.effects.append(KeepNote(name, begins, MOST))
    boulder = current_boulder.boulder_of(draft.s, who).name
    draft.notes = replace(
        draft.notes, begun=number, recording=Recording(name, who, boulder, begins + MOST + PATIENCE)
    )
    draft.show(message("note-recording"))


def end(draft: Draft) -> None:
    """Keep no more of a note, where one is being kept."""
    if draft.notes.recording is not None:
        draft.effects.append(EndNote())


def kept(draft: Draft, event: NoteKept) -> None:
    """It has ended, whatever ended it: the second tone, and what became of it."""
    recording = draft.notes.recording
    if recording is None or recording.name != event.name:
        return
    over(draft, event.seconds, event.why)


def lost(draft: Draft) -> None:
    """Nothing reported its end."""
    over(draft, 0.0, "lost")  # mutant: any word but that of a full disk


def over(draft: Draft, seconds: float, why: str) -> None:
    """The recording is over; a rest that runs listens again."""
    recording = draft.notes.recording
    assert recording is not None
    draft.tone(Tone.END)
    draft.notes = replace(draft.notes, recording=None)
    who, boulder, name = recording.who, recording.boulder, recording.name
    if seconds > 0.0:
        draft.record(NoteMade(draft.now, who, boulder, name, seconds))
        others = tuple(one for one in draft.notes.waiting if one[:2] != (who, boulder))
        draft.notes = replace(draft.notes, waiting=(*others, (who, boulder, name)))
        key = "note-cut" if why == "microphone" else "note-kept"
        draft.tell(message(key, seconds=round(seconds)))
    else:
        draft.tell(message("note-disk" if why == "disk" else "note-empty"))
    if draft.s.phase is Phase.REST and draft.questions.asking is None:
        draft.go_on = True


def play(draft: Draft, who: int) -> None:
    """Before the next try on its boulder a note is played, once."""
    boulder = current_boulder.boulder_of(draft.s, who).name
    for note in draft.notes.waiting:
        if note[:2] == (who, boulder):
            draft.notes = replace(
                draft.notes, waiting=tuple(one for one in draft.notes.waiting if one != note)
            )
            draft.say(message("note", name=note[2]))


def filmed(draft: Draft, who: int, answer: Answer) -> None:
    """The last try was filmed: marked with its clock time."""
    mine = [went for went in draft.tries.went if went.who == who and went.today]
    waiting = try_outcomes.untold_of(draft, who)
    boulder = waiting[0] if waiting is not None else mine[-1].boulder if mine else ""
    if not boulder:
        if not try_outcomes.none_yet(draft, who):
            draft.refuse(answer)
        return
    number = dict(draft.tries.counts)[who]
    clock = clock_at(draft.s.options.wall, draft.now - draft.s.began + draft.s.slept)
    draft.record(Filmed(draft.now, who, boulder, number, clock))
    draft.notes = replace(draft.notes, filmed=(*draft.notes.filmed, (who, boulder, number, clock)))
    draft.show(message("filmed", number=number))


def clock_at(wall: str, seconds: float) -> str:
    """The time of day, HH:MM, so many seconds after 'YYYY-MM-DD HH:MM:SS'; '' for no time."""
    if not wall:
        return ""
    hours, minutes, rest = (int(part) for part in wall[-8:].split(":"))
    whole = int(3600 * hours + 60 * minutes + rest + seconds) // 60
    return f"{whole // 60 % 24:02d}:{whole % 60:02d}"


def films(draft: Draft) -> str:
    """The filmed tries in a row: 'try 3, 18:42'."""
    return "; ".join(
        f"try {number}, {clock}" if clock else f"try {number}"
        for _, _, number, clock in draft.notes.filmed
    )
