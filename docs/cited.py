"""Which publications a text names, by first author and year, and where the code names any."""

import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
#: First author with initials, or a body that publishes by itself, then the year within a line.
_CITED = re.compile(
    r"\b(?P<who>[A-Z][a-z]+(?:-[A-Z][a-z]+)?)(?: [A-Z]{1,3}\b(?:, [A-Z][a-z]+ [A-Z]{1,3}\b)*"
    r"|(?= et al)|(?= Heads Up))(?: et al\.?| Heads Up)?,?[^.;:]{0,40}?\(?(?P<year>(?:19|20)\d\d)\b"
    r"|\b(?P<body>ACSM|CDC)\b[^.;:]{0,20}?\(?(?P<when>(?:19|20)\d\d)\b"
    r"|\b(?P<short>(?!(?:Jan|Feb|March|April|May|June|July|Aug|Sept|Oct|Nov|Dec))[A-Z][a-z]{3,})"
    r"(?: and [A-Z][a-z]+)? (?P<of>(?:19|20)\d\d)\b(?=[,;:)]| took|, §)"
    r"|\b(?P<handbook>NIST/SEMATECH)\b"
)
#: Where a string or a comment goes on in the next line.
_GOES_ON = re.compile(r'"\s*\n\s*f?"|\n\s*#:? ?|\s*\n\s*')


def cited(text: str) -> frozenset[tuple[str, str]]:
    """First author, or the body that publishes, and year of each publication in a text."""
    whole = _GOES_ON.sub(lambda found: "" if '"' in found.group() else " ", text)
    return frozenset(
        (
            found["who"] or found["body"] or found["short"] or found["handbook"],
            found["year"] or found["when"] or found["of"] or "",
        )
        for found in _CITED.finditer(whole)
    )


def of_the_code() -> Iterator[tuple[str, tuple[str, str]]]:
    """File and publication, for each that a file of the program names."""
    for path in sorted((ROOT / "coach").rglob("*.py")):
        for one in sorted(cited(path.read_text("utf-8"))):
            yield path.relative_to(ROOT).as_posix(), one
