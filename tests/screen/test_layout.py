"""The picture is complete at 80 by 24, fits every terminal, and says all by text alone."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.answers import ANYTIME
from coach.model.messages import message
from coach.screen.face import LABELS, Face, minutes_left, share_done, shown_time
from coach.screen.keys import KEYS, Hint
from coach.screen.layout import draw
from coach.screen.rows import cells, row_cells, row_text
from coach.screen.shapes import ASCII, BLOCKS, CONSOLE, Shapes
from coach.session.view import Ear, View
from tests.screen.pictures import check
from tests.screen.scene import (
    CLIMB,
    FEEL,
    GO,
    NOTE,
    PAUSED,
    SORE,
    STAY,
    TRY,
    VIEWS,
    answer_text,
    face,
    text,
    words,
)


def picture(
    view: View, columns: int, rows: int, shapes: Shapes = BLOCKS, hint: Hint | None = None
) -> list[str]:
    return [row_text(line) for line in draw(view, 0.0, columns, rows, face(shapes), hint)]


@pytest.mark.parametrize("size", ["80x24", "120x40", "200x60", "60x20"])
@pytest.mark.parametrize("name", ["feel", "sore", "try"])
def test_snapshot(name: str, size: str) -> None:
    columns, rows = map(int, size.split("x"))
    check(f"{name}-{size}", picture(VIEWS[name], columns, rows))


@pytest.mark.parametrize("shapes", [ASCII, CONSOLE], ids=["ascii", "console"])
def test_snapshot_of_other_shapes(shapes: Shapes) -> None:
    check(f"go-80x24-{'ascii' if shapes is ASCII else 'console'}", picture(GO, 80, 24, shapes))


@given(
    st.sampled_from(sorted(VIEWS)),
    st.integers(0, 220),
    st.integers(0, 70),
    st.floats(0.0, 6000.0),
    st.sampled_from([BLOCKS, ASCII, CONSOLE]),
)
def test_it_fits_every_terminal(
    name: str, columns: int, rows: int, now: float, shapes: Shapes
) -> None:
    lines = draw(VIEWS[name], now, columns, rows, face(shapes))
    assert len(lines) == (rows if columns and rows else 0)
    assert all(row_cells(line) <= columns for line in lines)
    if shapes is ASCII:
        assert all(row_text(line).isascii() for line in lines)


@pytest.mark.parametrize("name", VIEWS)
def test_at_80_by_24_nothing_is_left_out(name: str) -> None:
    view = VIEWS[name]
    shown = " ".join(" ".join(picture(view, 80, 24)).split())
    assert "…" not in shown
    for part in (view.step, view.cue, view.form, view.heard, view.did):
        assert part is None or words(part) in shown
    for answer in view.answers:
        assert answer_text(answer) in shown
    for key, meaning in KEYS.items():
        if len(key) == 1:
            spoken = answer_text("resume" if key == "p" and view is PAUSED else meaning.answer)
            ways = (f" {key} {spoken}", f"[{key}] {spoken}", f"[any key] {spoken}")
            assert any(way in shown for way in ways), key
    assert f"{minutes_left(view, 0.0)} min left" in shown
    assert words(message(f"ear-{view.ear.value}")) in shown


def test_the_word_of_the_slope_and_the_current_block_are_there() -> None:
    shown = "\n".join(picture(SORE, 80, 24))
    assert "[board]" in shown
    assert shown.count(BLOCKS.here) == 1


def test_states_differ_in_text_and_not_only_in_look() -> None:
    for one, other in ((Ear.OPEN, Ear.SHUT), (Ear.SHUT, Ear.GONE)):
        pictures = [picture(replace(FEEL, ear=ear), 80, 24)[7:12] for ear in (one, other)]
        assert pictures[0] != pictures[1]
    assert picture(SORE, 80, 24) != picture(NOTE, 80, 24)
    assert "RECORDING A NOTE" in "\n".join(picture(NOTE, 80, 24))


def test_the_hint_of_a_key_takes_the_place_of_what_was_heard() -> None:
    shown = "\n".join(picture(SORE, 80, 24, hint=Hint("key-ask", "finish")))
    assert "q once more: finish." in shown
    assert "fingers sore" in shown, "its letter is still there"
    assert "hangs are left out" not in shown


def test_keys_and_answers_keep_their_place_whatever_the_cue_is() -> None:
    short, long = (picture(replace(CLIMB, cue=text("go " * count)), 80, 24) for count in (1, 40))
    assert short[-4:] == long[-4:]


def test_below_80_by_24_a_line_says_what_would_show_more() -> None:
    for columns, rows in ((79, 24), (80, 23), (60, 20), (50, 12)):
        assert "80 by 24" in picture(TRY, columns, rows)[-1]
    assert not any("80 by 24" in line for line in picture(TRY, 80, 24))


def test_a_tiny_terminal_shows_the_word_first() -> None:
    assert picture(SORE, 30, 1) == ["REST   2:05   ear open"]
    assert picture(SORE, 30, 2)[1].startswith("Rest, then easy")


def test_long_and_wide_words_are_cut_with_a_sign() -> None:
    view = replace(STAY, step=text("가" * 60), cue=text("x" * 200))
    lines = picture(view, 80, 24)
    assert all(cells(line) <= 80 for line in lines)
    assert sum("…" in line for line in lines) >= 2


def test_a_language_whose_letters_have_no_glyphs_gets_spaced_words() -> None:
    speaks = Face(
        lambda what: "쉬기" if what.key.startswith("word-") else words(what), answer_text, BLOCKS
    )
    shown = [row_text(line) for line in draw(SORE, 0.0, 80, 24, speaks)]
    assert any("쉬 기" in line for line in shown)


@pytest.mark.parametrize(
    ("changes", "now", "shown"),
    [
        ({"counts_to": 45.0}, 0.0, "0:45"),
        ({"counts_to": 45.0}, 0.001, "0:45"),
        ({"counts_to": 45.0}, 1.0, "0:44"),
        ({"counts_to": 45.0}, 44.999, "0:01"),
        # 64.4 - 19.4 is 45.00000000000001 in binary
        ({"counts_to": 64.4}, 19.4, "0:45"),
        ({"counts_to": 45.0}, 45.0, "0:00"),
        ({"counts_to": 45.0}, 60.0, "0:00"),
        ({"counts_to": 5999.0}, 0.0, "99:59"),
        ({"counts_to": 6000.0}, 0.0, "100m"),
        ({"counts_to": None, "counts_from": 10.0}, 9.0, "0:00"),
        ({"counts_to": None, "counts_from": 10.0}, 73.9, "1:03"),
        ({"counts_to": None, "counts_from": 10.0}, 74.0, "1:04"),
        ({"counts_to": None, "stands_at": 83.7}, 500.0, "1:23"),
        ({"counts_to": None}, 500.0, ""),
    ],
)
def test_time(changes: dict[str, float | None], now: float, shown: str) -> None:
    assert shown_time(replace(STAY, **changes), now) == shown  # type: ignore[arg-type]


def test_minutes_left_never_go_below_none() -> None:
    assert minutes_left(replace(STAY, ends_at=61.0), 0.0) == 2
    assert minutes_left(replace(STAY, ends_at=60.0), 0.0) == 1
    assert minutes_left(STAY, 1e6) == 0


def test_without_an_end_no_minutes_are_shown() -> None:
    endless = replace(STAY, ends_at=None)
    assert minutes_left(endless, 0.0) is None
    shown = "\n".join(picture(endless, 80, 24))
    assert "min left" not in shown
    assert words(message(f"ear-{STAY.ear.value}")) in shown


def test_the_share_of_a_stretch_follows_its_time() -> None:
    assert share_done(STAY, 0.0) == pytest.approx(0.1)
    assert share_done(STAY, 45.0) == 1.0
    assert share_done(PAUSED, 0.0) == 0.5
    assert share_done(replace(STAY, slope=()), 0.0) == 0.0
    assert share_done(CLIMB, 0.0) == 1.0


def test_answers_for_any_time_are_shown_once_with_their_letter() -> None:
    shown = "\n".join(picture(replace(STAY, answers=("done", *ANYTIME)), 80, 24))
    assert shown.count("I'm hurt") == 1
    assert "[2] sore" in shown


def test_the_english_pack_has_every_label_of_the_screen(english: dict[str, str]) -> None:
    for key, values in LABELS.items():
        assert key in english, key
        for value in values:
            assert "{" + value in english[key] or value == "who", (key, value)


def test_the_words_read_from_the_mat_have_at_most_seven_letters(english: dict[str, str]) -> None:
    for key, sentence in english.items():
        if key.startswith("word-"):
            assert sentence.isalpha(), key
            assert len(sentence) <= 7, key
