"""The screen through Textual's pilot: a clock that moves only when told, and no sleeps."""

import asyncio
import os
import threading
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field, replace

import pytest
from textual.pilot import Pilot

from coach.clock import FakeClock
from coach.screen.keys import TOUCH
from coach.screen.layout import draw
from coach.screen.link_codes import Codes
from coach.screen.rows import Rows, row_text
from coach.screen.shapes import BLOCKS
from coach.screen.terminal_app import CoachApp
from coach.session.events import Answered, KeyClaimed
from coach.session.view import View, Word
from tests.screen.scene import FEEL, HANG, SORE, STAY, TRY, answer_text, face, words

WEIGHS = replace(FEEL, weighs=2)
SIZES = [(80, 24), (120, 40), (200, 60), (60, 20)]


@dataclass
class Bench:
    """A screen with a clock in hand and a list of what it sent."""

    clock: FakeClock = field(default_factory=FakeClock)
    sent: list[Answered | KeyClaimed] = field(default_factory=list)
    left: list[bool] = field(default_factory=list)
    codes: Codes | None = None

    def __post_init__(self) -> None:
        self.app = CoachApp(
            words,
            answer_text,
            self.clock.monotonic,
            self.sent.append,
            lambda: self.left.append(True),
            BLOCKS,
            self.codes,
        )

    def run(
        self, script: Callable[[Pilot[None]], Awaitable[None]], size: tuple[int, int] = (80, 24)
    ) -> None:
        async def play() -> None:
            async with self.app.run_test(size=size) as pilot:
                await script(pilot)

        asyncio.run(play())

    async def pass_time(self, pilot: Pilot[None], seconds: float) -> None:
        self.clock.advance(seconds)
        self.app.look()
        await pilot.pause()

    def lines(self) -> list[str]:
        """What the compositor would write on the terminal."""
        strips = self.app.screen._compositor.render_strips()
        return [strip.text.rstrip() for strip in strips]


def drawn(view: View, size: tuple[int, int], now: float = 0.0) -> list[str]:
    return [row_text(line).rstrip() for line in draw(view, now, *size, face())]


@pytest.mark.parametrize("size", SIZES)
def test_the_terminal_shows_what_the_layout_drew(size: tuple[int, int]) -> None:
    bench = Bench()

    async def script(pilot: Pilot[None]) -> None:
        bench.app.show(SORE)
        await pilot.pause()
        assert bench.lines() == drawn(SORE, size)

    bench.run(script, size)


def test_a_view_that_was_there_before_the_screen_is_shown() -> None:
    bench = Bench()
    bench.app.show(STAY)

    async def script(pilot: Pilot[None]) -> None:
        await pilot.pause()
        assert bench.lines() == drawn(STAY, (80, 24))

    bench.run(script)


def test_nothing_is_drawn_before_the_first_view_and_keys_do_nothing() -> None:
    bench = Bench()

    async def script(pilot: Pilot[None]) -> None:
        await pilot.press("enter")
        await bench.pass_time(pilot, TOUCH)
        assert not any(bench.lines())

    bench.run(script)
    assert bench.sent == []


def test_the_time_follows_the_clock_and_repaints_only_when_it_changes() -> None:
    bench = Bench()
    bench.app.show(STAY)

    async def script(pilot: Pilot[None]) -> None:
        await pilot.pause()
        paints: list[object] = []
        put = bench.app._sheet.put

        def counted(rows: Rows) -> None:
            paints.append(rows)
            put(rows)

        bench.app._sheet.put = counted  # type: ignore[method-assign]
        for _ in range(50):
            await bench.pass_time(pilot, 0.2)
        assert len(paints) == 10
        assert bench.lines() == drawn(STAY, (80, 24), bench.clock.monotonic())

    bench.run(script)


def test_views_come_from_any_thread_and_the_last_one_stays() -> None:
    bench = Bench()
    bench.app.show(STAY)

    async def script(pilot: Pilot[None]) -> None:
        def burst() -> None:
            for _ in range(100):
                bench.app.show(HANG)
                bench.app.show(TRY)

        threads = [threading.Thread(target=burst) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            await asyncio.to_thread(thread.join)
        await pilot.pause()
        assert bench.lines() == drawn(TRY, (80, 24))

    bench.run(script)


def test_a_view_after_the_end_is_no_error() -> None:
    bench = Bench()

    async def script(pilot: Pilot[None]) -> None:
        bench.app.close()
        await pilot.pause()

    bench.run(script)
    bench.app.show(STAY)
    bench.app.close()


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        ("1", "feel:fresh"),
        ("5", "feel:sore"),
        ("p", "pause"),
        ("P", "pause"),
        ("h", "hurt"),
        ("pageup", "again"),
    ],
)
def test_a_key_sends_its_answer(key: str, answer: str) -> None:
    bench = Bench()
    bench.app.show(FEEL)

    async def script(pilot: Pilot[None]) -> None:
        bench.clock.advance(5.0)
        await pilot.press(key)
        await bench.pass_time(pilot, TOUCH)

    bench.run(script)
    (event,) = bench.sent
    assert isinstance(event, Answered)
    assert event.answer.key == answer
    assert (event.onset, event.window) == (5.0, 7)


@pytest.mark.parametrize("key", ["enter", "space", "pagedown", "right", "x", "tab", "f5", "comma"])
def test_any_key_sends_the_expected_answer(key: str) -> None:
    bench = Bench()
    bench.app.show(STAY)

    async def script(pilot: Pilot[None]) -> None:
        await pilot.press(key)
        await bench.pass_time(pilot, TOUCH)

    bench.run(script)
    assert [event.answer.key for event in bench.sent if isinstance(event, Answered)] == ["done"]


def test_a_knuckle_counts_once() -> None:
    bench = Bench()
    bench.app.show(STAY)

    async def script(pilot: Pilot[None]) -> None:
        await pilot.press("s", "d", "q", "1", "b")
        await bench.pass_time(pilot, TOUCH)
        await bench.pass_time(pilot, 5.0)

    bench.run(script)
    assert [event.answer.key for event in bench.sent if isinstance(event, Answered)] == ["done"]


def test_a_press_is_sent_without_waiting_for_a_view() -> None:
    """The timer that a press sets looks again by itself once the clock has gone on."""
    bench = Bench()
    bench.app.show(STAY)
    came = threading.Event()
    bench.sent = _Told(came)
    bench.app._send = bench.sent.append

    async def script(pilot: Pilot[None]) -> None:
        await pilot.press("enter")
        bench.clock.advance(TOUCH)
        assert await asyncio.to_thread(came.wait, 10.0)

    bench.run(script)
    assert len(bench.sent) == 1


class _Told(list[Answered | KeyClaimed]):
    def __init__(self, came: threading.Event) -> None:
        super().__init__()
        self._came = came

    def append(self, event: Answered | KeyClaimed) -> None:
        super().append(event)
        self._came.set()


def typing(*keys: str, view: View = WEIGHS, wait: float = 1.0) -> tuple[Bench, list[str]]:
    """A bench on which keys were pressed, one a second, and what was shown after each."""
    bench, shown = Bench(), []
    bench.app.show(view)

    async def script(pilot: Pilot[None]) -> None:
        for key in keys:
            await pilot.press(key)
            await pilot.pause()
            shown.append("\n".join(bench.lines()))
            await bench.pass_time(pilot, wait)

    bench.run(script)
    return bench, shown


def told(bench: Bench) -> list[str]:
    return [one.answer.key if isinstance(one, Answered) else one.claim for one in bench.sent]


def test_a_reading_is_typed_after_its_letter_and_sent_by_enter() -> None:
    bench, shown = typing("r", "4", "3", "backspace", "2", "full_stop", "5", "enter")
    assert "kilograms held" in shown[0]
    assert "Scale: 42.5 kg, then Enter." in shown[-2]
    assert "then Enter" not in shown[-1]
    assert told(bench) == ["reading:42.5"]
    assert bench.sent[0] == KeyClaimed(bench.sent[0].at, "reading:42.5", 2)


@pytest.mark.parametrize(
    ("keys", "sent"),
    [
        (("r", "enter"), []),
        (("r", "4", "escape", "2"), ["feel:fine"]),
        (("r", "4", "s"), ["stop"]),
        (("2",), ["feel:fine"]),
        (("r", "comma", "enter"), []),
        (("r", "4", "2", "comma", "5", "enter"), ["reading:42.5"]),
    ],
)
def test_what_leaves_a_reading_untold(keys: tuple[str, ...], sent: list[str]) -> None:
    assert told(typing(*keys)[0]) == sent


def test_slow_figures_are_of_the_reading_and_never_answer() -> None:
    bench, shown = typing("r", "4", "1", "enter", wait=60.0)
    assert "Scale: 41 kg" in shown[2]
    assert told(bench) == ["reading:41"]


def test_figures_of_a_reading_that_is_not_taken_any_more_answer_nothing() -> None:
    bench = Bench()
    bench.app.show(WEIGHS)

    async def script(pilot: Pilot[None]) -> None:
        await pilot.press("r")
        bench.app.show(FEEL)
        for key in ("4", "1", "enter"):
            await pilot.press(key)
            await bench.pass_time(pilot, 1.0)

    bench.run(script)
    assert told(bench) == []


def test_where_no_reading_may_be_told_its_letter_opens_none() -> None:
    bench, shown = typing("r", "4", view=FEEL)
    assert "kilograms held" not in shown[0]
    assert told(bench) == ["feel:tired"]


def test_finishing_asks_on_the_screen_and_forgets_after_a_while() -> None:
    bench = Bench()
    bench.app.show(STAY)

    async def script(pilot: Pilot[None]) -> None:
        await pilot.press("q")
        await bench.pass_time(pilot, TOUCH)
        assert "q once more: finish." in "\n".join(bench.lines())
        await bench.pass_time(pilot, 7.0)
        assert "q once more" not in "\n".join(bench.lines())
        assert bench.sent == []

    bench.run(script)


@pytest.mark.parametrize("key", ["ctrl+c", "ctrl+q"])
def test_ctrl_c_leaves_at_once_and_says_so(key: str) -> None:
    bench = Bench()
    bench.app.show(STAY)

    async def script(pilot: Pilot[None]) -> None:
        await pilot.press(key)
        await pilot.pause()

    bench.run(script)
    assert bench.left == [True]
    assert bench.sent == []


def test_a_new_size_is_drawn_anew() -> None:
    bench = Bench()
    bench.app.show(TRY)

    async def script(pilot: Pilot[None]) -> None:
        for size in (*SIZES, (20, 4)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert bench.lines() == drawn(TRY, size)

    bench.run(script)


def test_an_end_of_the_session_closes_the_screen_from_another_thread() -> None:
    bench = Bench()
    bench.app.show(replace(STAY, word=Word.OVER))

    async def script(pilot: Pilot[None]) -> None:
        await asyncio.to_thread(bench.app.close)
        await pilot.pause()

    bench.run(script)
    assert not bench.app.is_running
    assert bench.left == []


def test_a_session_that_ends_before_the_screen_is_up_closes_it() -> None:
    bench = Bench()
    bench.app.show(STAY)
    bench.app.close()

    async def play() -> None:
        await asyncio.wait_for(bench.app.run_async(headless=True, size=(80, 24)), 10.0)

    asyncio.run(play())
    assert bench.left == []


def colours(app: CoachApp) -> set[str]:
    return {
        style.color.name
        for style in app._sheet._styles.values()
        if style.color is not None and not style.color.is_default
    }


def test_no_color_is_honoured_as_its_site_says(monkeypatch: pytest.MonkeyPatch) -> None:
    # no-color.org: "when present and not an empty string (regardless of its value)"
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert colours(Bench().app) == {"cyan", "black"}  # black on white: a code for phones
    monkeypatch.setenv("NO_COLOR", "")
    assert colours(Bench().app) == {"cyan", "black"}  # black on white: a code for phones
    assert not Bench().app.no_color
    assert os.environ["NO_COLOR"] == ""
    monkeypatch.setenv("NO_COLOR", "0")
    assert colours(Bench().app) == set()
    assert Bench().app.no_color
    assert os.environ["NO_COLOR"] == "0"
