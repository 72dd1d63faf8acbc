"""Where each published figure is tested, or why it is not used, from `tests/published.toml`."""

import tomllib
from pathlib import Path

from docs.generate import table

FILE = Path(__file__).parents[1] / "tests" / "published.toml"


def figures() -> str:
    """Every published figure, as Markdown."""
    rows = []
    for row in tomllib.loads(FILE.read_text("utf-8"))["figures"]:
        tests = "<br>".join(f"`{name.removeprefix('tests/')}`" for name in row.get("tests", ()))
        where = tests or f"not used: {row['unused']}"
        rows.append((row["area"], row["figure"], row["source"], where))
    return table(("of", "figure", "published in", "tested in `tests/`"), rows)
