"""Voice profiles: `voices/*.toml`. The language packs in `voices/words` are not read here."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

from pydantic import Field

from coach.files.checked_tables import Language, Table, Text, validate
from coach.files.document import Document, read
from coach.files.find import FileKind, files, find
from coach.model.voice_profile import VoiceProfile


class VoiceTable(Table):
    """A file of `voices`; see `coach.model.voice_profile.VoiceProfile` for what each key means."""

    language: Language
    engine: Text
    voice: Text
    words_per_minute: Annotated[int, Field(ge=80, le=300)]
    pitch: Annotated[int, Field(ge=0, le=100)]
    loudness_lufs: Annotated[float, Field(ge=-40, le=-9, allow_inf_nan=False)]
    emphasis_db: Annotated[float, Field(ge=0, le=12, allow_inf_nan=False)] = 0.0


def list_voices(user_dirs: Sequence[Path] = ()) -> list[str]:
    """The names of all voice profiles."""
    return sorted(files(FileKind.VOICE, user_dirs))


def load_voice(name: str, user_dirs: Sequence[Path] = ()) -> VoiceProfile:
    """A voice profile by name; FileError with the nearest name, or for the first mistake in it."""
    return voice_of(read(find(FileKind.VOICE, name, user_dirs)))


def voice_of(document: Document) -> VoiceProfile:
    """The voice profile that a file describes."""
    table = validate(document, VoiceTable)
    return VoiceProfile(
        name=document.name,
        language=table.language,
        engine=table.engine,
        voice=table.voice,
        words_per_minute=table.words_per_minute,
        pitch=table.pitch,
        loudness_lufs=float(table.loudness_lufs),
        emphasis_db=float(table.emphasis_db),
    )
