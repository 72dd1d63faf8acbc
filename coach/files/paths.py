"""Every folder and file that the program keeps on this machine.

Config: what the climber may edit. Data: the journal, own routines and voices. State: logs and the
last choices. Cache: sounds that can be made again. `COACH_HOME` puts all under one folder.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import PlatformDirs

_APP = "coach"


@dataclass(frozen=True, slots=True)
class Paths:
    """The four folders, and what stands in each. Nothing is created by asking."""

    config: Path
    data: Path
    state: Path
    cache: Path

    @property
    def settings(self) -> Path:
        """The remembered settings."""
        return self.config / "config.toml"

    @property
    def journal(self) -> Path:
        """The database that keeps every session."""
        return self.data / "journal.db"

    @property
    def notes(self) -> Path:
        """Spoken notes: the only sound from the microphone that is ever kept."""
        return self.data / "notes"

    def takes(self, language: str) -> Path:
        """What was made of a climber's own takes of phrases, where they were taught."""
        return self.data / "takes" / language

    @property
    def models(self) -> Path:
        """Models of the recogniser vosk."""
        return self.data / "models"

    @property
    def log(self) -> Path:
        """What went wrong, for a report."""
        return self.state / "coach.log"

    @property
    def cues(self) -> Path:
        """Rendered sentences."""
        return self.cache / "cues"

    @property
    def names(self) -> Path:
        """Which names of a group the ear could not tell."""
        return self.cache / "names"

    @property
    def user_dirs(self) -> tuple[Path, ...]:
        """Folders whose `routines/` and `voices/` win over ours by name."""
        return (self.data,)


def paths(environ: Mapping[str, str] = os.environ) -> Paths:
    """The folders of this user; an empty COACH_HOME counts as unset."""
    home = environ.get("COACH_HOME", "")
    if home:
        root = Path(home).expanduser().absolute()
        return Paths(root / "config", root / "data", root / "state", root / "cache")
    dirs = PlatformDirs(_APP, appauthor=False)
    return Paths(
        dirs.user_config_path, dirs.user_data_path, dirs.user_state_path, dirs.user_cache_path
    )
