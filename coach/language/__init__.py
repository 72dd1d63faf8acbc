"""Words: from messages to sentences, from phrases to answers. See `pack.Language`."""

from coach.language.pack import Language, normal

__all__ = ["Language", "normal"]
