"""A small fixed part of `tests.bench.hearing.teaching`: it fails where teaching stops helping."""

from coach.hearing.scorer import WhisperScorer
from tests.bench.hearing.teaching import GERMAN, german, sentences, taught_by
from tests.bench.hearing.trials import CONDITIONS, stream
from tests.hearing.voices import needs

ANSWERS = ("stop", "hurt", "feel:fingers:sore", "done", "skip", "more-time", "finish", "feel:tired")


def test_german_is_heard_in_a_hall_once_it_is_taught(scorer: WhisperScorer) -> None:
    needs("espeak-ng")
    condition = next(one for one in CONDITIONS if one.name == "hall 10 dB")
    takes, later = german("de+f3", ANSWERS)
    try:
        scorer.taught, scorer.foreign = taught_by(scorer, takes), True
        heard = stream(scorer, GERMAN.answers, condition, later)
        talk = stream(scorer, GERMAN.answers, condition, sentences("de+f3", 4))
    finally:
        scorer.taught, scorer.foreign = None, False

    assert heard.count("acted", "asked") >= 7, [one.answers for one in heard.outcomes]
    assert heard.count("wrong") == 0
    assert talk.count("wrong") == 0, [(one.spoken.phrase, one.answers) for one in talk.outcomes]
