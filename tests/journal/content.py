"""All that a journal holds, as bytes that do not depend on how it came there."""

import hashlib
import io
import json

from coach.journal import Journal, lines


def content(journal: Journal) -> bytes:
    """The export of the whole journal."""
    made = io.StringIO()
    lines.export(journal, made)
    return made.getvalue().encode()


def _plain(line: str) -> str:
    if not line.startswith('{"line":"statement"'):
        return line
    fields = json.loads(line)
    if fields["kind"] == "fixed":
        del fields["uid"], fields["crc"]
    return json.dumps(fields)


def beside(journal: Journal) -> list[object]:
    """What stands beside the sessions and is in no export: who took part, and the numbers."""
    return [
        journal.rows(
            "SELECT uid, who, name, key, several FROM attendance JOIN session"
            " ON session.id = attendance.session ORDER BY uid, who"
        ),
        journal.rows(
            "SELECT uid, who, digest.body FROM digest JOIN session"
            " ON session.id = digest.session ORDER BY uid, who"
        ),
    ]


def print_of(journal: Journal) -> str:
    """A digest of the content (SHA-256, hex), without what chance gives: a correction's name."""
    texts = sorted(map(_plain, content(journal).decode().split("\n")))
    return hashlib.sha256("\n".join(texts).encode()).hexdigest()
