"""What is stored comes back exactly, for every class there is."""

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import JournalError
from coach.journal import codec
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.facts import BoulderNamed, Felt, Rested
from coach.model.messages import Message
from coach.model.start import Start
from coach.record.digest import Digest
from coach.session.events import SoundEnded, SoundStarted
from tests.journal.made import EVENTS, FACTS, of, start

#: Of each class: they are made of a few kinds of fields, which all share.
EXAMPLES = 25


def test_finds_every_class_by_itself() -> None:
    assert {"Started", "Answered", "KeyClaimed"} < EVENTS.keys()
    assert {"Planned", "Felt", "Finished"} < FACTS.keys()
    assert not EVENTS.keys() & FACTS.keys()


@pytest.mark.parametrize("name", sorted(EVENTS))
@settings(max_examples=EXAMPLES)
@given(data=st.data())
def test_event_comes_back_exactly(name: str, data: st.DataObject) -> None:
    event = data.draw(of(EVENTS[name]))
    back = codec.decode_event(*codec.encode(event))
    assert back == event
    assert repr(back) == repr(event)  # 1 and 1.0 are equal but not the same


@pytest.mark.parametrize("name", sorted(FACTS))
@settings(max_examples=EXAMPLES)
@given(data=st.data())
def test_fact_comes_back_exactly(name: str, data: st.DataObject) -> None:
    fact = data.draw(of(FACTS[name]))
    back = codec.decode_fact(*codec.encode(fact))
    assert back == fact
    assert repr(back) == repr(fact)


@given(made=of(Digest))
def test_digest_comes_back_exactly(made: Digest) -> None:
    back = codec.decode_digest(codec.encode_digest(made))
    assert back == made
    assert repr(back) == repr(made)


@pytest.mark.parametrize("body", ["{", "[]", "{}", '{"rests":[[1.0]],"edges":[],"felt":{}}'])
def test_damaged_digest_is_named(body: str) -> None:
    with pytest.raises(JournalError, match="digest is damaged"):
        codec.decode_digest(body)


@given(began=of(Start))
def test_start_comes_back_exactly(began: Start) -> None:
    _, library = codec.encode_library(began.library)
    decoded = codec.decode_library(library)
    assert codec.decode_start(codec.encode_start(began), decoded) == began


@given(library=of(Library))
def test_library_digest_does_not_hang_on_order_in_memory(library: Library) -> None:
    again = codec.decode_library(codec.encode_library(library)[1])
    assert codec.encode_library(again) == codec.encode_library(library)


_DIGEST = """
from coach.journal.codec import encode_library
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.place import Place
from coach.model.routine import Routine
words = frozenset(map(str, range(50)))
print(encode_library(Library({}, Routine("r", {}, 1, 1, ()), Place("p", ()), words))[0])
"""


def test_library_digest_is_the_same_in_every_process() -> None:
    digests = {
        subprocess.run(
            [sys.executable, "-c", _DIGEST],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)},
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(digests) == 1


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_numbers_that_json_lacks_are_refused_when_written(value: float) -> None:
    with pytest.raises(JournalError, match="can't be written"):
        codec.encode(SoundStarted(value, 1, Message("x")))


def test_text_that_utf8_lacks_is_refused_when_written() -> None:
    with pytest.raises(JournalError, match="can't be written"):
        codec.encode(BoulderNamed(0.0, 1, "\ud800"))


@pytest.mark.parametrize(
    ("kind", "body", "says"),
    [
        ("Unheard", "{}", "'Unheard'"),
        ("Rested", '{"at":1.0}', "'Rested'"),
        ("SoundEnded", '{"at":1.0,"sound":"one"}', "sound"),
        ("SoundEnded", '{"at":1.0,"sound"', "SoundEnded is damaged"),
    ],
)
def test_damaged_event_is_named(kind: str, body: str, says: str) -> None:
    with pytest.raises(JournalError, match=says):
        codec.decode_event(kind, body)


def test_damaged_fact_and_start_are_named() -> None:
    with pytest.raises(JournalError, match="feel"):
        codec.decode_fact("Felt", '{"at":1.0,"who":1,"part":"fingers","feel":"purple"}')
    with pytest.raises(JournalError, match="beginning of a session"):
        codec.decode_start("{", start().library)


def test_checksum_sees_one_flipped_bit() -> None:
    event = codec.encode(SoundEnded(1.0, 2))
    facts = [codec.encode(Rested(1.0, 0, 60.0, 90.0, "hard.2.rest"))]
    whole = codec.checksum("2026-01-01T00:00:00+00:00", event, facts)
    flipped = event[1].replace("2", "3")
    assert codec.checksum("2026-01-01T00:00:00+00:00", (event[0], flipped), facts) != whole
    assert codec.checksum("2026-01-01T00:00:00+00:00", event, []) != whole


def test_felt_fact_reads_as_plain_json() -> None:
    kind, body = codec.encode(Felt(1.5, 1, Part.FINGERS, Feel.SORE, gate="gate-fingers"))
    assert kind == "Felt"
    assert body == (
        '{"at":1.5,"who":1,"part":"fingers","feel":"sore","tissue":null,"gate":"gate-fingers"}'
    )
