"""What runs beside a session leaves the process as it was."""

import gc

import pytest

from coach.runtime.faces import loaded_for_good


def test_what_is_loaded_is_looked_through_again_only_after_the_session() -> None:
    with loaded_for_good():
        assert gc.get_freeze_count() > 0
    assert gc.get_freeze_count() == 0

    with pytest.raises(RuntimeError), loaded_for_good():
        raise RuntimeError
    assert gc.get_freeze_count() == 0
