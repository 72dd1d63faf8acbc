"""Links as squares that a phone's camera reads (QR codes, ISO/IEC 18004), drawn with text."""

import io

import segno


def code(link: str) -> tuple[str, ...]:
    """The rows of a code, two of its squares a character high."""
    out = io.StringIO()
    segno.make(link, error="l").terminal(out=out, border=2, compact=True)
    return tuple(out.getvalue().splitlines())
