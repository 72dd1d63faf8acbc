"""Codes for phones on the screen: read back by a barcode reader that knows nothing of ours."""

import numpy as np
import pytest

from coach.screen.layout import draw
from coach.screen.link_codes import LETTER, Code, Codes
from coach.screen.rows import Look, Rows, row_cells, row_text
from coach.screen.shapes import ASCII, BLOCKS
from tests.screen.scene import FEEL, STAY, answer_text, face, words
from tests.screen.test_app import Bench

zxingcpp = pytest.importorskip("zxingcpp", reason="the package zxing-cpp reads codes")
web = pytest.importorskip("coach.web.qr_codes", reason="the package segno makes codes")

LINKS = (
    "http://192.168.178.131:8123/" + "x7Q_" * 5 + "ab/",
    "http://10.0.0.7:80/" + "y" * 22 + "/",
)


def codes(*links: str, connected: bool = False) -> Codes:
    made = tuple(Code(f"To lead {n}", web.code(one, light=False)) for n, one in enumerate(links))
    return Codes(made, lambda: connected)


def seen(drawn: Rows) -> list[str]:
    """What a camera reads of dark blocks on light, four pixels a square."""
    lines = ["".join(s.text for s in row if s.look is Look.CODE) for row in drawn]
    lines = [line for line in lines if line]
    dark = np.array(
        [[char in shown for char in line] for line in lines for shown in (("▀", "█"), ("▄", "█"))]
    )
    pixels = np.where(np.kron(np.pad(dark, 2), np.ones((4, 4))), 0, 255).astype(np.uint8)
    return [one.text for one in zxingcpp.read_barcodes(pixels)]


@pytest.mark.parametrize("light", [False, True])
def test_every_square_stands_where_the_standard_has_it(light: bool) -> None:
    """The matrix of the standard, two squares of quiet around it, drawn as told."""
    import segno

    drawn = web.code(LINKS[0], light=light)
    squares = [[char in both for char in row] for row in drawn for both in ("▀█", "▄█")]
    inner = [[bool(one) for one in row] for row in segno.make(LINKS[0], error="l").matrix]
    wide = len(inner) + 4
    clear = [[False] * wide] * 2
    wanted = [*clear, *([False, False, *row, False, False] for row in inner), *clear]
    wanted += [[False] * wide] * (len(wanted) % 2)
    assert squares == [[one is not light for one in row] for row in wanted]


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40), (200, 60)])
def test_a_camera_reads_the_link_and_the_session_stays_to_be_read(columns: int, rows: int) -> None:
    drawn = draw(FEEL, 0.0, columns, rows, face(), codes=codes(LINKS[0]))

    assert seen(drawn) == [LINKS[0]]
    assert len(drawn) == rows
    assert all(row_cells(line) <= columns for line in drawn)
    shown = " ".join(" ".join(row_text(line) for line in drawn).split())
    assert "To lead 0 [c]" in shown
    assert words(FEEL.cue).split()[0] in shown
    assert all(answer_text(answer).split()[0] in shown for answer in FEEL.answers)


def test_where_there_is_no_room_or_only_ascii_the_screen_is_as_without() -> None:
    for columns, rows, shapes in ((79, 24, BLOCKS), (80, 23, BLOCKS), (120, 40, ASCII)):
        drawn = draw(FEEL, 0.0, columns, rows, face(shapes), codes=codes(LINKS[0]))
        assert not any(span.look is Look.CODE for line in drawn for span in line)


def test_they_go_when_somebody_has_come_and_a_key_shows_them_again() -> None:
    there = [False]
    shown = Codes(codes(*LINKS).codes, lambda: there[0])

    assert seen(draw(STAY, 0.0, 80, 24, face(), codes=shown)) == [LINKS[0]]
    there[0] = True
    away = draw(STAY, 0.0, 80, 24, face(), codes=shown)
    assert seen(away) == []
    assert f"{LETTER} " in "\n".join(row_text(line) for line in away[-4:])
    for link in (*LINKS, None):
        shown.turn()
        assert seen(draw(STAY, 0.0, 80, 24, face(), codes=shown)) == [link] * (link is not None)


def test_the_key_turns_them_over_and_answers_nothing() -> None:
    bench = Bench(codes=codes(*LINKS))

    async def script(pilot: object) -> None:
        bench.app.show(STAY)
        for press in (LETTER, LETTER, LETTER):
            await pilot.press(press)  # type: ignore[attr-defined]
            await bench.pass_time(pilot, 1.0)  # type: ignore[arg-type]

    bench.run(script)
    assert bench.sent == []
    assert bench.app._codes is not None
    assert bench.app._codes.shown() == bench.app._codes.codes[0]
