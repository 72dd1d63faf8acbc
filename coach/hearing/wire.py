"""Messages between the program and its recogniser process: a length, a head, a sound.

Each message is two little-endian lengths, a head in JSON, and samples as 32-bit floats.
"""

import json
import struct
from typing import Any, BinaryIO

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]

_LENGTHS = struct.Struct("<II")


def write(pipe: BinaryIO, head: dict[str, Any], sound: Floats | None = None) -> None:
    """Send one message; OSError where nobody reads any more."""
    text = json.dumps(head).encode()
    body = b"" if sound is None else sound.astype("<f4").tobytes()
    pipe.write(_LENGTHS.pack(len(text), len(body)) + text + body)
    pipe.flush()


def read(pipe: BinaryIO) -> tuple[dict[str, Any], Floats] | None:
    """The next message; None where the other end has gone."""
    lengths = pipe.read(_LENGTHS.size)
    if len(lengths) < _LENGTHS.size:
        return None
    of_text, of_body = _LENGTHS.unpack(lengths)
    text, body = pipe.read(of_text), pipe.read(of_body)
    if len(text) < of_text or len(body) < of_body:
        return None
    return json.loads(text), np.frombuffer(body, "<f4").astype(np.float32)
