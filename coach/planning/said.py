"""Everything planning says: message keys with the names of their values.

The language pack is checked against this table.
"""

from coach.planning.rules import RULES

_OTHERS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("plan-in-one-sentence", ("minutes", "easy", "middle", "tries")),
    ("plan-without-tries", ("minutes", "easy", "middle", "tries")),
    ("made-up", ("tries",)),
    ("idle-notice", ("minutes",)),
    ("idle-offer", ("minutes",)),
    ("running-late", ("minutes", "tries", "lost")),
    ("why-budget", ("tries",)),
    ("why-ages", ("who",)),
    ("why-idle-notice", ("minutes", "tries")),
    ("why-idle-offer", ("minutes", "tries")),
    ("why-running-late", ("minutes", "tries", "lost")),
)

#: Message key -> names of its values.
MESSAGES: dict[str, tuple[str, ...]] = {
    **dict(_OTHERS),
    **{rule.say: rule.values for rule in RULES},
    **{f"why-{rule.name}": rule.values for rule in RULES},
}
