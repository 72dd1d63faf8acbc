"""The one owner of stderr and of the exit code: every way a command can end comes through here.

What happened comes first, what to do next comes last, where the eye is.
"""

import os
import sys
import traceback
from pathlib import Path

import click

from coach.errors import CoachError, ExitCode, UsageError

#: Where the log is begun anew.
LOG_BYTES = 1_000_000


def note(text: str) -> None:
    """Say something that is not the result: progress, a warning, an offer."""
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def log_to(path: Path) -> None:
    """Let what the parts report while they run go to a file, which is kept small."""
    import logging
    from logging.handlers import RotatingFileHandler

    path.parent.mkdir(parents=True, exist_ok=True)
    handler = RotatingFileHandler(path, maxBytes=LOG_BYTES, backupCount=1, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
    root = logging.getLogger()
    root.addHandler(handler)
    root.setLevel(logging.INFO)


def guarded(commands: click.Command, args: list[str], *, debug: bool = False) -> ExitCode:
    """Run the command line, tell on stderr what went wrong, and return the exit code."""
    try:
        left_with = commands.main(args, prog_name="coach", standalone_mode=False)
    except click.UsageError as error:
        return _failed(UsageError(error.format_message(), _usage_hint(error)))
    except click.ClickException as error:
        return _failed(UsageError(error.format_message()))
    except CoachError as error:
        return _failed(error)
    except (KeyboardInterrupt, click.Abort):
        note("Interrupted.")
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        # The reader of our output has left; the interpreter must not flush into the pipe again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.FAILED
    except Exception as error:  # noqa: BLE001 - the last resort: a sentence, not a trace
        return _unexpected(error, debug=debug or "--debug" in args)
    return ExitCode(left_with) if isinstance(left_with, int) else ExitCode.OK


def _usage_hint(error: click.UsageError) -> str:
    """Name the help that fits the command that was misused."""
    return f"'{error.ctx.command_path} -h' tells what it takes" if error.ctx else ""


def _failed(error: CoachError) -> ExitCode:
    """Tell an error that we foresaw."""
    note(f"coach: {error}")
    return error.code


def _unexpected(error: Exception, *, debug: bool) -> ExitCode:
    """Tell an error that we did not foresee, and keep its trace."""
    trace = "".join(traceback.format_exception(error))
    if debug:
        note(trace.rstrip())
        note(f"coach: unexpected {type(error).__name__}: {error}")
    else:
        note(f"coach: unexpected {type(error).__name__}: {error}")
        note(f"  {_kept(trace)}")
    return ExitCode.FAILED


def _kept(trace: str) -> str:
    """Append a trace to the log, and say where it is or how to see it."""
    from coach.files.paths import paths

    log = paths().log
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8") as file:
            file.write(trace)
    except OSError:
        return "run it again as 'coach --debug ...' and report what it prints"
    return f"the trace is in {log}; please report it"
