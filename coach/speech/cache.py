"""Rendered sentences on disk, so that a cue is ready before it is needed.

An entry is a digest and 16-bit samples at RATE. What doesn't match its digest is as good as
absent: it is removed and rendered again.
"""

import contextlib
import hashlib
import json
import os
import tempfile
from pathlib import Path

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.speech.synthesiser_port import VoiceProfile

#: Part of every key; changes when sentences are shaped differently before they are stored.
SHAPE = 1

_DIGEST = hashlib.sha256().digest_size


class Cache:
    """A folder of rendered sentences, made when first written to."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def get(self, key: str) -> Samples | None:
        """The samples stored under key, or None."""
        path = self._path(key)
        try:
            data = path.read_bytes()
        except OSError:
            return None
        digest, pcm = data[:_DIGEST], data[_DIGEST:]
        if hashlib.sha256(pcm).digest() != digest or len(pcm) % 2:
            with contextlib.suppress(OSError):
                path.unlink()
            return None
        return (np.frombuffer(pcm, "<i2") / 32767).astype(np.float32)

    def holds(self, key: str) -> bool:
        """Whether there is an entry under key; that it is whole is seen when it is read."""
        return self._path(key).is_file()

    def put(self, key: str, samples: Samples) -> None:
        """Store samples under key, whole or not at all; OSError if the folder can't be written."""
        pcm = (np.clip(samples, -1, 1) * 32767).round().astype("<i2").tobytes()
        self._write(self._path(key), hashlib.sha256(pcm).digest() + pcm)

    def number(self, key: str) -> float | None:
        """The number stored under key, or None."""
        try:
            digest, _, text = self._path(key, ".number").read_text("ascii").partition(" ")
            return float(text) if digest == hashlib.sha256(text.encode()).hexdigest() else None
        except (OSError, ValueError):
            return None

    def put_number(self, key: str, number: float) -> None:
        """Store a number under key, whole or not at all; OSError if it can't be written."""
        text = repr(number)
        digest = hashlib.sha256(text.encode()).hexdigest()
        self._write(self._path(key, ".number"), f"{digest} {text}".encode("ascii"))

    def _write(self, path: Path, data: bytes) -> None:
        self._folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=self._folder, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(name).replace(path)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise

    def _path(self, key: str, kind: str = ".pcm") -> Path:
        return self._folder / f"{key}{kind}"


def key(engine: str, version: str, profile: VoiceProfile, text: str) -> str:
    """Name of a sentence as this engine and profile say it; loudness is applied later."""
    parts = [
        *(SHAPE, RATE, engine, version, profile.language, profile.voice),
        *(profile.words_per_minute, profile.pitch, text),
    ]
    return hashlib.sha256(json.dumps(parts, ensure_ascii=False).encode()).hexdigest()[:40]
