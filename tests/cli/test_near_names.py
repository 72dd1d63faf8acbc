"""Whatever is mistyped on the command line is told with what was meant, or with what there is."""

from pathlib import Path

import pytest

from coach.errors import ExitCode
from tests.cli.conftest import Coach

HALL = ("--place", "tarnwick")


@pytest.mark.parametrize(
    ("options", "meant"),
    [
        (("--age", "undr-16"), "'under-16'"),
        (("--age", "15"), "'under-16'"),
        (("--age", "16"), "'under-18'"),
        (("--age", "18"), "'adult'"),
        ((*HALL, "--best", "marbel"), "'marble'"),
        ((*HALL, "--comfortable", "marbel"), "'marble'"),
        ((*HALL, "--edge", "mediun"), "'medium'"),
        ((*HALL, "--boulder", "basal 4"), "'basalt'"),
        (("--place", "tarnwic"), "'tarnwick'"),
        (("--today", "crowdd"), "'crowded'"),
        (("--voice", "staedy"), "'steady'"),
    ],
)
def test_the_nearest_name_is_told(coach: Coach, options: tuple[str, ...], meant: str) -> None:
    ran = coach("plan", *options)

    assert ran.code == ExitCode.USAGE
    assert ran.out == ""
    assert options[-1].split()[0] in ran.err
    assert options[-2] in ran.err or "there is no" in ran.err
    assert f"Did you mean {meant}?" in ran.err


@pytest.mark.parametrize(
    ("options", "bounds"),
    [
        (("--minutes", "301"), "1<=x<=300"),
        (("--minutes", "0"), "1<=x<=300"),
        (("--people", "4"), "1<=x<=3"),
        (("--age", "400"), "under-16, under-18, adult, unknown"),
        (("--best", "7c+"), "7C+"),
        (("--best", "V99"), "V9"),
    ],
)
def test_what_is_out_of_range_is_told_with_the_range(
    coach: Coach, options: tuple[str, ...], bounds: str
) -> None:
    ran = coach("plan", *options)

    assert ran.code == ExitCode.USAGE
    assert options[0] in ran.err
    assert bounds in ran.err


@pytest.mark.parametrize("boulder", ["slab corner 4", "basalt 4", "the long traverse"])
def test_a_boulder_may_have_any_name_that_is_no_slip(coach: Coach, boulder: str) -> None:
    assert coach("plan", *HALL, "--boulder", boulder).code == ExitCode.OK


def test_a_file_that_is_not_there_is_told_with_the_one_beside_it(
    coach: Coach, tmp_path: Path
) -> None:
    (tmp_path / "answers.txt").write_text("00:00 fine\n", encoding="utf-8")
    (tmp_path / "folder").mkdir()

    def told(name: str) -> str:
        ran = coach("rehearse", "--answers", str(tmp_path / name))
        assert ran.code == ExitCode.USAGE
        assert f"{tmp_path / name}: can't be read" in ran.err
        return ran.err

    assert f"Did you mean '{tmp_path / 'answers.txt'}'?" in told("anwsers.txt")
    assert "Check the name." in told("zzz")
    assert f"There is no folder '{tmp_path / 'no'}'." in told("no/answers.txt")
    assert "Check that it is a file" in told("folder")


def test_an_answer_that_is_no_phrase_is_told_with_the_nearest(coach: Coach, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text("00:00 fien\n", encoding="utf-8")

    ran = coach("rehearse", "--answers", str(answers))

    assert ran.code == ExitCode.USAGE
    assert f"{answers}:1: no answer is called 'fien'" in ran.err
    assert "Did you mean 'fine'?" in ran.err
