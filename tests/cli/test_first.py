"""What is asked by key before a session: once, and three questions for each new place."""

import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import click
import pytest

from coach.cli.first import ask_once
from coach.errors import FileError
from coach.files.paths import paths
from coach.files.places import ANY_PLACE
from coach.setup.choices import Choices
from coach.setup.settling import remember, settle

NOW = datetime(2026, 3, 3, 18, 30, tzinfo=UTC)
Asked = Callable[..., tuple[Choices, list[str]]]


@pytest.fixture
def ask(monkeypatch: pytest.MonkeyPatch, home: Path) -> Asked:
    """Ask at a terminal where these answers are typed; the choices, and what was asked."""

    def run(choices: Choices, *typed: str) -> tuple[Choices, list[str]]:
        asked: list[str] = []
        answers = list(typed)

        def prompt(question: str, **_: object) -> str:
            asked.append(question)
            return answers.pop(0)

        monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
        monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
        monkeypatch.setattr(click, "prompt", prompt)
        told = ask_once(choices, paths())
        assert answers == []
        return told, asked

    return run


def remembered(told: Choices) -> None:
    remember(paths(), settle(told, paths(), NOW).settings)


def test_a_first_session_needs_no_file_and_is_asked_only_once(ask: Asked) -> None:
    told, asked = ask(Choices(), "3", "pumice, slate 5 to 6A, jade", "2", "medium")

    assert len(asked) == 4
    assert (told.age, told.comfortable, told.edge) == (("adult",), "slate", "medium")
    remembered(told)
    assert ask(Choices())[1] == []


@pytest.mark.parametrize("typed", ["slatte", "pumice, pumice", "flint 6A to 7A, slate 3 to 4"])
def test_circuits_that_cannot_be_are_asked_for_again_at_once(
    typed: str, ask: Asked, capsys: pytest.CaptureFixture[str]
) -> None:
    """One name alone was taken, and ended everything after the last question."""
    told, asked = ask(Choices(), "3", typed, "pumice, slate", "2", "medium")

    assert asked[1] == asked[2]
    assert f"{typed!r}: " in capsys.readouterr().err
    assert (told.circuits, told.comfortable) == ("pumice, slate", "slate")


def test_the_first_start_explains_itself_in_four_lines_and_only_once(
    ask: Asked, capsys: pytest.CaptureFixture[str]
) -> None:
    """What happens now, what to wear, how to stop, what is kept: before anything is asked."""
    told, _ = ask(Choices(), "3", "pumice, slate 5 to 6A, jade", "2", "medium")
    lines = capsys.readouterr().err.split("\n\n")[0].splitlines()

    assert [line.split()[0] for line in lines] == ["A", "Wear", "To", "What"]
    assert all(len(line) <= 80 for line in lines)
    assert "stop now" in lines[2]
    remembered(told)
    ask(Choices())
    assert capsys.readouterr().err == ""


def test_a_new_place_is_learnt_by_three_questions(
    ask: Asked, capsys: pytest.CaptureFixture[str]
) -> None:
    remembered(Choices(age=("adult",), place="tarnwick", comfortable="marble", edge="medium"))
    told, asked = ask(Choices(place="Cold Quarry"), "pumice 3 to 4, slate", "1", "1")

    assert len(asked) == 3
    assert "three questions" in capsys.readouterr().err
    assert "1 pumice, 2 slate" in asked[1]
    assert (told.comfortable, told.edge) == ("pumice", "large")
    remembered(told)
    assert settle(Choices(), paths(), NOW).library.place.name == "cold-quarry"
    assert ask(Choices())[1] == []
    assert ask(Choices(place="cold quarry"))[1] == []


def test_a_mistyped_place_is_left_by_enter_and_told_the_nearest(
    ask: Asked, capsys: pytest.CaptureFixture[str]
) -> None:
    told, asked = ask(Choices(place="tarnwik", age=("adult",)), "")

    assert len(asked) == 1
    assert "Did you mean 'tarnwick'?" in capsys.readouterr().err
    with pytest.raises(FileError):
        settle(told, paths(), NOW)


def test_another_place_is_asked_for_its_own_circuit_and_edge(ask: Asked) -> None:
    remembered(Choices(age=("adult",), place="tarnwick", comfortable="marble", edge="medium"))
    told, asked = ask(Choices(place="umbershaw"), "longwall", "long-wall", "9", "")

    assert [question.split("?")[0] + "?" for question in asked] == [
        "Which circuit feels comfortable?",
        "Which circuit feels comfortable?",
        "Which edge do you usually hang from?",
        "Which edge do you usually hang from?",
    ]
    assert (told.comfortable, told.edge) == ("long-wall", None)


def test_enter_leaves_everything_open(ask: Asked) -> None:
    told, _ = ask(Choices(), "", "")

    assert told == replace(Choices(), place=ANY_PLACE)


def test_nobody_is_asked_without_a_terminal(monkeypatch: pytest.MonkeyPatch, home: Path) -> None:
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False)
    assert ask_once(Choices(), paths()) == Choices()
