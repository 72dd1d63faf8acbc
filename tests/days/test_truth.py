"""The table of claims is whole, and its judge finds what is not so."""

from dataclasses import replace

import pytest

from coach.files.words import load_language
from coach.model.messages import message
from tests.days.hall import Line
from tests.days.judges import LivedDay
from tests.days.living import live
from tests.days.truth import _JUDGES, CLAIMS, claim_of, true, unclaimed
from tests.session.stage import LIBRARY, Play


@pytest.mark.parametrize("code", ["en", "de"])
def test_of_every_sentence_it_is_said_what_it_claims(code: str) -> None:
    assert unclaimed(load_language(code, LIBRARY.movements).says) == []


def test_no_sentence_stands_in_two_places() -> None:
    keys = [one for listed in CLAIMS.values() for one in listed.split()]
    assert sorted(keys) == sorted(set(keys))
    assert claim_of("won-further") == "won"
    assert claim_of("nobody-has-written-this") == ""


@pytest.fixture(scope="module")
def good() -> LivedDay:
    """A good day, of which everything that was said is so."""
    day = live(5, "good")
    assert true(day) == []
    return day


#: A sentence that is put into the good day where a quarter of it is over, and is not so there.
LIES = {
    "no tries": message("not-today"),
    "tries": message("left", minutes=600, tries=0),
    "minutes": message("how-long", minutes=2),
    "asked again": message("sore-muscle", part="fingers", again=1),
    "counted": message("counted-late", left=0),
    "rest": message("rest-ten"),
    "won": message("won-further", moves=2),
    "done": message("debrief", boulders=0, tries=40, tops=2),
    "stands": message("paused"),
    "ends": message("time-up"),
}


@pytest.mark.parametrize("claim", sorted(LIES))
def test_what_is_not_so_is_found(good: LivedDay, claim: str) -> None:
    # nobody says anything that changes the day, and nothing is told anew
    log = [line for line in good.hall.log if line.kind != "heard" and not _tells_anew(line)]
    quarter = good.hall.now() / 4
    place = next(i for i, line in enumerate(log) if line.at > quarter)
    lie = Line(log[place].at, "said", claim, LIES[claim])
    told = LivedDay(
        replace(good.hall, log=[*log[:place], lie, *log[place:]]), good.climbers, good.minutes
    )
    assert true(told) != []


def _tells_anew(line: Line) -> bool:
    values = dict(line.what.values) if line.kind == "said" else {}
    return not values.keys().isdisjoint({"minutes", "tries", "gate"}) or (
        line.kind == "said" and line.what.key.startswith("ask-gate")
    )


def test_every_judge_has_a_lie_that_it_finds() -> None:
    """'First asked' needs a day on which warm-up was skipped: the campaign has many."""
    assert set(LIES) == set(_JUDGES) - {"first asked"}


@pytest.mark.parametrize(("part", "promised"), [("fingers", True), ("elbows", False)])
def test_only_what_is_asked_again_is_promised(part: str, promised: bool) -> None:
    """Of fingers and shoulders there is a check; nothing asks about an elbow."""
    play = Play()
    play.run(240.0)
    play.say(f"feel:{part}:sore" if part == "fingers" else "feel:sore", addressed=True)
    for _ in range(60):
        asking = play.session.questions.asking
        if asking is not None and play.session.window is not None:
            if asking.question == "which-part":
                play.say(f"part:{part}")
            elif asking.question == "how-is-it":
                play.say("feel:sore")
            elif asking.question == "tissue":
                play.say("tissue:muscle")
                break
        play.next()
    said = [one for one in play.said if one.startswith("Gentle on the")]
    assert said == [f"Gentle on the {part} for a while." + (" Then I'll ask again." * promised)]
