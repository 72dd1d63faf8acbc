"""The default recogniser: a speech model that scores a closed set of phrases.

It never transcribes. On a window this short a free decoder runs in circles; asked only how
well each allowed phrase fits, the same model is right nearly always in quiet. One pass of
the encoder; of its frames the acceptor tells which of the phrases that it knows were said, and of
the others the likeliest by the decoder get their exact log-probability.
"""

import logging
import math
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from coach.errors import AudioError
from coach.hearing import acceptor, called_names, takes
from coach.hearing.decoder import ROUNDING, Decoder
from coach.hearing.features import FRAMES, log_mel
from coach.hearing.recogniser_port import HEARING_RATE, Scored, Spoken
from coach.hearing.taught import Taught
from coach.hearing.weights import OWN_LANGUAGE, whisper_folder

log = logging.getLogger(__name__)

#: Forms that get the exact score: beside an acceptor, and without one.
KEPT, KEPT_ALONE = 6, 10
#: And of those that end alike, where they are many.
MANY = 16
#: So few all get it.
FEW = 3
#: Samples of silence that names are measured against.
QUIET = 2 * HEARING_RATE
#: Spaces in phrases that may begin alike: short ones differ enough.
LONG = 2

_DIGITS = {
    word: str(number)
    for number, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve".split()
    )
}

Floats = npt.NDArray[np.float32]

_Form = tuple[str, tuple[int, ...]]
"""A phrase and the tokens of one way to write it."""


def _least(form: _Form) -> float:
    """The log-probability under which a form is ignored."""
    return acceptor.ignored_text(addressed=", " in form[0])


class WhisperScorer:
    """Whisper tiny.en through CTranslate2, int8, 3 s, one thread."""

    name = "whisper"

    def __init__(self, folder: Path | None = None) -> None:
        """Load the weights; AudioError with what to install where something is missing."""
        checked = whisper_folder(folder)
        try:
            import ctranslate2
            from tokenizers import Tokenizer
        except ImportError as error:
            raise AudioError(
                f"hearing needs {error.name}", "Install it: pip install ctranslate2 tokenizers"
            ) from error
        self.acceptor, self.lacking = acceptor.shipped()
        self.taught: Taught | None = None
        self._folder: Path | None = None
        self.foreign = False
        self._silent: dict[str, float] = {}
        self._storage = ctranslate2.StorageView
        self._model = ctranslate2.models.Whisper(
            str(checked), device="cpu", compute_type="int8", inter_threads=1, intra_threads=1
        )
        self._tokenizer = Tokenizer.from_file(str(checked / "tokenizer.json"))
        special = ("<|startoftranscript|>", "<|notimestamps|>")
        prompt = [int(self._tokenizer.token_to_id(one) or 0) for one in special]
        self._start = prompt[0]
        self._decoder = Decoder(checked / "model.bin", prompt)
        self._tokens = lru_cache(maxsize=4096)(self._tokenise)

    def score(
        self,
        sound: Floats,
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """Phrases best first; see `Recogniser`, and the acceptor for what a score is."""
        if self.foreign and self.taught is None:
            return ()
        frames = self.encode(sound)
        scored = () if self.foreign else self.score_frames(frames, phrases, against, names)
        if self.taught is None:
            return scored
        known = self.acceptor.phrases if self.acceptor is not None else ()
        near = self.taught.scores(frames, sound, phrases, known)
        return self.taught.joined(scored, near, known)

    def learn(self, folder: Path) -> None:
        """From now on use the takes of a folder; what can't be used is told by `lacking`.

        The folder has the name of their language. Of phrases in another than its own the scorer
        holds none for likely, whatever is said, so that it is not asked there.
        """
        self.foreign, self._folder = folder.name != OWN_LANGUAGE, folder
        taught, wrong = takes.load_all(folder)
        self.lacking = " ".join(filter(None, (self.lacking, *map(str, wrong))))
        self.taught = Taught(taught, takes.centre_of(self.encode)) if taught else None

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        """Know the voice by this take as well, and keep what was made of it in the folder."""
        if self._folder is None or (gathered and self.taught is None):
            return
        try:
            take = takes.take_of(self.encode, takes.centre_of(self.encode), spoken)
            takes.add(self._folder, phrase, take, gathered=gathered)
        except AudioError as error:
            log.warning("%s", error)
        else:
            self.learn(self._folder)

    def score_frames(
        self,
        frames: Floats,
        phrases: Sequence[str],
        against: Sequence[str],
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        """As `score`, for frames of `encode` and without what was taught."""
        if self.acceptor is None:
            scored = self.score_encoded(frames, (*phrases, *against))
            return tuple(Scored(one.phrase, acceptor.alone(one.score)) for one in scored)
        logits = self.acceptor.logits(frames)
        known = self.acceptor.scored(logits, phrases)
        doubtful = acceptor.doubtful(known)
        clear = bool(known) and not doubtful
        known = acceptor.weighed(known, self.exact(frames, doubtful))
        called = self.acceptor.called(logits, phrases)
        unknown = self.acceptor.unknown(phrases)
        if not clear:
            unknown += self.acceptor.later(phrases)
        if not called and not unknown:
            return known
        forms = [*self._forms(called), *self._likely(frames, (*unknown, *against), KEPT)]
        told = [
            Scored(one.phrase, acceptor.alone(one.score)) for one in self._scored(frames, forms)
        ]
        called_by_name = self._named(frames, [name for name in names if name in unknown])
        scored = acceptor.either(known, (*told, *called_by_name))
        return self._told_apart(frames, scored, phrases)

    def _named(self, frames: Floats, names: Sequence[str]) -> Sequence[Scored]:
        """The name that was said, if one was; what silence makes of each is reckoned once."""
        new = [name for name in names if name not in self._silent]
        if new:
            self._silent.update(self.exact(self.encode(np.zeros(QUIET, np.float32)), new))
        forms = self._forms(names)
        least = [called_names.least(self._silent[name]) - ROUNDING for name, _ in forms]
        left = self._decoder.likely(frames, [tokens for _, tokens in forms], least)
        exact = self._scored(frames, [forms[number] for number in left])
        return called_names.named({one.phrase: one.score for one in exact}, self._silent)

    def _told_apart(
        self, frames: Floats, scored: tuple[Scored, ...], phrases: Sequence[str]
    ) -> tuple[Scored, ...]:
        """Of many phrases that end or begin like the best one their texts decide.

        'Fifteen minutes' is in 'a hundred and fifteen minutes' as well: the networks hear both. And
        times of day, as 'until ten past seven', differ by one word of four.
        """
        best = scored[0].phrase if scored else ""
        first_word, last_word = best.partition(" ")[0], best.rpartition(" ")[2]
        ending = [p for p in phrases if p.rpartition(" ")[2] == last_word]
        beginning = [
            p for p in phrases if p.count(" ") >= LONG and p.partition(" ")[0] == first_word
        ]
        alike = max(ending, beginning, key=len)
        if len(alike) <= KEPT or best not in alike or scored[0].score < acceptor.IGNORED:
            return scored
        likely = {phrase for phrase, _ in self._likely(frames, alike, MANY)} | {best}
        exact = self.exact(frames, tuple(likely))
        first = max(exact.values())
        most = max(scored[0].score, acceptor.alone(first))
        apart = [Scored(p, most - acceptor.SLOPE * (first - score)) for p, score in exact.items()]
        others = [one for one in scored if one.phrase not in alike]
        return tuple(sorted((*apart, *others), key=lambda one: -one.score))

    def encode(self, sound: Floats) -> Floats:
        """The encoder's frames (150, 384) of at most 3 s at 16 kHz."""
        features = self._storage.from_array(log_mel(sound)[None])
        frames: Floats = np.asarray(self._model.encode(features), np.float32)[0]
        return frames

    def score_encoded(self, frames: Floats, phrases: Sequence[str]) -> tuple[Scored, ...]:
        """Phrases best first with the log-probability of their text, for frames of `encode`."""
        return self._scored(frames, self._likely(frames, phrases, KEPT_ALONE))

    def exact(self, frames: Floats, phrases: Sequence[str]) -> dict[str, float]:
        """Phrase -> log-probability of its text, for frames of `encode`."""
        return {one.phrase: one.score for one in self._scored(frames, self._forms(phrases))}

    def _forms(self, phrases: Sequence[str]) -> list[_Form]:
        return [(phrase, form) for phrase in phrases for form in self._tokens(phrase)]

    def _likely(self, frames: Floats, phrases: Sequence[str], most: int) -> list[_Form]:
        """The likeliest forms, best first, by the decoder; none that can only be ignored.

        A text is never likelier than how it begins, so that a beginning which is too unlikely is
        given up whatever follows.
        """
        forms = self._forms(phrases)
        if len(forms) <= FEW:
            return forms
        least = [_least(form) - ROUNDING for form in forms]
        chances = self._decoder.likely(frames, [tokens for _, tokens in forms], least)
        best = sorted(chances, key=lambda number: -chances[number])
        return [forms[number] for number in best[:most]]

    def _scored(self, frames: Floats, forms: Sequence[_Form]) -> tuple[Scored, ...]:
        """The exact score of each phrase, by its best form, best first."""
        if not forms:
            return ()
        best: dict[str, float] = {}
        scores = self._exact(frames, [tokens for _, tokens in forms])
        for (phrase, _), score in zip(forms, scores, strict=True):
            best[phrase] = max(score, best.get(phrase, -math.inf))
        scored = (Scored(phrase, score) for phrase, score in best.items())
        return tuple(sorted(scored, key=lambda item: -item.score))

    def _exact(self, frames: Floats, texts: list[tuple[int, ...]]) -> list[float]:
        batch = np.repeat(frames[None], len(texts), axis=0)
        aligned = self._model.align(
            self._storage.from_array(batch), [self._start], [list(t) for t in texts], FRAMES
        )
        return [
            math.fsum(math.log(max(probability, 1e-10)) for probability in item.text_token_probs)
            for item in aligned
        ]

    def _tokenise(self, phrase: str) -> tuple[tuple[int, ...], ...]:
        """The token forms of a phrase: as a sentence, and what else the model may write of it.

        A number also in digits, and an address word also without the comma after it.
        """
        spellings = [phrase]
        head, _, tail = phrase.rpartition(" ")
        if tail in _DIGITS:
            spellings.append(f"{head} {_DIGITS[tail]}".strip())
        spellings += [one.replace(",", "") for one in spellings if "," in one]
        texts = [f" {one[0].upper()}{one[1:]}." for one in spellings]
        return tuple(
            tuple(self._tokenizer.encode(text, add_special_tokens=False).ids) for text in texts
        )
