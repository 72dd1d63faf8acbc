"""Which phrases count for one piece of speech, by when it began. It alone decides that.

The answers of the window that was open at the onset, the answers that count at any time, and
after the address word the answers that may be given outside windows. What our own cue says
while the speech lasts counts for nothing.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from coach.model.answers import ANYTIME, CALLED, Meaning, parse
from coach.model.breath import DESCRIBES
from coach.model.questions import DESCRIBED, OF_A_TRY
from coach.session.effects import CloseWindow, OpenWindow

#: Seconds for which a room goes on sounding after a cue.
TAIL = 0.3

#: Windows and cues that are remembered.
KEPT = 8

#: Seconds after a part of what is told of a try in which the same breath may go on.
BREATH = 1.5


@dataclass(frozen=True, slots=True)
class Meant:
    """What a phrase stands for in one piece of speech."""

    key: str
    window: int | None = None
    who: int = 1
    addressed: bool = False


@dataclass(slots=True)
class _Window:
    number: int
    answers: tuple[str, ...]
    opens: float
    who: int
    beside: tuple[str, ...] = ()
    teaches: str = ""
    closes: float | None = None


@dataclass(slots=True)
class _Cue:
    text: str
    start: float
    end: float | None


@dataclass(slots=True)
class Vocabulary:
    """Windows and cues of the last while; phrases come from a language pack."""

    phrases: Mapping[str, Sequence[str]]
    """Answer key -> phrases."""
    address: str = ""
    """The address word; '' for none."""
    addressed: tuple[str, ...] = CALLED
    """Answers that may be given outside windows after it."""
    _windows: list[_Window] = field(default_factory=list)
    _cues: list[_Cue] = field(default_factory=list)
    _goes_on: tuple[int, float, tuple[str, ...]] = (0, 0.0, ())
    """The window in which a part of a breath was heard, until when more counts, and what."""

    def open(self, window: OpenWindow) -> None:
        """From window.at on its answers count; an earlier window closes."""
        for earlier in self._windows:
            earlier.closes = window.at if earlier.closes is None else earlier.closes
        self._windows.append(
            _Window(
                *(window.window, window.answers, window.at, window.who, window.beside),
                window.teaches,
            )
        )
        del self._windows[:-KEPT]

    def close(self, window: CloseWindow) -> None:
        """It takes no speech that begins after window.at."""
        for one in self._windows:
            if one.number == window.window and one.closes is None:
                one.closes = window.at

    def heard(self, meant: Meant, end: float) -> None:
        """An answer was told; after a part of a try or a boulder, more of it may follow."""
        if meant.window is not None and (more := follows(meant.key, self.phrases)):
            self._goes_on = (meant.window, end + BREATH, more)

    def sounding(self, text: str, start: float, end: float | None) -> None:
        """One of our cues sounds; tones have no text and say nothing."""
        if not text:
            return
        for cue in self._cues:
            if cue.start == start:
                cue.end = end
                return
        self._cues.append(_Cue(words(text), start, end))
        del self._cues[:-KEPT]

    def window_at(self, at: float) -> int | None:
        """Number of the window that is open at a time."""
        window = self._open_at(at)
        return window.number if window is not None else None

    def taught(self, at: float) -> tuple[str, int]:
        """The answer that the window open at a time teaches, '' for none; the window's number."""
        window = None if self.cue_at(at) else self._open_at(at)
        return (window.teaches, window.number) if window is not None else ("", 0)

    def opened(self, at: float) -> float | None:
        """Since when the window that is open at a time has been open."""
        window = self._open_at(at)
        return window.opens if window is not None else None

    def cue_at(self, at: float) -> bool:
        """Whether one of our cues sounds at a time, its tail not counted."""
        return any(cue.start <= at and (cue.end is None or at < cue.end) for cue in self._cues)

    def at(self, onset: float, end: float) -> dict[str, Meant]:
        """What each phrase means in speech from onset to end."""
        meant: dict[str, Meant] = {}
        window = None if self.cue_at(onset) else self._open_at(onset)
        if self.address and not self.cue_at(onset):
            for key in self.addressed:
                for phrase in self.phrases.get(key, ())[:2]:
                    meant[f"{self.address}, {phrase}"] = Meant(key, addressed=True)
        self._add(meant, ANYTIME, None)
        number, until, more = self._goes_on
        before = next((one for one in self._windows if one.number == number), None)
        if before is not None and onset <= until:
            self._add(meant, more, before)
        if window is not None:
            self._add(meant, window.beside, window)
            self._add(meant, (*window.answers, window.teaches), window)
        for said in self._said(onset, end):
            meant = {phrase: what for phrase, what in meant.items() if not says(said, phrase)}
        return meant

    def own_words(self, onset: float, end: float) -> tuple[str, ...]:
        """What our own voice may be heard saying: every one to three words of its cues."""
        return tuple(piece for said in self._said(onset, end) for piece in pieces(said))

    def _add(self, meant: dict[str, Meant], keys: Iterable[str], window: _Window | None) -> None:
        for key in keys:
            for phrase in self.phrases.get(key, ()):
                if window is None:
                    meant[phrase] = Meant(key)
                else:
                    meant[phrase] = Meant(key, window.number, window.who or 1)

    def _open_at(self, at: float) -> _Window | None:
        for window in reversed(self._windows):
            if window.opens <= at and (window.closes is None or at <= window.closes):
                return window
        return None

    def _said(self, onset: float, end: float) -> list[str]:
        return [
            cue.text
            for cue in self._cues
            if cue.start < end and (cue.end is None or onset < cue.end + TAIL)
        ]


def follows(key: str, phrases: Iterable[str]) -> tuple[str, ...]:
    """What may follow an answer in one breath: more of how a try went, or of a boulder."""
    meaning = parse(key).meaning
    if meaning in DESCRIBES and meaning is not Meaning.MOVE:
        circuits = (one for one in phrases if one.startswith(f"{Meaning.CIRCUIT.value}:"))
        return (*DESCRIBED, *circuits)
    return OF_A_TRY if meaning.nature.tells else ()


def words(text: str) -> str:
    """Lower case words with single spaces and no quotes, for comparing what is said."""
    plain = text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    kept = (c if c.isalnum() or c == "'" else " " for c in plain)
    return " ".join(filter(None, (one.strip("'") for one in "".join(kept).split())))


def says(text: str, phrase: str) -> bool:
    """Whether a text, in words, holds a phrase."""
    return f" {words(phrase)} " in f" {text} "


def pieces(text: str) -> list[str]:
    """Every one to three neighbouring words."""
    parts = text.split()
    return [
        " ".join(parts[begin : begin + size])
        for size in (1, 2, 3)
        for begin in range(len(parts) - size + 1)
    ]
