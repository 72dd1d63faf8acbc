"""Pictures of the pages for the documents: `python -m tests.web.pictures FOLDER`.

Groups of 3, 12 and 30 at the boards and the wall, to which the real core has led them, in a real
browser: the page of who watches on a phone, a laptop and a projector, the leader's on a phone.
The session's clock stands, and so does the page's, so that a picture is the same each time.
"""

import sys
import tempfile
from pathlib import Path

from coach.web.roles import Role
from tests.web.browser import browser, opened
from tests.web.sessions import in_the_rota

#: People -> minutes that they have.
GROUPS = {3: 45.0, 12: 45.0, 30: 60.0}
#: Between two scenes the page counts on by this clock.
STANDS = "performance.now = () => 0"
SIZES = ((390, 844), (1280, 720), (1920, 1080))


def main(folder: Path) -> None:
    """Take each picture once its page has something to show."""
    with browser() as chromium:
        for count, minutes in GROUPS.items():
            with (
                tempfile.TemporaryDirectory() as home,
                in_the_rota(Path(home), count, minutes) as links,
            ):
                pages = [(Role.WATCH, *size) for size in SIZES] + [(Role.LEADER, *SIZES[0])]
                for role, wide, high in pages:
                    with opened(chromium, links[role], wide, high) as (page, _):
                        page.add_init_script(STANDS)
                        page.reload()
                        page.wait_for_selector("#stations li")
                        page.wait_for_timeout(500)
                        name = f"page-{role.value}-{count}-{wide}x{high}.png"
                        page.screenshot(path=str(folder / name))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
