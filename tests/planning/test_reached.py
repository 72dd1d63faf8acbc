"""Every rule is reached by phrases, keys and options, in sessions that the real core runs."""

from datetime import datetime, timedelta
from itertools import count, islice
from pathlib import Path

import pytest

from coach.files.paths import paths
from coach.journal import Journal
from coach.model.body import Feel
from coach.model.facts import Fact, Felt, SignTold
from coach.planning.rules import RULES
from coach.session.events import Event
from tests.planning.reaching import NOW, fired, ran
from tests.record import real

SHIPPED = Path(__file__).parents[2] / "routines"

#: Sessions with what is said drawn at random: enough for every rule that is no rare one.
SEEDS = 200
#: People of whom one has to do what a day needs.
DRAWN = 12
FINE = "".join(f"{m}:{s:02} i'm fine\n" for m in range(4, 40) for s in (0, 20, 40))
LAST = "".join(f"{m}:{s:02} last go\n" for m in range(24, 60) for s in (0, 20, 40))

#: Ten easy and five middle boulders sooner than planned, and the word that decides.
QUICK = (
    "00:00 fresh\n04:30 fresh\n08:00 fresh\n13:35 all done\n16:00 all done\n18:00 all done\n"
    "22:30 all done\n22:40 let's try\n"
)

#: Rule -> the options of a day, what is said in it, and the seed of who answers the rest.
DAYS: dict[str, tuple[dict[str, object], str, int | None]] = {
    "re-warm": ({}, "20:00 pause\n43:00 carry on\n43:10 warm up again\n", None),
    "gate-silent": ({}, "", None),
    "ill": ({}, "05:00 i have a fever\n", None),
    "sign-somewhere": ({"hurting": "swelling"}, "", None),
    "part-untold": ({"hurting": "swelling"}, "", None),
    "pain-slight": ({"hurting": "slight pain in the elbow"}, "", None),
    "stiff-again": (
        {},
        "02:00 stiff\n02:05 my back\n04:00 stiff\n04:05 my back\n06:00 stiff\n06:05 my back\n",
        1,
    ),
    "landing": ({"today": "high or leaping", "minutes": 120}, "", 1),
    "last-go": ({}, QUICK + LAST, 1),
    "more-tries": ({"minutes": 60}, QUICK + "22:50 more tries\n", None),
    "home-early": ({"minutes": 60}, QUICK, None),
    "pain-moderate": ({"hurting": "moderate pain in the elbow"}, "", None),
    "pain-severe": ({"hurting": "severe pain in the elbow"}, "", None),
    "go-too-early": ({"minutes": 60}, QUICK.replace("08:00 fresh\n", ""), None),
    "go-unchecked": (
        {"minutes": 60},
        QUICK.replace("08:00 fresh\n", "") + "23:50 let's try\n24:30 let's try\n",
        None,
    ),
    "sign-untold": ({"today": "sign: untold"}, "", None),
    "not-yet-well": ({"today": "break: illness"}, "", None),
    "injury-somewhere": ({"today": "break: injury"}, "", None),
    "back-after-birth": ({"today": "break: birth"}, "", None),
    "no-board": ({"place": "home"}, "", None),
    "tries-wanted": ({"today": "tries: 2"}, "", None),
    "new-to-climbing": ({}, "", None),
    "learning": ({}, "", None),
    "strong": ({"comfortable": "pumice", "best": "basalt"}, "", None),
    "easier-middle": ({"minutes": 60}, f"{QUICK}18:10 easier\n18:30 easier\n19:30 easier\n", None),
    "whole-pain": ({"hurting": "head moderate"}, "", None),
    "unknown-sign": ({"hurting": "weird clicky thing"}, "00:05 my elbow\n", None),
    "unknown-sign-somewhere": ({"hurting": "weird clicky thing"}, "", None),
    "no-re-warm": ({"minutes": 120}, "40:00 pause\n66:00 resume\n", None),
    "no-room-for-hard": ({"minutes": 30}, "", None),
    "static-before-hard": ({"routine": "stretched"}, "", None),
    "edge-below-usual": ({"place": "weighing", "edge": "medium"}, f"{FINE}18:00 30 kg\n", 1),
}
#: Months of climbing in the settings, for the days that need them.
MONTHS = {"new-to-climbing": 3, "learning": 12, "strong": 60}
#: A hall of the user's with a scale, and a routine of the user's that stretches long.
_HALL = (
    (SHIPPED / "places" / "tarnwick.toml").read_text("utf-8").replace('"mat", ', '"mat", "scale", ')
)
_STRETCHED = """
extends = "full"
title.en = "Stretched"
least_minutes = 12
[[blocks]]
name = "still"
after = "mat"
kind = "mat"
most = 400
items = [{ movement = "heart-to-mat", sets = 4, least_sets = 4, core = true }]
"""


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody's own settings count."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))


@pytest.mark.parametrize("rule", DAYS)
def test_a_rare_rule_is_reached_by_its_own_day(rule: str) -> None:
    told, script, seed = DAYS[rule]
    own = paths().data / "routines"
    (own / "places").mkdir(parents=True)
    (own / "places" / "weighing.toml").write_text(_HALL, "utf-8")
    (own / "stretched.toml").write_text(_STRETCHED, "utf-8")
    if rule in MONTHS:
        paths().config.mkdir(parents=True, exist_ok=True)
        paths().settings.write_text(f"climbing = {MONTHS[rule]}\n", "utf-8")
    if rule == "edge-below-usual":
        weigh_often()
    # who answers the rest is drawn: some of them do what the day needs
    seeds = [seed] if seed is None else range(seed, seed + DRAWN)
    assert any(rule in ran(script, one, **told) for one in seeds)


def weigh_often() -> None:
    """Sessions of the real core up to three days ago, each with a reading of about 48 kg."""
    with Journal.open(paths().journal, write=True) as journal:
        days = (real.day(number, "alone") for number in count())
        well = (one for one in days if not any(map(_harm, one.committed)))
        for number, one in enumerate(islice(well, 12)):
            real.put(journal, one, NOW - timedelta(days=36 - 3 * number))


def _harm(committed: tuple[Event, tuple[Fact, ...], datetime]) -> bool:
    """Whether something was told that stands on the record."""
    return any(
        isinstance(fact, SignTold)
        or (isinstance(fact, Felt) and fact.feel in (Feel.SORE, Feel.HURTING))
        for fact in committed[1]
    )


@pytest.mark.no_cover
def test_every_other_rule_is_reached_from_outside() -> None:
    """A rule that neither a drawn session nor a day of its own reaches fails."""
    wanted = {rule.name for rule in RULES} - DAYS.keys()
    for seed in range(SEEDS):
        if not wanted:
            break
        wanted -= fired(seed)
    assert wanted == set()
