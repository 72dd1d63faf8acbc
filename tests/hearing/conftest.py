"""The recogniser is loaded once for all tests of hearing."""

import pytest

from coach.errors import AudioError
from coach.hearing.scorer import WhisperScorer


@pytest.fixture(scope="session")
def scorer() -> WhisperScorer:
    try:
        return WhisperScorer()
    except AudioError as error:
        pytest.skip(str(error))
