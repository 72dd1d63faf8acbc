"""The climber's own takes: how they are compared, kept, and what they change."""

from pathlib import Path

import numpy as np
import pytest

from coach.errors import AudioError
from coach.files.library import load_library
from coach.files.words import load_language
from coach.hearing import takes
from coach.hearing.child import ChildEngine
from coach.hearing.knowing import unheard
from coach.hearing.recogniser_port import Spoken
from coach.hearing.scorer import WhisperScorer
from coach.hearing.takes import centre_of, load, load_all, path_of, save, take_of
from coach.hearing.taught import SAMPLES, Take, Taught, joined, kept
from coach.hearing.teaching import AFTER, Lesson, learn, takes_in
from coach.model.answers import ANYTIME
from tests.bench.hearing import material
from tests.bench.hearing.material import RATE, Floats, Voice
from tests.hearing.voices import needs

RNG = np.random.default_rng(5)
CENTRE = np.zeros(384, np.float32)


def walk(n: int) -> Floats:
    """Steps of a made-up word."""
    return RNG.standard_normal((n, 384)).astype(np.float32)


def frames_of(*parts: Floats) -> Floats:
    """Encoder frames whose steps are these, then nothing in particular."""
    joined_ = np.concatenate(parts)
    frames = np.repeat(joined_, 2, axis=0)
    return np.concatenate([frames, 0.1 * RNG.standard_normal((150 - len(frames), 384))]).astype(
        np.float32
    )


def loud(steps: int, *quiet: slice) -> Floats:
    sound = np.full(steps * SAMPLES, 0.1, np.float32)
    for part in quiet:
        sound[part.start * SAMPLES : part.stop * SAMPLES] = 1e-4
    return sound


def test_what_is_said_again_is_nearer_than_another_word_at_any_place_and_pace() -> None:
    basta, altro = walk(12), walk(12)
    taught = Taught({"basta": [Take(kept(basta))], "altro": [Take(kept(altro))]}, CENTRE)
    slower = np.repeat(basta, [1, 2] * 6, axis=0)
    for said in (basta, slower, basta[::2].repeat(2, axis=0)):
        frames = frames_of(walk(5), said, walk(4))
        quiet = loud(9 + len(said), slice(0, 5), slice(5 + len(said), 9 + len(said)))
        scores = taught.scores(frames, quiet, ["basta", "altro", "not taught"])
        assert scores.keys() == {"basta", "altro"}
        assert scores["basta"] > scores["altro"] + 10


def test_a_phrase_inside_a_longer_sentence_is_less_likely_than_alone() -> None:
    basta = walk(10)
    taught = Taught({"basta": [Take(kept(basta))]}, CENTRE)
    frames = frames_of(walk(15), basta, walk(15))
    alone = loud(40, slice(0, 15), slice(25, 40))
    assert taught.scores(frames, alone, ["basta"])["basta"] > 0
    assert taught.scores(frames, loud(40), ["basta"])["basta"] < -4


def test_takes_with_noise_help_where_it_is_noisy() -> None:
    basta, noise = walk(10), 1.5 * walk(10)
    plain = Taught({"basta": [Take(kept(basta))]}, CENTRE)
    noisy = Taught({"basta": [Take(kept(basta), (kept(basta + noise),))]}, CENTRE)
    heard = frames_of(basta + noise)
    sound = loud(10)
    assert noisy.scores(heard, sound, ["basta"])["basta"] > (
        plain.scores(heard, sound, ["basta"])["basta"] + 5
    )


def test_nothing_taught_of_what_counts_says_nothing() -> None:
    taught = Taught({"basta": [Take(kept(walk(5)))], "empty": []}, CENTRE)
    assert taught.phrases == ("basta",)
    assert taught.scores(frames_of(walk(5)), loud(5), ["done"]) == {}


def test_takes_alone_are_enough_only_where_the_recogniser_knows_nothing() -> None:
    assert joined(-30.0, 2.0, known=False) > 1
    assert joined(-30.0, -6.0, known=False) < -5
    assert joined(-30.0, -3.0, known=True) == joined(-8.0, -3.0, known=True) < -3
    assert joined(-2.0, -1.0, known=True) > joined(-2.0, -6.0, known=True)


def test_takes_are_kept_without_sound_and_come_back_as_they_were(tmp_path: Path) -> None:
    made = [Take(kept(walk(9)), (kept(walk(9)), kept(walk(9)))), Take(kept(walk(7)))]
    path = save(tmp_path / "en", "all done", made)

    assert path == path_of(tmp_path / "en", "all done")
    assert path.stat().st_size < 20_000
    phrase, found = load(path)
    assert phrase == "all done"
    for one, other in zip(made, found, strict=True):
        assert np.array_equal(one.quiet, other.quiet)
        assert len(one.noisy) == len(other.noisy)
        assert all(map(np.array_equal, one.noisy, other.noisy))
    assert not list((tmp_path / "en").glob("*.part"))


def test_damaged_takes_and_those_of_other_weights_are_told_and_left_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save(tmp_path, "good", [Take(kept(walk(5)))])
    (tmp_path / "half.npz").write_bytes(path_of(tmp_path, "good").read_bytes()[:300])
    (tmp_path / "no.npz").write_bytes(b"nothing of the kind")
    found, wrong = load_all(tmp_path)
    assert list(found) == ["good"]
    assert [
        path.name in str(error)
        for path, error in zip((tmp_path / "half.npz", tmp_path / "no.npz"), wrong, strict=True)
    ] == [True, True]

    monkeypatch.setattr(takes, "SHA256", "another")
    with pytest.raises(AudioError, match="'good' was taught to other weights"):
        load(path_of(tmp_path, "good"))


def test_takes_that_can_not_be_written_are_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(AudioError, match="can't be written"):
        save(tmp_path / "file", "good", [Take(kept(walk(5)))])


def test_no_takes_are_no_mistake(tmp_path: Path) -> None:
    assert load_all(tmp_path / "nowhere") == ({}, [])


def said(phrase: str, *voices: Voice) -> tuple[Spoken, ...]:
    """A phrase in a quiet room, cut out as the microphone's sound is."""
    found = []
    for voice in voices:
        sound = np.concatenate([np.zeros(RATE, np.float32), material.say(voice, phrase)])
        room = 1e-4 * RNG.standard_normal(len(sound))
        found += takes_in((sound + room).astype(np.float32))
    return tuple(found)


PACES = ((150, 50), (165, 46), (175, 54))
GERMAN = tuple(Voice("espeak-ng", "de", rate, pitch) for rate, pitch in PACES)


def test_a_word_in_no_pack_is_heard_once_it_is_taught(
    scorer: WhisperScorer, tmp_path: Path
) -> None:
    needs("espeak-ng")
    answers = load_language("en", load_library("full").movements).phrases((*ANYTIME, "skip"))
    lesson = Lesson("done", "genug jetzt", said("genug jetzt", *GERMAN))
    assert len(lesson.spoken) == 3
    centre = centre_of(scorer.encode)

    (learnt,) = learn(scorer, centre, [lesson], answers, {})

    assert learnt.before < learnt.now == 3
    assert scorer.taught is None
    save(tmp_path / "en", "genug jetzt", learnt.takes)
    own = ChildEngine("whisper", takes=tmp_path / "en")
    again = said("genug jetzt", Voice("espeak-ng", "de", 155, 48))[0].sound
    other = said("mach mal weiter", Voice("espeak-ng", "de", 155, 48))[0].sound
    phrases = ("genug jetzt", *(one for some in answers.values() for one in some))
    try:
        best = own.score(again, phrases)[0]
        assert best.phrase == "genug jetzt"
        assert best.score > -3
        scored = own.score(other, phrases)
        assert all(one.score < -9 for one in scored if one.phrase == "genug jetzt")
    finally:
        own.stop()


def test_a_damaged_file_is_told_by_the_recogniser(scorer: WhisperScorer, tmp_path: Path) -> None:
    (tmp_path / "bad.npz").write_bytes(b"")
    before = scorer.lacking
    try:
        scorer.learn(tmp_path)
        assert "bad.npz" in scorer.lacking
        assert scorer.taught is None
        assert scorer.foreign
        assert scorer.score(np.zeros(RATE, np.float32), ["done"]) == ()
    finally:
        scorer.lacking, scorer.foreign = before, False


def test_a_take_ends_with_its_word_and_silence_is_none() -> None:
    needs("espeak-ng")
    (one,) = said("fertig", GERMAN[0])
    assert 0 < one.onset < one.end < len(one.sound)
    assert takes_in(np.zeros(RATE, np.float32)) == []
    assert AFTER > 0


def test_a_take_keeps_what_was_said_and_little_around_it(scorer: WhisperScorer) -> None:
    sound = (1e-4 * RNG.standard_normal(RATE)).astype(np.float32)
    made = take_of(scorer.encode, centre_of(scorer.encode), Spoken(sound, 4800, 9600))
    assert 8 <= len(made.quiet) <= 12
    assert [len(one) for one in made.noisy] == [len(made.quiet)] * 2


def test_answers_that_can_not_be_heard_yet_are_told_by_phrase_and_file(tmp_path: Path) -> None:
    answers = {"done": ("bin fertig", "fertig"), "skip": ("auslassen",), "yes": ("ja",)}
    file = tmp_path / "de.toml"
    assert unheard("en", answers, tmp_path, file) == []

    (told,) = unheard("de", answers, tmp_path, file)
    assert f"{file}: 'bin fertig' and 2 other answers" in told.what
    save(tmp_path, "fertig", [Take(kept(walk(5)))])
    (told,) = unheard("de", answers, tmp_path, file)
    assert "'auslassen' and 1 other" in told.what
    for phrase in ("auslassen", "ja"):
        save(tmp_path, phrase, [Take(kept(walk(5)))])
    assert unheard("de", answers, tmp_path, file) == []


def test_an_answer_after_the_word_that_calls_is_known_where_both_were_taught() -> None:
    call, done, other = walk(8), walk(9), walk(9)
    takes_ = {
        name: [Take(kept(one), (kept(one),))] for name, one in (("trainer", call), ("fertig", done))
    }
    taught = Taught(takes_, CENTRE)
    asked = ["trainer, fertig", "trainer, weiter", "fertig"]

    scores = taught.scores(frames_of(call, done), loud(17), asked)
    assert scores.keys() == {"trainer, fertig", "fertig"}
    assert scores["trainer, fertig"] > 5
    assert taught.scores(frames_of(call, other), loud(17), asked)["trainer, fertig"] < -5
    assert taught.scores(frames_of(done), loud(9), asked)["trainer, fertig"] < -5


def test_where_it_is_quiet_more_is_asked_of_takes_that_stand_alone() -> None:
    basta = walk(10)
    taught = Taught({"basta": [Take(kept(basta))]}, CENTRE)
    frames = frames_of(walk(5), basta)
    quiet, noisy = loud(15, slice(0, 5)), loud(15)
    noisy[: 5 * SAMPLES] /= 3

    def score(sound: Floats, *trained: str) -> float:
        return taught.scores(frames, sound, ["basta"], trained)["basta"]

    assert score(quiet) < score(noisy) - 2
    assert score(quiet, "basta") > score(quiet) + 2
