"""What several tests of the screen share."""

import tomllib
from pathlib import Path

import pytest


@pytest.fixture
def english() -> dict[str, str]:
    """Message keys and sentences of the English pack."""
    path = Path(__file__).parents[2] / "voices" / "words" / "en.toml"
    says: dict[str, str] = tomllib.loads(path.read_text(encoding="utf-8"))["say"]
    return says
