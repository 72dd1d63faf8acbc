"""Pictures of the pages for the documents: `python -m tests.web.pictures FOLDER`.

A real group of twelve in a process of its own, some seconds into its warm-up, in a real browser.
"""

import os
import sys
import tempfile
from pathlib import Path

from tests.web.browser import browser, opened
from tests.web.sessions import links_of, started

#: Name of the picture -> which link, and the size of the page.
PAGES = {
    "page-watch.png": ("To watch", 1280, 720),
    "page-lead.png": ("To lead", 390, 844),
}


def main(folder: Path) -> None:
    """Take each picture once its page has something to show."""
    with tempfile.TemporaryDirectory() as home:
        os.environ["COACH_HOME"] = home
        words = ("group", "--people", "12", "--boards", "1", "--minutes", "45")
        running = started(*words)
        try:
            links = links_of(running)
            with browser() as chromium:
                for name, (what, wide, high) in PAGES.items():
                    with opened(chromium, links[what], wide, high) as (page, _):
                        page.wait_for_selector("#stations li")
                        page.wait_for_timeout(4_000)
                        page.screenshot(path=str(folder / name))
        finally:
            running.terminate()
            running.communicate(timeout=20)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
