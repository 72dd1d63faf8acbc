"""Pages in a real browser: what they show, who may press what, and that nothing comes from outside.

Skipped, with its reason, where Debian's chromium or Playwright is not there; CI has both.
"""

import os
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.web.browser import CHROMIUM, browser, opened
from tests.web.sessions import links_of, started

pytest.importorskip("playwright", reason="the package playwright drives the browser")
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="apt-get install chromium brings the browser"),
    pytest.mark.timeout(120),
]
#: The checker of accessibility (axe-core, from the npm registry), where somebody has fetched it.
AXE = Path(os.environ.get("COACH_AXE", ""))
#: Where a button of the bar is on the page.
PLACE = "what => document.querySelector(`#fixed button[value=${what}]`).getBoundingClientRect()"


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as made:
        yield made


@pytest.fixture
def group(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, str]]:
    yield from _running(
        tmp_path, monkeypatch, "group", "--people", "30", "--boards", "3", "--minutes", "120"
    )


@pytest.fixture
def alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, str]]:
    told = ("--minutes", "90", "--age", "adult", "--climbing", "60", "--hurting", "no")
    words = ("start", *told, "--same-place")
    yield from _running(tmp_path, monkeypatch, *words)


def _running(home: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> Iterator[dict[str, str]]:
    monkeypatch.setenv("COACH_HOME", str(home))
    running: subprocess.Popen[str] = started(*words)
    try:
        yield links_of(running)
    finally:
        running.terminate()
        running.communicate(timeout=20)


def test_the_first_picture_comes_soon_with_nothing_from_outside(
    chromium: Any, group: dict[str, str]
) -> None:
    with opened(chromium, group["To watch"], 1280, 720) as (page, outside):
        page.wait_for_selector("#cue:not(:empty)")
        paint = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
        assert page.evaluate(paint) < 3000.0  # the benchmark has the figure; others run here too
        assert page.title() == "Coach"
        assert page.locator("html").get_attribute("lang") == "en"
    assert outside == []


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)])
def test_everybody_of_thirty_is_on_one_screen(
    chromium: Any, group: dict[str, str], size: tuple[int, int]
) -> None:
    with opened(chromium, group["To watch"], *size) as (page, _):
        page.wait_for_selector("#stations li")
        page.wait_for_timeout(500)
        names = page.locator(".here span:visible").all_inner_texts()
        assert {str(n) for n in range(1, 31)} <= set(names)
        low = page.evaluate("Math.max(...[...document.querySelectorAll('.here span')]"
                            ".map(one => one.getBoundingClientRect().bottom))")  # fmt: skip
        assert low <= size[1]


def test_a_watcher_has_no_button(chromium: Any, group: dict[str, str]) -> None:
    with opened(chromium, group["To watch"], 390, 844) as (page, _):
        page.wait_for_selector("#cue:not(:empty)")
        assert page.locator("button").count() == 0
        answer = page.evaluate(
            "fetch('press', {method: 'POST', body: new URLSearchParams({what: 'hurt', state: ''}),"
            " headers: {Accept: 'application/json'}}).then(reply => reply.status)"
        )
        assert answer == 409


def test_two_phones_that_pause_leave_it_paused(chromium: Any, alone: dict[str, str]) -> None:
    link = alone["To answer, person 1"]
    with (
        opened(chromium, link, 390, 844) as (one, _),
        opened(chromium, link, 390, 844) as (other, _),
    ):
        for page in (one, other):
            page.wait_for_selector("#fixed button[value=pause]")
        one.click("#fixed button[value=pause]")
        other.click("#fixed button")
        for page in (one, other):
            page.wait_for_selector("#fixed button[value=resume]")
        assert one.inner_text("#word") == "PAUSED"
        other.click("#fixed button[value=resume]")
        one.wait_for_selector("#fixed button[value=pause]")


def test_a_leader_names_somebody_and_takes_back_a_done(
    chromium: Any, group: dict[str, str]
) -> None:
    with opened(chromium, group["To lead"], 390, 844) as (page, _):
        page.wait_for_selector("#stations button")
        page.wait_for_selector("#offers button[value=next]", timeout=20_000)
        title = page.inner_text("#title")
        page.click("#offers button[value=next]")
        page.click("#undo button")
        page.wait_for_timeout(2_500)
        assert page.inner_text("#title") == title
        page.click("#stations button[value='person:3']")
        page.wait_for_selector("#offers button[value=hurts]")


def test_buttons_are_large_enough_for_a_thumb(chromium: Any, group: dict[str, str]) -> None:
    # WCAG 2.2, 2.5.5 (AAA): targets of at least 44 by 44 CSS pixels
    with opened(chromium, group["To lead"], 390, 844) as (page, _):
        page.wait_for_selector("#stations button")
        small = page.evaluate(
            "[...document.querySelectorAll('button')].map(b => b.getBoundingClientRect())"
            ".filter(r => r.width < 44 || r.height < 44).length"
        )
        assert small == 0


def test_pause_and_hurt_are_in_reach_however_long_the_page_is(
    chromium: Any, group: dict[str, str]
) -> None:
    """They were once below thirty names."""
    with opened(chromium, group["To lead"], 390, 844) as (page, _):
        page.wait_for_selector("#stations button")
        for at in ("0", "document.body.scrollHeight"):
            page.evaluate(f"scrollTo(0, {at})")
            for what in ("pause", "hurt"):
                page.wait_for_selector(f"#fixed button[value={what}]")
                box = page.evaluate(PLACE, what)  # at once: a new scene draws the buttons anew
                assert 0 <= box["y"] <= 844 - box["height"]
        last = page.locator("#stations button").last
        last.click()  # the bar covers nothing that can be scrolled to
        page.wait_for_selector("#offers button[value=hurts]")


def test_without_scripts_it_shows_and_takes_presses(chromium: Any, alone: dict[str, str]) -> None:
    link = alone["To answer, person 1"]
    with opened(chromium, link, 390, 844, java_script_enabled=False) as (page, outside):
        page.click("#fixed button[value=pause]")
        page.goto(link)
        assert page.locator("#fixed button[value=resume]").count() == 1
    assert outside == []


@pytest.mark.skipif(not AXE.is_file(), reason="COACH_AXE names no axe.min.js")
def test_an_accessibility_check_finds_nothing(chromium: Any, group: dict[str, str]) -> None:
    for name, size in (("To watch", (1280, 720)), ("To lead", (390, 844))):
        with opened(chromium, group[name], *size, bypass_csp=True) as (page, _):
            page.wait_for_selector("#cue:not(:empty)")
            page.add_script_tag(path=str(AXE))
            found = page.evaluate("axe.run().then(told => told.violations.map(v => v.id))")
            assert found == []
