"""A real browser: Debian's Chromium, driven by Playwright, with everything outside blocked."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

CHROMIUM = shutil.which("chromium")
FLAGS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync"
).split()


@contextmanager
def browser() -> Iterator[Any]:
    """The browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            yield made
        finally:
            made.close()


@contextmanager
def opened(
    made: Any, link: str, wide: int, high: int, **more: Any
) -> Iterator[tuple[Any, list[str]]]:
    """A page of a size at a link, and the addresses outside that it asked for."""
    context = made.new_context(viewport={"width": wide, "height": high}, **more)
    outside: list[str] = []
    own = urlsplit(link).netloc

    def look(route: Any) -> None:
        if urlsplit(route.request.url).netloc == own:
            route.continue_()
        else:
            outside.append(route.request.url)
            route.abort()

    context.route("**/*", look)
    page = context.new_page()
    page.goto(link)
    try:
        yield page, outside
    finally:
        context.close()
