"""`coach words`: what may be said."""

import json

import pytest

from coach.errors import ExitCode
from tests.cli.conftest import Coach


@pytest.mark.usefixtures("home")
def test_words_lists_the_phrases_of_every_answer(coach: Coach) -> None:
    ran = coach("words")

    assert ran.code == ExitCode.OK
    rows = dict(line.split("  ", 1) for line in ran.out.splitlines())
    assert [one.strip() for one in rows["done"].split(",")] == ["all done", "i'm done", "done"]


@pytest.mark.usefixtures("home")
def test_words_as_json(coach: Coach) -> None:
    ran = coach("words", "--json")

    assert json.loads(ran.out)["pause"][0] == "take a pause"


@pytest.mark.usefixtures("home")
def test_a_language_that_is_not_there_is_told(coach: Coach) -> None:
    ran = coach("words", "--language", "xx")

    assert ran.code == ExitCode.USAGE
    assert "xx" in ran.err
