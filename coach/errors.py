"""The one family of errors: what happened, where, and what to do next, with its exit code."""

from enum import IntEnum
from pathlib import Path


class ExitCode(IntEnum):
    """What the process returns; documented in docs/commands.md."""

    OK = 0
    FAILED = 1
    #: a command line, settings, routine, voice or answers file that is not valid
    USAGE = 2
    #: an audio device or a speech engine is missing
    AUDIO = 3
    #: the journal can't be read or written
    JOURNAL = 4
    INTERRUPTED = 130


class CoachError(Exception):
    """What happened, and what to do next. Shown as text on stderr by one place only."""

    code = ExitCode.FAILED

    def __init__(self, what: str, do: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.do = do

    def __str__(self) -> str:
        return f"{self.what}\n  {self.do}" if self.do else self.what


class UsageError(CoachError):
    """The command line asks for something that can't be."""

    code = ExitCode.USAGE


class FileError(CoachError):
    """A data file is not valid: file, key, line, and the nearest valid name."""

    code = ExitCode.USAGE

    def __init__(
        self, path: Path | str, what: str, do: str = "", *, line: int = 0, key: str = ""
    ) -> None:
        where = f"{path}:{line}" if line else f"{path}"
        super().__init__(f"{where}: {key}: {what}" if key else f"{where}: {what}", do)
        self.path = Path(path)
        self.line = line
        self.key = key


class AudioError(CoachError):
    """A device or an engine is missing or failed."""

    code = ExitCode.AUDIO


class JournalError(CoachError):
    """The journal can't be opened, read or written."""

    code = ExitCode.JOURNAL
