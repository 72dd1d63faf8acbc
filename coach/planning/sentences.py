"""Everything planning says: message keys with the names of their values.

The language pack is checked against this table.
"""

from coach.planning.rules import RULES

_OTHERS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("plan-in-one-sentence", ("minutes", "easy", "middle", "tries", "each")),
    ("plan-sparing-all", ("left", "parts")),
    ("plan-sparing", ("part", "left", "parts")),
    ("plan-without-tries", ("minutes", "easy", "middle", "tries", "each")),
    ("made-up", ("tries",)),
    ("why-length", ("block", "minutes", "kept")),
    ("why-length-all", ("block", "minutes")),
    ("why-length-none", ("block",)),
    ("why-swap", ("who", "meant", "to", "because")),
    ("why-left-out", ("who", "meant", "because")),
)

#: Message key -> names of its values.
MESSAGES: dict[str, tuple[str, ...]] = {
    **{rule.say: rule.values for rule in RULES},
    **{f"why-{rule.name}": rule.values for rule in RULES},
    **{rule.say_over: rule.values for rule in RULES if rule.say_over},
    **dict(_OTHERS),
}
