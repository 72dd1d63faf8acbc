"""Rosters: what they hold, and what is wrong with one, with its line."""

from pathlib import Path

import pytest

from coach.errors import FileError
from coach.files.library import load_library
from coach.files.roster import doubtful, load_roster, numbered
from coach.files.words import load_language
from coach.model.body import Feel, Part
from coach.model.person import AgeBand, Person
from coach.model.place import Board, Edge
from coach.planning.stations import Station

LIBRARY = load_library("group", "tarnwick")
PLACE = LIBRARY.place
BEST = PLACE.circuits[0].name

GOOD = f"""
[[people]]
name = "Runa"
age = "adult"
best = "{BEST}"

[[people]]
number = 1
age = "under-16"
limits = ["left shoulder sore", "fingers"]
late = true
notes = "first time"

[[people]]

[[boards]]
name = "left board"
places = 2
edges = [{{ name = "large", depth_mm = 30 }}, {{ name = "small", depth_mm = 15 }}]

[[boards]]
name = "beam"

[[walls]]
name = "low wall"
"""


def written(folder: Path, text: str, name: str = "roster.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_roster_holds_people_limits_and_stations(tmp_path: Path) -> None:
    roster = load_roster(written(tmp_path, GOOD), PLACE)

    assert roster.people == (
        Person(1, "", AgeBand.UNDER_16),
        Person(2, "Runa", AgeBand.ADULT, best=BEST),
        Person(3),
    )
    assert roster.hurting == (
        (1, Part.SHOULDERS, Feel.SORE),
        (1, Part.FINGERS, Feel.HURTING),
    )
    assert roster.late == (1,)
    assert roster.notes == ((1, "first time"),)
    assert roster.boards == (Station("left board", "board", 2), Station("beam", "board", 1))
    assert roster.edged == (Board("left board", (Edge("large", 30.0), Edge("small", 15.0))),)
    assert roster.walls == (Station("low wall", "wall", 8),)


def test_the_same_in_csv(tmp_path: Path) -> None:
    text = (
        "Name,number,age,best,limits,late,notes\n"
        f"Runa,,adult,{BEST},,,\n"
        '\n,1,under-16,,left shoulder sore; fingers,yes,"first, time"\n'
        ",3,,,,no,\n"
    )
    toml = load_roster(written(tmp_path, GOOD), PLACE)
    roster = load_roster(written(tmp_path, text, "roster.csv"), PLACE)

    assert (roster.people, roster.hurting, roster.late) == (toml.people, toml.hurting, toml.late)
    assert roster.boards is None


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("people = []", 1, "nobody is on it"),
        ("", 1, "people: is missing"),
        ('[[people]]\nname = "A"\n[[people]]\nname = "a"', 4, "name of two people"),
        ("[[people]]\nnumber = 4\n[[people]]\nnumber = 4", 4, "number of two people"),
        ("[[people]]\nnumber = 31", 2, "at most 30"),
        ("[[people]]\nnumber = 0", 2, "at least 1"),
        ('[[people]]\nage = "adlt"', 2, "Did you mean 'adult'"),
        ("[[people]]\nage = 12", 2, "age"),
        ('[[people]]\nnmae = "A"', 2, "Did you mean 'name'"),
        ('[[people]]\nbest = "nowhere"', 2, "no circuit or grade"),
        ('[[people]]\nlimits = [" "]', 2, "a limit is empty"),
        ("[[people]]\n" * 31, 31, "more than the 30"),
        ('[[people]]\n[[boards]]\nname = "a"\n[[walls]]\nname = "A"', 5, "there twice"),
        ('[[people]]\n[[boards]]\nname = "Mat"', 3, "there twice"),
        ('[[people]]\n[[boards]]\nname = "a"\nplaces = 0', 4, "at least 1"),
        (
            '[[people]]\n[[boards]]\nname = "a"\nedges = [{ name = "s" }, { name = "s" }]',
            4,
            "'s'",
        ),
    ],
)
def test_what_is_wrong_with_a_roster(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(FileError) as error:
        load_roster(written(tmp_path, text), PLACE)

    assert words in str(error.value)
    assert error.value.line == line


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("", 1, "nobody is on it"),
        ("name\n", 1, "nobody is on it"),
        ("nmae\nRuna\n", 1, "Did you mean 'name'"),
        ("name,name\nRuna,A\n", 1, "is there twice"),
        ("name,age\nRuna,adult\nOsk,adlt\n", 3, "Did you mean 'adult'"),
        ("name\nRuna,adult\n", 2, "2 cells, and 1 columns"),
        ("number\nsix\n", 2, "whole number"),
        ("name,late\nRuna,perhaps\n", 2, "true or false"),
        ("name,age\nRuna,200\n", 2, "column 2: nobody is 200 years old"),
        ("name\nRuna\nRuna\n", 3, "name of two people"),
        ("Runa,30\nOsk,12\n", 1, "no column of a roster is among 'runa', '30'"),
        ('name,age\n"Runa,30\nOsk,12\n', 3, "a quote that is not closed"),
    ],
)
def test_what_is_wrong_with_a_table(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(FileError) as error:
        load_roster(written(tmp_path, text, "roster.csv"), PLACE)

    assert words in str(error.value)
    assert error.value.line == line


def test_files_that_can_not_be_read(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="can't be read"):
        load_roster(tmp_path / "none.csv", PLACE)
    nul = written(tmp_path, "name\n" + "x" * 200_000 + "\n", "long.csv")
    with pytest.raises(FileError, match="is no table"):
        load_roster(nul, PLACE)


def test_a_table_as_a_spreadsheet_saves_it(tmp_path: Path) -> None:
    """Semicolons, Latin-1, columns that mean nothing here, ages in years: bytes as exported."""
    text = "Name;Alter;Telefon;Grenzen\r\nJörn;34;0123;\r\nRuna;12;;Finger sore, knees\r\n;17;;\r\n"
    text = text.replace("Finger sore", "fingers sore")
    path = tmp_path / "youth.csv"
    path.write_bytes(text.encode("latin-1"))

    roster = load_roster(path, PLACE)

    assert roster.people == (
        Person(1, "Jörn", AgeBand.ADULT),
        Person(2, "Runa", AgeBand.UNDER_16),
        Person(3, "", AgeBand.UNDER_18),
    )
    assert roster.hurting == ((2, Part.FINGERS, Feel.SORE), (2, Part.KNEES, Feel.HURTING))
    path.write_bytes("name\tage\nRuna\t18\n".encode("utf-16"))
    assert load_roster(path, PLACE).people == (Person(1, "Runa", AgeBand.ADULT),)


def test_names_that_the_ear_could_not_know_get_their_number() -> None:
    language = load_language("en", LIBRARY.movements)
    people = tuple(
        Person(who, name)
        for who, name in enumerate(
            ("Runa", "Łukasz", "Bo", "Hrvk", "Torsten", "Thorsten", "Paus", ""), 1
        )
    )

    assert set(doubtful(people, language)) == {2, 3, 4, 5, 6, 7}
    assert numbered(2).people == (Person(1), Person(2))


@pytest.mark.parametrize(
    "text",
    [
        "sep=;\nVorname;Name;Alter;Telefon\nRuna;Tarn;15;1\nÖsk;Tarn;18+;2\n",
        "\n;;;\nfirst name;last name;years;limits\nRuna;Tarn;15 years;\nÖsk;Tarn;40,0;\n",
        "Name\tAge\tPaid\nRuna\tunder-16\tyes\nÖsk\tAdult\tno\n",
    ],
)
@pytest.mark.parametrize("code", ["utf-8-sig", "latin-1", "utf-16"])
def test_tables_as_spreadsheets_save_them(tmp_path: Path, text: str, code: str) -> None:
    path = tmp_path / "youth.csv"
    path.write_bytes(text.replace("\n", "\r\n").encode(code))

    roster = load_roster(path, PLACE)

    assert roster.people == (Person(1, "Runa", AgeBand.UNDER_16), Person(2, "Ösk", AgeBand.ADULT))
