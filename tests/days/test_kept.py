"""Each kept day is lived again as it was, and breaks no promise."""

import pytest

from tests.days import keeping


@pytest.mark.parametrize("name", keeping.names())
def test_a_kept_day_is_lived_as_it_was(name: str) -> None:
    text, day = keeping.relive(name)
    assert keeping.faults(name, day) == {}
    changed = keeping.changed((keeping.FOLDER / f"{name}.txt").read_text(encoding="utf-8"), text)
    assert not changed, (
        f"{name} is lived otherwise:\n{changed}\n"
        "Read it as the climber; if it is what you want, write it anew by"
        " `python -m tests.days.keeping`."
    )
