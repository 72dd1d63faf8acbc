"""A machine without a sound card, a sound library or a quiet one: errors that say what to do."""

import os
import subprocess
import sys
from pathlib import Path

OPEN = """
import sys
from pathlib import Path
from coach.audio.portaudio import PortAudioDevice
from coach.errors import AudioError
device = PortAudioDevice(log=Path(sys.argv[1]))
try:
    device.start(lambda n: None, None, lambda event: None)
except AudioError as error:
    print(error, error.code)
"""


def run(program: str, log: Path) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PULSE_SERVER": "unix:/nowhere", "PYTHONPATH": str(Path.cwd())}
    environment.pop("ALSA_CONFIG_PATH", None)
    return subprocess.run(
        [sys.executable, "-c", program, str(log)], env=environment, capture_output=True, text=True
    )


def test_without_a_sound_card_the_error_says_what_to_do_and_libraries_are_kept_quiet(
    tmp_path: Path,
) -> None:
    done = run(OPEN, tmp_path / "log")
    assert done.returncode == 0, done.stderr
    assert "speaker" in done.stdout
    assert "--no-sound" in done.stdout
    assert done.stderr == ""


def test_without_portaudio_the_error_names_the_package(tmp_path: Path) -> None:
    hidden = "import ctypes.util\nctypes.util.find_library = lambda name: None\n"
    done = run(hidden + OPEN, tmp_path / "log")
    assert "apt install libportaudio2" in done.stdout, done.stdout + done.stderr
    assert done.stdout.rstrip().endswith("3")


QUIET = """
import os, sys
from pathlib import Path
from coach.audio.quiet import QuietStderr
with QuietStderr(Path(sys.argv[1])):
    os.write(2, b"from a library")
    print("from python", file=sys.stderr)
    print("from the screen", file=sys.__stderr__)
os.write(2, b"afterwards")
print("python afterwards", file=sys.stderr)
"""


def test_only_what_libraries_print_goes_to_the_log(tmp_path: Path) -> None:
    done = run(QUIET, tmp_path / "a folder" / "log")
    assert (tmp_path / "a folder" / "log").read_text() == "from a library"
    assert done.stderr.split("\n") == [
        "from python",
        "from the screen",
        "afterwardspython afterwards",
        "",
    ]
