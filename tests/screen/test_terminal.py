"""The screen on a real terminal: in tmux for what is seen, on a bare pty for the bytes sent."""

import fcntl
import itertools
import os
import pty
import re
import select
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from coach.screen.layout import draw
from coach.screen.rows import row_text
from coach.screen.shapes import ASCII, BLOCKS, CONSOLE, letters, shapes_for
from coach.screen.terminal import why_plain
from coach.session.view import View
from tests.screen import real
from tests.screen.pictures import check
from tests.screen.scene import VIEWS, face

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs" / "screens"
PATIENCE = 20.0
SOCKETS = itertools.count()
#: What this process may have been given, and the terminal of the test must not know.
UNSET = ("NO_COLOR", "COLUMNS", "LINES")


def until(true: Callable[[], bool], what: str) -> None:
    """Wait for something of another process; AssertionError after PATIENCE."""
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end, what
        time.sleep(0.05)


@dataclass
class Tmux:
    """A terminal of its own, on a server of its own."""

    socket: str
    log: Path

    def __call__(self, *words: str) -> str:
        command = ["tmux", "-L", self.socket, "-f", os.devnull, *words]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout

    def show(self, what: str, columns: int, rows: int, **environ: str) -> None:
        """Start the demo on these words of its command line."""
        assigned = [f"{name}={value}" for name, value in environ.items()]
        demo = [sys.executable, "-m", "tests.screen.demo", str(self.log), *what.split()]
        unset = [word for name in UNSET for word in ("-u", name)]
        line = ["env", *unset, "LC_ALL=C.UTF-8", *assigned, *demo]
        start = ["new-session", "-d", "-x", str(columns), "-y", str(rows), "-c", str(ROOT)]
        self(*start, *line)

    def screen(self) -> list[str]:
        return [line.rstrip() for line in self("capture-pane", "-p").splitlines()]

    def sent(self) -> list[str]:
        return self.log.read_text(encoding="utf-8").split() if self.log.exists() else []

    def press(self, *keys: str, then: list[str]) -> None:
        self("send-keys", *keys)
        until(lambda: self.sent() == then, f"{self.sent()} is not {then}")


@pytest.fixture
def tmux(tmp_path: Path) -> Iterator[Tmux]:
    terminal = Tmux(f"coach-{os.getpid()}-{next(SOCKETS)}", tmp_path / "log")
    yield terminal
    subprocess.run(["tmux", "-L", terminal.socket, "kill-server"], capture_output=True)


#: The pictures of the documentation: which moment of a real session, and the terminal's size.
PICTURES = [
    *(f"{scene}-80x24" for scene in real.SCENES),
    *(f"{scene}-120x40" for scene in real.SCENES if scene.startswith("pair-")),
    "alone-climb-60x20",
    "alone-try-120x40",
    "alone-sore-200x60",
]


@pytest.mark.parametrize("name", PICTURES)
def test_tmux_shows_the_pictures_of_the_documentation(tmux: Tmux, name: str) -> None:
    scene, _, size = name.rpartition("-")
    columns, rows = map(int, size.split("x"))
    _, seen, at = real.played(scene)
    tmux.show(f"{scene} {at}", columns, rows)
    expected = [row_text(line).rstrip() for line in draw(seen, at, columns, rows, real.face(scene))]
    until(lambda: tmux.screen() == expected, "the picture is another")
    check(name, tmux.screen(), DOCS)


def test_tmux_shows_the_large_view(tmux: Tmux) -> None:
    tmux.show("large", 59, 17)
    expected = [row_text(line).rstrip() for line in real.large(59, 17)]
    until(lambda: tmux.screen() == expected, "the picture is another")
    check("large-59x17", tmux.screen(), DOCS)


def still(view: View, columns: int, rows: int) -> list[str]:
    """The picture of an invented view whose time does not run."""
    return [row_text(line).rstrip() for line in draw(view, 0.0, columns, rows, face())]


def test_keys_in_tmux(tmux: Tmux) -> None:
    tmux.show("stay", 80, 24)
    until(lambda: "Deep squat" in "\n".join(tmux.screen()), "nothing is shown")
    sent: list[str] = []
    for keys, answer in (
        (["Enter"], "done"),
        (["p"], "pause"),
        (["F"], "feel:fingers:sore"),
        (["NPage"], "done"),
        (["PPage"], "again"),
        (["1"], "done"),
        (["a", "s", "d", "f", "g"], "done"),
    ):
        sent.append(answer)
        tmux.press(*keys, then=sent)
        time.sleep(0.2)
    tmux("send-keys", "q")
    until(lambda: "q once more: finish." in "\n".join(tmux.screen()), "it does not ask")
    time.sleep(1.0)
    tmux.press("q", then=[*sent, "finish"])
    tmux.press("C-c", then=[*sent, "finish", "quit", "left"])


def test_the_time_runs_in_tmux(tmux: Tmux) -> None:
    tmux.show("stay", 80, 24)
    until(lambda: "Deep squat" in "\n".join(tmux.screen()), "nothing is shown")
    first = tmux.screen()
    until(lambda: tmux.screen()[7:12] != first[7:12], "the time stands")
    assert tmux.screen()[13:] == first[13:]


def test_a_locale_without_utf_8_gets_ascii_shapes(tmux: Tmux) -> None:
    _, seen, at = real.played("alone-try")
    tmux.show(f"alone-try {at}", 80, 24, LC_ALL="C")
    shown = draw(seen, at, 80, 24, real.face("alone-try", ASCII))
    expected = [row_text(line).rstrip() for line in shown]
    until(lambda: tmux.screen() == expected, "the picture is another")
    assert "\n".join(tmux.screen()).isascii()
    check("alone-try-80x24-ascii", tmux.screen(), DOCS)


def test_a_terminal_that_shrinks_and_grows_is_drawn_anew(tmux: Tmux) -> None:
    tmux.show("feel", 120, 40)
    until(lambda: tmux.screen() == still(VIEWS["feel"], 120, 40), "first size")
    for columns, rows in ((60, 20), (80, 24)):
        tmux("resize-window", "-x", str(columns), "-y", str(rows))
        expected = still(VIEWS["feel"], columns, rows)
        until(lambda expected=expected: tmux.screen() == expected, f"{columns}x{rows}")  # type: ignore[misc]


def bytes_sent(log: Path, **environ: str) -> bytes:
    """What the screen writes on a terminal of 80 by 24 until it was told to leave."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(ROOT)
        kept = {name: value for name, value in os.environ.items() if name not in UNSET}
        settings = {**kept, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8", **environ}
        command = [sys.executable, "-m", "tests.screen.demo", str(log), "noise"]
        os.execvpe(command[0], command, settings)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    out, end, told = b"", time.monotonic() + PATIENCE, False
    while time.monotonic() < end:
        if not select.select([terminal], [], [], 0.1)[0]:
            continue
        try:
            part = os.read(terminal, 65536)
        except OSError:
            break
        out += part
        if not told and b"q finish" in re.sub(rb"\x1b\[[0-9;]*m", b"", out):
            told = True
            os.write(terminal, b"\x03")
    os.close(terminal)
    os.waitpid(pid, 0)
    assert told, out[-500:]
    return out


COLOUR = re.compile(rb"\x1b\[(?:\d+;)*(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;\d+)*m")


@pytest.mark.parametrize(("value", "colours"), [("1", False), ("0", False), ("", True)])
def test_no_colour_codes_are_sent_under_no_color(tmp_path: Path, value: str, colours: bool) -> None:
    # no-color.org: only a value that is not empty counts
    sent = bytes_sent(tmp_path / "log", NO_COLOR=value)
    assert bool(COLOUR.search(sent)) is colours


def test_what_a_c_library_prints_does_not_reach_the_picture(tmp_path: Path) -> None:
    sent = bytes_sent(tmp_path / "log")
    picture = sent[sent.index(b"\x1b[?1049h") : sent.index(b"\x1b[?1049l")]
    assert len(picture) > 2000
    assert b"ALSA" not in picture
    assert b"ALSA lib: underrun" in (tmp_path / "log.noise").read_bytes()


def test_shapes_follow_the_locale_and_the_stream() -> None:
    # POSIX.1-2017, 8.2: LC_ALL before LC_CTYPE before LANG, empty ones not counted
    assert shapes_for({"LANG": "en_GB.UTF-8"}, "utf-8") is BLOCKS
    assert shapes_for({}, "utf-8") is BLOCKS
    assert shapes_for({"LC_ALL": "", "LANG": "C.utf8"}, "UTF8") is BLOCKS
    assert shapes_for({"LC_ALL": "C", "LANG": "en_GB.UTF-8"}, "utf-8") is ASCII
    assert shapes_for({"LC_CTYPE": "de_DE.ISO-8859-1"}, "utf-8") is ASCII
    assert shapes_for({"LANG": "en_GB.UTF-8"}, "iso-8859-1") is ASCII
    assert shapes_for({"LANG": "en_GB.UTF-8"}, None) is ASCII
    assert shapes_for({"LANG": "en_GB.UTF-8", "TERM": "linux"}, "utf-8") is CONSOLE


def test_console_shapes_are_in_the_console_font() -> None:
    # code page 437, by Python's own table
    for name in CONSOLE.__slots__:
        value = getattr(CONSOLE, name)
        if isinstance(value, str):
            value.encode("cp437")


def test_letters_lose_accents_where_only_ascii_is_safe() -> None:
    assert letters("Über die Höhe \u2013 c\u2019est", ASCII) == "Uber die Hohe - c'est"
    assert letters("쉬기", ASCII).isascii()
    assert letters("Über", BLOCKS) == "Über"


def test_why_plain_lines() -> None:
    assert why_plain({"TERM": "xterm"}, True, True) == ""
    assert "TERM" in why_plain({"TERM": "dumb"}, True, True)
    assert "TERM" in why_plain({}, True, True)
    assert "terminal" in why_plain({"TERM": "xterm"}, False, True)
    assert "terminal" in why_plain({"TERM": "xterm"}, True, False)


def test_all_but_the_app_works_without_textual() -> None:
    code = (
        "import sys; sys.modules['textual'] = None; sys.modules['rich'] = None\n"
        "import coach.screen.plain, coach.screen.layout, coach.screen.terminal as terminal\n"
        "import importlib.util; importlib.util.find_spec = lambda name: None\n"
        "terminal.find_spec = importlib.util.find_spec\n"
        "print(terminal.why_plain({'TERM': 'xterm'}, True, True))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert ran.stdout.strip() == "the package textual is not installed", ran.stderr
