"""The rules of planning as `docs/figures/rules.md` holds them, from the objects that run."""

from coach.planning.rules import RULES
from docs.generate import table


def rules() -> str:
    """Every rule in the order in which they are tried, as Markdown."""
    rows = (
        (f"`{rule.name}`", rule.fires, rule.does, rule.sure.value, rule.source or "our own")
        for rule in RULES
    )
    return table(("rule", "when", "what it does", "how sure", "source"), rows)
