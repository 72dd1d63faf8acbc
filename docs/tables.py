"""The columns of the exported tables, as `docs/journal.md` holds them."""

from coach.exports.tables import KINDS, SESSIONS, columns

_KINDS = {"str": "text", "int": "whole number", "float": "number", "bool": "yes or no"}


def reference() -> str:
    """Every table with its columns, as Markdown."""
    lines = ["| table | columns |", "| --- | --- |"]
    for table in (SESSIONS, *KINDS):
        cells = [
            f"`{column.name}` {_KINDS.get(column.kind.__name__, 'time')}"
            + (" or none" if column.optional else "")
            for column in columns(table)
        ]
        lines.append(f"| `{table}` | {', '.join(cells)} |")
    return "\n".join(lines)
