"""What a process asked the kernel for, in order: evidence that a commit precedes an effect.

Wraps strace, so that no line of the program has to be changed to be watched.
"""

import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

AVAILABLE = shutil.which("strace") is not None

SYNCS = frozenset({"fsync", "fdatasync"})
WRITES = frozenset({"write", "writev", "pwrite64", "pwritev", "sendto", "sendmsg"})

_LINE = re.compile(r"^(?P<thread>\d+)\s+(?P<time>\d+\.\d+) (?P<name>\w+)\((?P<rest>.*)$", re.DOTALL)
_RESUMED = re.compile(
    r"^(?P<thread>\d+)\s+(?P<time>\d+\.\d+) <\.\.\. (?P<name>\w+) resumed>(?P<rest>.*)$"
)
_FILE = re.compile(r"^\d+<(?P<path>[^>]*)>")


@dataclass(frozen=True, slots=True)
class Call:
    """One system call that returned, placed at the time of its return."""

    thread: int
    name: str
    path: str
    """The file of its first descriptor, '' where it has none."""
    text: str
    """Its arguments and result as strace prints them."""

    def is_sync(self, of: Path) -> bool:
        """Whether it put a journal, or its write-ahead log, on disk."""
        return self.name in SYNCS and self.path in (str(of), f"{of}-wal") and "= 0" in self.text

    def writes(self, text: str) -> bool:
        """Whether it wrote something that holds a text."""
        return self.name in WRITES and text in self.text


def run(
    command: Sequence[str],
    *,
    calls: Iterable[str] = SYNCS | WRITES,
    timeout: float = 60.0,
    env: Mapping[str, str] | None = None,
) -> list[Call]:
    """Run a command with its children to its end; its calls in the order they returned.

    Raises CalledProcessError when it fails, TimeoutExpired when it does not end.
    """
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "trace"
        watch = ["strace", "-f", "-ttt", "-y", "-s", "4096", "-o", str(log)]
        subprocess.run(
            [*watch, "-e", "trace=" + ",".join(sorted(calls)), "--", *command],
            check=True,
            capture_output=True,
            timeout=timeout,
            env=env,
        )
        return parse(log.read_text(errors="replace").splitlines())


def parse(lines: Iterable[str]) -> list[Call]:
    """Calls from strace's lines; one that is interrupted by another thread's counts at its end."""
    begun: dict[int, tuple[str, str]] = {}
    found = []
    for line in lines:
        if match := _RESUMED.match(line):
            thread = int(match["thread"])
            name, rest = begun.pop(thread, (match["name"], ""))
            found.append(_call(thread, name, rest + match["rest"]))
        elif match := _LINE.match(line):
            thread, rest = int(match["thread"]), match["rest"]
            if rest.endswith("<unfinished ...>"):
                begun[thread] = (match["name"], rest.removesuffix("<unfinished ...>"))
            else:
                found.append(_call(thread, match["name"], rest))
    return found


def _call(thread: int, name: str, rest: str) -> Call:
    file = _FILE.match(rest)
    return Call(thread, name, file["path"] if file else "", rest)


def unsynced(trace: Sequence[Call], journal: Path, effects: Sequence[str]) -> list[str]:
    """Effects (texts written, in order) without a sync of the journal since the one before.

    Raises AssertionError for an effect that the trace does not hold at all.
    """
    late: list[str] = []
    synced = False
    waiting = list(effects)
    for call in trace:
        if call.is_sync(journal):
            synced = True
        elif waiting and call.writes(waiting[0]):
            effect = waiting.pop(0)
            if not synced:
                late.append(effect)
            synced = False
    assert not waiting, f"never written: {waiting}"
    return late
