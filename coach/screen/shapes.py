"""The characters that shapes are made of, and when only ASCII may be used.

Words come from the language pack and keep their letters; this module alone picks what bars,
posts and marks are drawn with.
"""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shapes:
    """One set of characters, each one column wide but for ellipsis and arrow."""

    full: str
    upper: str
    lower: str
    levels: str
    """From nothing to a full cell, for the surface of the slope."""
    past: str
    """Ground that lies behind."""
    here: str
    """Where we are."""
    barred: str
    """Top of the post of a gate that is still shut."""
    post: str
    ellipsis: str
    arrow: str
    dot: str
    ascii: bool = False


BLOCKS = Shapes(
    full="█",
    upper="▀",
    lower="▄",
    levels=" ▁▂▃▄▅▆▇█",
    past="░",
    here="▼",
    barred="╤",
    post="│",
    ellipsis="…",
    arrow="→",
    dot="·",
)

ASCII = Shapes(
    full="#",
    upper='"',
    lower="o",
    levels=" _=#",
    past=".",
    here="V",
    barred="T",
    post="|",
    ellipsis="...",
    arrow="->",
    dot="-",
    ascii=True,
)


#: The Linux console's own font has code page 437 and hardly more: no eighths of a block.
CONSOLE = Shapes(
    full="█",
    upper="▀",
    lower="▄",
    levels=" ▄█",
    past="░",
    here="V",
    barred="╤",
    post="│",
    ellipsis="...",
    arrow="->",
    dot="·",
)


def shapes_for(environ: Mapping[str, str], encoding: str | None) -> Shapes:
    """BLOCKS, or CONSOLE on TERM=linux, where the locale and the stream are UTF-8; else ASCII.

    The first of LC_ALL, LC_CTYPE and LANG that is not empty decides (POSIX, Environment
    Variables, 8.2). None of them set says nothing about the terminal: the stream decides.
    """
    names = ("LC_ALL", "LC_CTYPE", "LANG")
    locale = next((environ[name] for name in names if environ.get(name)), "")
    says_utf8 = not locale or "utf8" in locale.lower().replace("-", "")
    streams_utf8 = (encoding or "").lower().replace("-", "").replace("_", "") == "utf8"
    if not (says_utf8 and streams_utf8):
        return ASCII
    return CONSOLE if environ.get("TERM") == "linux" else BLOCKS


_PLAIN = str.maketrans({"\u2018": "'", "\u2019": "'", "\u2013": "-", "\u2014": "-"})


def letters(text: str, shapes: Shapes) -> str:
    """Text that the terminal can show: where only ASCII is safe, accents go and the rest is '?'."""
    if not shapes.ascii or text.isascii():
        return text
    bare = unicodedata.normalize("NFKD", text.translate(_PLAIN))
    kept = "".join(char for char in bare if not unicodedata.combining(char))
    return kept.encode("ascii", "replace").decode("ascii")
