"""Without any extra every command still says what it lacks; the list of tries holds them all."""

import importlib.metadata
import re
import sys
import tomllib
from pathlib import Path

import click
import pytest

from coach import distribution
from coach.cli import commands
from tests import bare

OPTIONAL = tuple(distribution.EXTRAS)
#: Only these need a try here; the wheel alone gets all of them in CI.
LACKING = (
    ("words", "teach", "done"),
    ("soundcheck", "--delay"),
    ("soundcheck",),
    ("notes", "play", "none"),
    ("export", "out.png"),
    ("export", "out.ics"),
    ("export", "out.parquet"),
    ("rest", "--hurting", "no", *bare.QUIET, "--share", "0"),
)


def leaves(group: click.Group, path: tuple[str, ...] = ()) -> set[tuple[str, ...]]:
    """Every command that does something, by the words that name it."""
    found = set()
    for name in group.list_commands(click.Context(group)):
        command = group.get_command(click.Context(group), name)
        assert command is not None
        here = (*path, name)
        found |= leaves(command, here) if isinstance(command, click.Group) else {here}
    return found


def test_every_command_is_tried() -> None:
    tried = {line[:n] for line in bare.LINES for n in range(1, len(line) + 1)}
    assert leaves(commands) <= tried


@pytest.mark.parametrize("line", LACKING, ids=" ".join)
def test_what_is_not_installed_is_named_with_what_adds_it(
    line: tuple[str, ...], tmp_path: Path
) -> None:
    absent = f"import sys; sys.modules.update(dict.fromkeys({OPTIONAL!r})); "
    python = [sys.executable, "-c", absent + "from coach.cli import main; main()"]
    assert line in bare.LINES
    assert bare.tried(line, tmp_path, python) == ""


def test_every_package_of_an_extra_is_known_by_its_import() -> None:
    project = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["name"] == distribution.NAME
    known = importlib.metadata.packages_distributions()
    by_extra = {
        re.split(r"[<>=\[]", package)[0]: extra
        for extra, packages in project["optional-dependencies"].items()
        if extra != "all"
        for package in packages
    }
    imports = {
        name.replace("-", "_").lower(): extra
        for name, extra in by_extra.items()
        if name.replace("-", "_").lower() in known
    } | {
        module: extra
        for module, packages in known.items()
        for name, extra in by_extra.items()
        if name in packages and not module.startswith("_") and module in distribution.EXTRAS
    }
    assert imports == distribution.EXTRAS
    assert set(by_extra.values()) == set(distribution.EXTRAS.values())


@pytest.mark.parametrize(
    ("came", "line"),
    [
        (None, "pip install 'bouldering-session-coach[voice]'"),
        (
            '{"url": "file:///home/runa/my%20coach", "dir_info": {"editable": true}}',
            "pip install -e '/home/runa/my coach[voice]'",
        ),
        (
            '{"url": "file:///home/runa/a.whl", "archive_info": {}}',
            "pip install '/home/runa/a.whl[voice]'",
        ),
        (
            '{"url": "https://example.org/c.git", "vcs_info": {"vcs": "git", "commit_id": "1"}}',
            "pip install 'bouldering-session-coach[voice] @ git+https://example.org/c.git'",
        ),
    ],
)
def test_the_hint_names_what_was_really_installed(came: str | None, line: str) -> None:
    # the forms of direct_url.json are those of PEP 610
    assert distribution.line("voice", came) == line
