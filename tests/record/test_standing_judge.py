"""What stands, against a judge by definition: every pair is looked at, every chain is walked.

The judge is slow where the program is quick: it knows nothing of subjects or of spans.
"""

import sqlite3
from datetime import date
from random import Random
from types import SimpleNamespace
from typing import Any

import pytest

from coach.journal.body_statements import Before
from coach.model.body import Feel, Part, Tissue
from coach.model.facts import Felt, SignTold
from coach.record.standing import JournalPlace, Stands, Told, eased, standing

SIGNS = (
    ("pop", Part.FINGERS), ("chest-pain", None), ("fever", None), ("after-illness", None),
    ("hurt", None), ("settled", None),
)  # fmt: skip
CLAIMS = (
    "cleared:fingers", "well:wrists", "well:fever", "cleared:chest-pain", "well:fingers",
    "age:adult", "cleared:after-illness", "cleared:hurt",
)  # fmt: skip


def drawn(chance: Random) -> tuple[list[Told], dict[int, int], Any]:
    """Sessions under clocks that are sometimes wrong, what was told in them, and a journal."""
    number = chance.randint(1, 12)
    earlier = {n: chance.choice([n - 1, n - 1, n - 1, 0]) for n in range(2, number + 1)}
    instants = {
        n: 1e9 + 86400.0 * (n + chance.choice([0, 0, 0, -5, 400])) for n in earlier | {1: 0}
    }
    ended = [(-n, chance.randint(0, number)) for n in range(1, chance.randint(1, 3))]
    db = sqlite3.connect(":memory:")
    db.execute("CREATE TABLE session (id, uid, previous)")
    db.execute("CREATE TABLE statement (kind, wall, body, uid)")
    for n in instants:
        before = f"u{earlier[n]}" if earlier.get(n) else ""
        db.execute("INSERT INTO session VALUES (?, ?, ?)", (n, f"u{n}", before))
    for n, last in ended:
        body = f'["own", "well:wrists", "u{last}"]'
        db.execute("INSERT INTO statement VALUES ('ended', ?, ?, ?)", (f"{-n}", body, f"{-n}"))
    told = []
    for _ in range(chance.randint(0, 25)):
        session = chance.choice(list(instants))
        place = JournalPlace(
            session, chance.randint(1, 9), instants[session], chance.choice([0.0, 60.0])
        )
        told.append(Told(place, date(2026, 3, 1 + session), _what(chance)))
    told.sort(key=lambda one: (one.place.instant, one.place.session, one.place.seq))
    for n, _ in ended:
        instant = 1e9 + 86400.0 * chance.randint(0, 15)
        told.append(Told(JournalPlace(n, 0, instant), date(2026, 3, 20), chance.choice(CLAIMS)))
    journal = SimpleNamespace(rows=lambda query, *values: db.execute(query, values).fetchall())
    return told, earlier | dict(ended), journal


def _what(chance: Random) -> Felt | SignTold | str:
    kind = chance.random()
    if kind < 0.5:
        tissue = chance.choice([None, Tissue.SKIN])
        part = chance.choice([Part.FINGERS, Part.WRISTS])
        return Felt(1.0, 1, part, chance.choice(list(Feel)), tissue)
    if kind < 0.75:
        return SignTold(1.0, 1, *chance.choice(SIGNS))
    return chance.choice(CLAIMS)


def comes_before(one: JournalPlace, other: JournalPlace, earlier: dict[int, int]) -> bool:
    """By the wall, or because the other was begun with the one in its journal."""
    if one.session == other.session:
        return one.seq < other.seq
    if one.instant + (one.after if other.session < 0 else 0.0) < other.instant:
        return True
    at = other.session
    while at := earlier.get(at, 0):
        if at == one.session:
            return True
    return False


def ends(later: Told, one: Told, earlier: dict[int, int]) -> bool:
    what, by = one.what, later.what
    if isinstance(what, str) or not comes_before(one.place, later.place, earlier):
        return False
    part = what.part.value if what.part else ""
    if isinstance(what, SignTold):
        ill = what.sign in ("fever", "ill", "after-illness")
        if isinstance(by, SignTold):
            if by.sign == "settled":
                return what.sign == "hurt" and one.place.session == later.place.session
            return what.sign in ("fever", "ill") and by.sign == "after-illness"
        return by == f"cleared:{part or what.sign}" or (ill and by == f"well:{part or what.sign}")
    if isinstance(by, Felt):
        better = by.feel.value in ("fresh", "fine") and by.part is what.part
        return what.feel.value == "sore" and better
    return by in (f"cleared:{part}", f"well:{part}")


def sore(one: Told) -> bool:
    return isinstance(one.what, Felt) and one.what.feel.value == "sore"


def again(later: Told, one: Told) -> bool:
    what, by = one.what, later.what
    if isinstance(what, SignTold):
        if what.sign == "hurt" and later.place.session != one.place.session:
            return False
        return isinstance(by, SignTold) and (by.sign, by.part) == (what.sign, what.part)
    if not isinstance(what, Felt) or not isinstance(by, Felt) or by.part is not what.part:
        return False
    return by.feel.value == "hurting" or (what.feel.value == by.feel.value == "sore")


def stands(told: list[Told], earlier: dict[int, int]) -> list[tuple[date, object]]:
    found: list[tuple[date, object]] = []
    for n, one in enumerate(told):
        lasts = (isinstance(one.what, SignTold) and one.what.sign != "settled") or (
            isinstance(one.what, Felt) and one.what.feel.value in ("sore", "hurting")
        )
        ended = any(ends(other, one, earlier) for other in told)
        if lasts and not ended and not any(again(other, one) for other in told[n + 1 :]):
            found.append((one.day, one.what))
    return found


@pytest.mark.parametrize("seed", range(10))
def test_what_stands_is_that_of_the_judge(seed: int) -> None:
    for n in range(25):
        told, earlier, journal = drawn(Random(1000 * seed + n))
        before = Before(journal)
        for one in told:
            for other in told:
                expected = comes_before(one.place, other.place, earlier)
                assert before(one.place, other.place) is expected
        mine = [
            (one.day, one.part, one.sign, one.feel, one.tissue) for one in standing(told, before)
        ]
        theirs = [
            (day, w.part, "", w.feel, w.tissue)
            if isinstance(w, Felt)
            else (day, w.part, w.sign, None, None)  # type: ignore[attr-defined]
            for day, w in stands(told, earlier)
        ]
        assert mine == theirs
        cleared = [
            one.what.split(":")[1]
            for one in told
            if isinstance(one.what, str)
            # what was only sore leaves nothing careful behind
            and any(ends(one, o, earlier) and not sore(o) for o in told)
        ]
        assert list(eased(told, before, None, date(2027, 1, 1))) == list(dict.fromkeys(cleared))


def test_ten_years_are_looked_through_once() -> None:
    """The order of two things is asked for about as often as there are things, not pairs."""
    chance = Random(4)
    feels = [Feel.FINE] * 8 + [Feel.SORE, Feel.HURTING]
    told = [
        Told(
            JournalPlace(n, 1, 86400.0 * n),
            date(2026, 1, 1),
            Felt(1.0, 1, part, chance.choice(feels)),
        )
        for n in range(1, 2001)
        for part in (Part.FINGERS, Part.WRISTS, Part.SHOULDERS)
    ]
    asked = 0

    def before(one: JournalPlace, other: JournalPlace) -> bool:
        nonlocal asked
        asked += 1
        return one.instant < other.instant

    standing(told, before)
    assert asked < len(told)


@pytest.mark.parametrize(
    ("sign", "part", "told"),
    [
        ("yes", None, "A warning sign, told on 05 March 2026"),
        ("before", Part.KNEES, "Knees, a warning sign, told on 05 March 2026"),
        ("hurt", Part.KNEES, "Knees, a warning sign (hurt), told on 05 March 2026"),
        ("chest-pain", None, "Chest pain, told on 05 March 2026"),
    ],
)
def test_a_sign_that_nobody_named_is_told_as_a_warning_sign(
    sign: str, part: Part | None, told: str
) -> None:
    assert Stands(date(2026, 3, 5), part, sign).told == told
