"""The command line as a person uses it: a line in; text, errors and an exit code out."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from coach.cli import commands, diagnostics


@dataclass(frozen=True)
class Ran:
    """What a command line left behind."""

    code: int
    out: str
    err: str


Coach = Callable[..., Ran]


@pytest.fixture
def coach(capsys: pytest.CaptureFixture[str]) -> Coach:
    """Run a command line in this process."""

    def run(*args: str) -> Ran:
        capsys.readouterr()
        code = diagnostics.guarded(commands, list(args))
        out, err = capsys.readouterr()
        return Ran(int(code), out, err)

    return run
