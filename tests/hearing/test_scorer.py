"""The scorer's search among texts, judged by the exact score of every one of them."""

import math

import pytest

from coach.hearing import bands
from coach.hearing.acceptor import ADDRESS, IGNORED, alone, ignored_text
from coach.hearing.decoder import ROUNDING
from coach.hearing.scorer import WhisperScorer
from tests.bench.hearing import material
from tests.hearing.voices import needs

pytest.importorskip("ctranslate2")

#: Texts that begin alike for long, and others.
TIMES = tuple(
    f"until {minutes} past {hour}"
    for hour in ("five", "six", "seven", "eight", "nine")
    for minutes in ("five", "ten", "twenty", "half", "quarter")
)
IGNORED_TEXT = ignored_text(addressed=False)
OTHERS = ("it is swollen", "it's numb", "my chest hurts", "i feel drowsy", "i heard a pop")


@pytest.fixture(scope="module")
def scorer() -> WhisperScorer:
    return WhisperScorer()


def said(scorer: WhisperScorer, text: str) -> material.Floats:
    """Encoder frames of a text by a voice of rules, in quiet."""
    needs("espeak-ng")
    return scorer.encode(material.say(material.Voice("espeak-ng", "en-gb", 150), text))


@pytest.mark.parametrize("text", ["until ten past seven", "we could get noodles after this"])
def test_the_decoder_drops_no_text_that_the_library_finds_likelier(
    scorer: WhisperScorer, text: str
) -> None:
    """Judge: the library's exact score, from an alignment that looks at the whole text at once."""
    frames = said(scorer, text)
    texts = [tokens for phrase in (*TIMES, *OTHERS) for tokens in scorer._tokens(phrase)]
    exact = scorer._exact(frames, texts)
    most = scorer._decoder.likely(frames, texts, [-math.inf] * len(texts))
    short = [exact[n] - most[n] for n in range(len(texts)) if exact[n] > IGNORED_TEXT - 4]
    assert max(short, default=0.0) < ROUNDING
    least = sorted(exact)[-3]
    assert len(scorer._decoder.likely(frames, texts, [least - ROUNDING] * len(texts))) >= 3


def test_the_decoder_tells_texts_by_what_was_heard(scorer: WhisperScorer) -> None:
    """It can't be so generous that it drops nothing: of texts that nobody said hardly one stays."""
    frames = said(scorer, "we could get noodles after this")
    texts = [tokens for phrase in (*TIMES, *OTHERS) for tokens in scorer._tokens(phrase)]
    assert len(scorer._decoder.likely(frames, texts, [IGNORED_TEXT] * len(texts))) <= 1


@pytest.mark.parametrize(
    "text", ["until ten past seven", "until twenty past nine", "i feel drowsy"]
)
def test_the_search_finds_what_is_likeliest_of_all(scorer: WhisperScorer, text: str) -> None:
    frames = said(scorer, text)
    every = scorer.exact(frames, (*TIMES, *OTHERS))
    best = max(every, key=lambda one: every[one])
    found = scorer.score_encoded(frames, (*TIMES, *OTHERS))
    assert found[0].phrase == best
    assert found[0].score == pytest.approx(every[best], abs=0.1)


def test_the_search_leaves_out_only_what_no_band_heeds(scorer: WhisperScorer) -> None:
    frames = said(scorer, "we could get noodles after this")
    found = {one.phrase for one in scorer.score_encoded(frames, (*TIMES, *OTHERS))}
    every = scorer.exact(frames, (*TIMES, *OTHERS))
    heeded = {one for one, score in every.items() if score > ignored_text(addressed=False) + 0.6}
    assert heeded <= found


def test_no_band_heeds_what_is_ignored() -> None:
    """Neither as the best nor as the next one, with the share of the word that calls."""
    for _, table in bands._TABLE["whisper"]:
        for band in (table.danger, table.lowering, table.neutral, table.raising):
            assert band.ask > IGNORED
            assert band.act - band.margin > IGNORED
    assert alone(ignored_text(addressed=False)) == pytest.approx(IGNORED)
    assert alone(ignored_text(addressed=True)) + ADDRESS == pytest.approx(IGNORED)
