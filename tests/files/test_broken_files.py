"""Every key of every shipped file, broken in turn: exit code 2 with file, key and line.

A key that stands in a file many times is broken in its first, second and last place.

Keys and their lines are found by regular expressions here, not by the scanner under test. Each
broken file lies in a user's folder, where it wins over the shipped one of its name.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from coach.errors import ExitCode, FileError
from coach.files.file_checks import verify_file

ROOT = Path(__file__).parents[2]
SHIPPED = sorted([*(ROOT / "routines").rglob("*.toml"), *(ROOT / "voices").glob("*.toml")])

_KEY = re.compile(r"(?:^|(?<=[{,] ))([A-Za-z_][\w-]*)(\.\w+)? = ", re.MULTILINE)
_VALUE = re.compile(r'"[^"\n]*"|\[[^\]]*\]|\{[^}\n]*\}|[\w.+-]+')
_NAMES = re.compile(
    r"\b(easier|harder|also_easier|unit|family|kind|hold|grip|feet|gate|movement|extends|after|choose"
    r"|without|equipment|leave_out) = (\[[^\]]*\]|\"[^\"]*\")"
)
#: What can't be a value of a key, by the first character of what stands there.
_WRONG = {'"': "7", "[": "7", "{": "7", "t": '"yes"', "f": '"yes"'}


@dataclass(frozen=True)
class Broken:
    """A text with one mistake, and what the error must name."""

    text: str
    key: str
    line: int


def relative(path: Path) -> str:
    return str(path.relative_to(ROOT))


def comments_blanked(text: str) -> str:
    """The text with comments as spaces, so that keys in them are not taken for keys."""
    return re.sub(r"^\s*#.*$", lambda found: " " * len(found.group()), text, flags=re.MULTILINE)


def line_of(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def keys_of(text: str) -> list[re.Match[str]]:
    """Where keys stand: each in its first, second and last place."""
    places: dict[str, list[re.Match[str]]] = {}
    for found in _KEY.finditer(comments_blanked(text)):
        places.setdefault(found[0], []).append(found)
    chosen = {found.start(): found for one in places.values() for found in (*one[:2], one[-1])}
    return [chosen[at] for at in sorted(chosen)]


def wrong_keys(text: str) -> Iterator[Broken]:
    for found in keys_of(text):
        end = found.end(1)
        yield Broken(text[:end] + "x" + text[end:], f"{found[1]}x", line_of(text, end))


def wrong_types(text: str) -> Iterator[Broken]:
    for found in keys_of(text):
        value = whole_value(text, found.end())
        wrong = _WRONG.get(value[0], '"seven"')
        broken = text[: found.end()] + wrong + text[found.end() + len(value) :]
        yield Broken(broken, found[1], line_of(text, found.end()))


def whole_value(text: str, at: int) -> str:
    """The value that begins there, up to its own closing bracket."""
    if text[at] not in "[{":
        found = _VALUE.match(text, at)
        assert found is not None, text[at : at + 40]
        return found.group()
    depth, end = 0, at
    while True:
        depth += (text[end] in "[{") - (text[end] in "]}")
        end += 1
        if not depth:
            return text[at:end]


def wrong_names(text: str) -> Iterator[tuple[Broken, str]]:
    """Every name of something else with a letter too many, and the name that was meant."""
    for found in _NAMES.finditer(comments_blanked(text)):
        for name in re.finditer(r'"([^"]+)"', found[2]):
            end = found.start(2) + name.end(1)
            broken = Broken(text[:end] + "x" + text[end:], found[1], line_of(text, end))
            yield broken, name[1]


@pytest.fixture
def user_file(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path: Path = tmp_path / request.getfixturevalue("shipped").relative_to(ROOT)
    path.parent.mkdir(parents=True)
    return path


@pytest.mark.parametrize("shipped", SHIPPED, ids=relative)
class TestBroken:
    """One broken thing at a time in one shipped file."""

    def check(self, user_file: Path, broken: Broken) -> FileError:
        user_file.write_text(broken.text, encoding="utf-8")
        with pytest.raises(FileError) as caught:
            verify_file(user_file)
        error = caught.value
        where = f"{user_file.name}:{broken.line}: {error}"
        assert error.code is ExitCode.USAGE, where
        assert error.path == user_file, where
        assert error.line == broken.line, where
        assert re.search(rf"(^|\.){broken.key}(\[\d+\]|\.\w+)?$", error.key), where
        return error

    def test_wrong_key(self, shipped: Path, user_file: Path) -> None:
        mistakes = list(wrong_keys(shipped.read_text(encoding="utf-8")))
        assert mistakes
        for broken in mistakes:
            error = self.check(user_file, broken)
            assert f"{broken.key[:-1]!r}" in error.do, f"{broken.key}: {error}"

    def test_wrong_type(self, shipped: Path, user_file: Path) -> None:
        for broken in wrong_types(shipped.read_text(encoding="utf-8")):
            self.check(user_file, broken)

    def test_wrong_name(self, shipped: Path, user_file: Path) -> None:
        for broken, meant in wrong_names(shipped.read_text(encoding="utf-8")):
            error = self.check(user_file, broken)
            assert f"Did you mean {meant!r}?" in error.do, f"{meant}: {error}"

    def test_cut_off(self, shipped: Path, user_file: Path) -> None:
        text = shipped.read_text(encoding="utf-8")
        user_file.write_text(text + "\ntitle = [", encoding="utf-8")
        with pytest.raises(FileError) as caught:
            verify_file(user_file)
        assert caught.value.line == text.count("\n") + 2
        assert "is not TOML" in caught.value.what or "is not TOML" in str(caught.value)
