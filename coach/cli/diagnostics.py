"""The one owner of stderr and of the exit code: every way a command can end comes through here.

What happened comes first, what to do next comes last, where the eye is.
"""

import errno
import os
import sys
import traceback
from contextlib import suppress
from pathlib import Path

import click

from coach.errors import CoachError, ExitCode, UsageError


def note(text: str) -> None:
    """Say something that is not the result: progress, a warning, an offer."""
    with suppress(OSError):  # the terminal may be closed: then there is nobody to tell
        sys.stderr.write(text + "\n")
        sys.stderr.flush()


def guarded(commands: click.Command, args: list[str], *, debug: bool = False) -> ExitCode:
    """Run the command line, tell on stderr what went wrong, and return the exit code."""
    try:
        left_with = commands.main(args, prog_name="coach", standalone_mode=False)
    except Exception as error:  # noqa: BLE001 - the last resort: a sentence, not a trace
        foreseen = _foreseen(error)
        if foreseen is None:
            return _unexpected(error, debug=debug or "--debug" in args)
        note(f"coach: {foreseen}")
        return foreseen.code
    except KeyboardInterrupt:
        note("Interrupted.")
        return ExitCode.INTERRUPTED
    return ExitCode(left_with) if isinstance(left_with, int) else ExitCode.OK


class _Interrupted(CoachError):
    """Ctrl-C at a prompt."""

    code = ExitCode.INTERRUPTED


def _foreseen(error: Exception) -> CoachError | None:
    """What an error means to whoever typed the line; None where we did not foresee it."""
    match error:
        case CoachError():
            return error
        case click.exceptions.NoArgsIsHelpError() if isinstance(
            group := error.ctx.command, click.Group
        ):
            which = ", ".join(sorted(group.commands))
            return UsageError(
                f"'{error.ctx.command_path}' needs one of: {which}", _usage_hint(error)
            )
        case click.UsageError():
            return UsageError(error.format_message(), _usage_hint(error))
        case click.ClickException():
            return UsageError(error.format_message())
        case click.Abort():
            return _Interrupted("interrupted")
        case ImportError():
            from coach.distribution import lacks

            return lacks(error)
        case OSError(errno=errno.ENAMETOOLONG):
            name = Path(os.fsdecode(error.filename or "?")).name
            return UsageError(f"the name '{name[:20]}...' is too long for a file")
        case OSError() if error.filename is None and error.errno in _OUTPUT:
            # The interpreter must not flush into it again when it ends.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return CoachError(f"the output can't be written: {error.strerror}", "It is cut short.")
        case _:
            return None


#: What a write to standard output may fail with: its reader has left, or there is no room.
_OUTPUT = frozenset({errno.EPIPE, errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EFBIG})


def _usage_hint(error: click.UsageError) -> str:
    """Name the help that fits the command that was misused."""
    return f"'{error.ctx.command_path} -h' tells what it takes" if error.ctx else ""


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
