"""Which answers count in a window: its own or those beside, from its begin to its end."""

import pytest

from coach.model.start import Options
from coach.session.dialogue import Window
from coach.session.step import new_session
from tests.session.stage import LIBRARY


@pytest.mark.parametrize(
    ("key", "onset", "takes"),
    [
        ("done", 10.0, True),
        ("done", 20.0, True),
        ("why", 15.0, True),
        ("done", 9.99, False),
        ("done", 20.01, False),
        # an answer that is no answer of it counts at no time
        ("ready", 15.0, False),
    ],
)
def test_what_counts_in_a_window(key: str, onset: float, takes: bool) -> None:
    assert Window(1, ("done",), 10.0, 20.0, beside=("why",)).takes(key, onset) == takes
    still_open = Window(1, ("done",), 10.0, beside=("why",))
    assert still_open.takes(key, onset) == (takes or (key == "done" and onset > 20.0))


def test_nobody_has_no_session() -> None:
    with pytest.raises(ValueError, match=r"^a session needs at least one person$"):
        new_session(LIBRARY, Options(()))
