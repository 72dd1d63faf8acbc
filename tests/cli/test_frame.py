"""What every command shares: help, wrong lines, unexpected errors, exit codes, streams."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import click
import pytest

import coach.cli
from coach import distribution
from coach.cli import COMMANDS, diagnostics
from coach.errors import ExitCode, JournalError
from tests.cli.conftest import Coach


def test_no_command_shows_a_short_help_with_an_example(coach: Coach) -> None:
    ran = coach()

    assert ran.code == ExitCode.OK
    assert "coach start --until" in ran.out
    assert len(ran.out.splitlines()) <= 38


@pytest.mark.parametrize("flag", ["-h", "--help"])
@pytest.mark.parametrize("command", [None, *COMMANDS])
def test_help_is_everywhere(coach: Coach, command: str | None, flag: str) -> None:
    ran = coach(*filter(None, (command, flag)))

    assert ran.code == ExitCode.OK
    assert ran.out.startswith("Usage: coach")
    assert ran.err == ""


def test_the_version_is_the_installed_one(coach: Coach) -> None:
    assert coach("--version").out == f"coach {distribution.program()}\n"


def test_a_mistyped_command_is_told_the_near_one_and_not_run(coach: Coach) -> None:
    ran = coach("strat")

    assert ran.code == ExitCode.USAGE
    assert ran.out == ""
    assert "'strat'" in ran.err
    assert "Did you mean 'start'?" in ran.err


def test_a_wrong_option_names_the_help_that_fits(coach: Coach) -> None:
    ran = coach("plan", "--minuts", "45")

    assert ran.code == ExitCode.USAGE
    assert "--minuts" in ran.err
    assert "'coach plan -h'" in ran.err


@pytest.mark.parametrize("name", COMMANDS)
def test_a_prefix_of_a_command_is_not_the_command(coach: Coach, name: str) -> None:
    assert coach(name[:-1]).code == ExitCode.USAGE


def raising(error: BaseException) -> click.Command:
    """A command that ends by this error."""

    @click.command("fails")
    def fails() -> None:
        raise error

    return fails


def test_an_expected_error_is_a_sentence_and_its_own_exit_code(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code = diagnostics.guarded(raising(JournalError("it is newer", "Update the program.")), [])

    assert code == ExitCode.JOURNAL
    assert capsys.readouterr() == ("", "coach: it is newer\n  Update the program.\n")


def test_an_unexpected_error_is_a_sentence_and_keeps_its_trace(
    capsys: pytest.CaptureFixture[str], home: Path
) -> None:
    code = diagnostics.guarded(raising(ZeroDivisionError("by nought")), [])

    err = capsys.readouterr().err
    log = home / "state" / "coach.log"
    assert code == ExitCode.FAILED
    assert "ZeroDivisionError: by nought" in err
    assert "Traceback" not in err
    assert str(log) in err
    assert "Traceback" in log.read_text(encoding="utf-8")


def test_debug_shows_the_trace_at_once(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(coach.cli, "commands", raising(ZeroDivisionError("by nought")))

    diagnostics.guarded(coach.cli.commands, [], debug=True)

    assert "Traceback" in capsys.readouterr().err


def test_an_interrupt_has_its_own_code(capsys: pytest.CaptureFixture[str]) -> None:
    assert diagnostics.guarded(raising(KeyboardInterrupt()), []) == ExitCode.INTERRUPTED
    assert capsys.readouterr().err.strip() == "coach: interrupted"


def test_a_reader_that_leaves_ends_the_command_quietly() -> None:
    line = f"{sys.executable} -c 'from coach.cli import main; main()' routines show full --json"
    ran = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {line} | true"], capture_output=True, text=True
    )

    assert ran.returncode in (0, ExitCode.FAILED)
    assert ran.stderr == ""


def test_json_is_one_document_and_nothing_else(coach: Coach) -> None:
    for line in (["paths"], ["routines", "list"], ["routines", "show", "full"]):
        ran = coach(*line, "--json")
        json.loads(ran.out)
        assert ran.err == ""


def test_the_process_leaves_with_the_exit_code() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", "from coach.cli import main; main()", "no-such-command"],
        capture_output=True,
        env=os.environ | {"PYTHONWARNINGS": "error"},
    )

    assert ran.returncode == ExitCode.USAGE
    assert signal.SIGINT + 128 == ExitCode.INTERRUPTED


@pytest.mark.parametrize(
    "line",
    [
        ["journal", "rescue", "a.db", "ä" * 300],
        ["rehearse", "--answers", "ä" * 300],
        ["people", "cleared", "Ilva", "--journal", ""],
    ],
)
def test_no_name_of_a_file_is_beyond_us(
    line: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert diagnostics.guarded(coach.cli.commands, line) == ExitCode.USAGE
    told = capsys.readouterr().err
    assert "unexpected" not in told
    assert len(told) < 200
