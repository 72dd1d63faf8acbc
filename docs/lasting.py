"""What each way in which sound fails leads to: a table of `docs/lasting.md`.

The kinds are those that are simulated, the numbers those of the code, and the words those of the
language pack.
"""

from coach.audio.coming import PATIENCE, RETRY, RETRY_MOST, SOON, STEADY
from coach.audio.health import GATED, NEVER, ZEROS
from coach.audio.incoming import KNOWN, SPELL, SPELLS
from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.model.messages import message
from docs.generate import table
from tests.audio.faults import Kind

_BY_ITSELF = f"it is tried again after {RETRY:g} s and up to every {RETRY_MOST:g} s"

#: Kind -> what happens, what you do.
WHAT: dict[Kind, tuple[str, str]] = {
    Kind.MICROPHONE_GONE: (
        f"you hear it after {PATIENCE:g} s; {_BY_ITSELF}; a word you were saying is lost",
        "plug it in again, or answer by keys",
    ),
    Kind.SPEAKER_GONE: (
        (
            f"the screen says so after {PATIENCE:g} s; timers, cues and answers go on unheard; "
            f"{_BY_ITSELF}"
        ),
        "plug it in again, or read the screen",
    ),
    Kind.HEADSET_GONE: (
        "both of the above; with an empty battery it is said once and never again",
        "charge it or plug another one in; keys do everything meanwhile",
    ),
    Kind.CHANGED: (
        (
            "with a sound server (PulseAudio was tried) the sound moves along, at whatever "
            "rate the new device has; without one it stays where it is"
        ),
        "nothing; without a server, unplug the old one",
    ),
    Kind.HUNG: (
        (
            f"under {PATIENCE:g} s what was kept meanwhile is heard late; after that as if it were "
            "unplugged; a driver that does not even let go is waited for"
        ),
        "nothing; if it stays away, unplug the device",
    ),
    Kind.DROPOUTS: (
        "what was lost is counted as played, so that later times stay right",
        "move nearer to the machine; switch off its other radio devices",
    ),
    Kind.ASLEEP: (
        "a pause, with its length said; the time it took is gone from the session",
        "say or press to go on",
    ),
    Kind.ZEROS: (
        (
            f"a microphone that gave sound counts as gone after {ZEROS:g} s of zeros, one that "
            f"never did after {NEVER:g} s, one with a noise gate after {GATED / 60:g} min"
        ),
        "check its switch, its battery and the system's mixer",
    ),
    Kind.CLIPPING: (
        "heard as well as it goes; `coach soundcheck` says so",
        "turn its level down",
    ),
    Kind.OFFSET: ("taken away before anything listens", "nothing"),
    Kind.STEREO: ("the channels are put together, so that a dead one does not matter", "nothing"),
    Kind.RATE: ("converted, also from a headset's 8 and 16 kHz in a call", "nothing"),
    Kind.WRONG_RATE: (
        (
            f"found out in about {SPELLS * SPELL:g} s by counting, and converted "
            f"({', '.join(f'{rate / 1000:g}' for rate in KNOWN)} kHz); of the microphone only"
        ),
        "nothing",
    ),
}


def faults() -> str:
    """Every kind of fault with what happens and what to do."""
    return table(("what fails", "what happens", "what you do"), ((k, *WHAT[k]) for k in Kind))


def words() -> str:
    """What is said of it, as a list."""
    language = load_language("en", load_movements(()))
    said = [
        message("device-lost", device="microphone"),
        message("device-back", device="microphone"),
        message("key-first"),
        message("slept", minutes=5),
    ]
    return "\n".join(f"- “{language.text(one)}”" for one in said)


def coming() -> str:
    """How one that comes and goes is announced."""
    return (
        f"A device that is gone again within {SOON:g} s of its return is announced once more; "
        f"after that, its return is believed only when it has stayed for {STEADY:g} s."
    )
