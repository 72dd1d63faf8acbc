"""Time: short of it, called away, more of it, skipped parts, idling and running late."""

from collections import Counter
from dataclasses import replace

import pytest

from coach.errors import UsageError
from coach.model.body import CapReason, Part
from coach.model.day import Change
from coach.model.plan import StepKind
from coach.planning import make_plan, open_day
from coach.planning.rules.idle import NOTICE, OFFER
from coach.planning.rules.time import AWAY, LONGER
from tests.planning.days import library
from tests.planning.walker import ADULT, PAIR, Walker


def floors(walk: Walker) -> list[str]:
    return [step.name for step in walk.steps if step.floor]


def test_short_of_time_takes_hard_tries_before_any_warm_up() -> None:
    walk = Walker().to("easy.1")
    before, seconds, tries = floors(walk), walk.seconds, walk.tries()
    walk.tell("short-of-time")
    assert (walk.say, walk.value("tries")) == ("short-of-time", walk.tries())
    assert walk.value("lost") == tries - walk.tries() > 0
    assert walk.value("minutes") == round(walk.seconds / 60)
    assert floors(walk) == before
    assert walk.seconds <= seconds * 0.75 + 1
    assert walk.change.day.ends_at == pytest.approx(walk.now + seconds * 0.75)


def test_short_of_time_takes_the_minutes_that_are_told() -> None:
    walk = Walker().to("easy.1").tell("short-of-time:40")
    assert walk.seconds <= 2400
    assert walk.change.day.ends_at == walk.now + 2400


def test_more_minutes_than_are_left_are_no_gift() -> None:
    walk = Walker().to("middle.1")
    left = min(walk.seconds, walk.change.day.ends_at - walk.now)
    walk.tell("short-of-time:200")
    assert walk.change.day.ends_at == pytest.approx(walk.now + left)


@pytest.mark.parametrize(("minutes", "rule"), [(AWAY, "called-away"), (AWAY + 1, "short-of-time")])
def test_a_few_minutes_left_wind_down(minutes: int, rule: str) -> None:
    walk = Walker(PAIR).to("easy.2").tell(f"short-of-time:{minutes}")
    assert walk.fired == [rule]
    assert AWAY == 10
    if rule == "called-away":
        assert walk.steps[0].name == "easy.2"
        assert {step.block for step in walk.steps[1:]} <= {"cool-down"}
        assert walk.value("minutes") == round(walk.seconds / 60)
        assert (walk.tries(1), walk.tries(2)) == (0, 0)


def test_floors_that_no_longer_fit_cost_every_hard_try() -> None:
    walk = Walker().to("mat.1").tell("short-of-time:12")
    assert walk.tries() == 0
    assert walk.seconds <= 720 + 60
    assert walk.change.day.skipped


def test_longer_adds_within_what_is_planned_already() -> None:
    walk = Walker(minutes=60).to("easy.1")
    ends, tries, seconds = walk.change.day.ends_at, walk.tries(), walk.seconds
    walk.tell("longer")
    assert (walk.say, walk.value("tries")) == ("longer", walk.tries())
    assert walk.value("minutes") == round(walk.seconds / 60)
    assert walk.change.day.ends_at == ends + LONGER * 60
    assert LONGER == 15
    assert walk.tries() > tries
    assert walk.seconds > seconds
    assert walk.tell("longer:30").change.day.ends_at == ends + 45 * 60


def test_longer_after_the_end_counts_from_now() -> None:
    walk = Walker().to("cool-down.1")
    walk.now = walk.change.day.ends_at + 600
    walk.tell("longer")
    assert walk.change.day.ends_at == walk.now + 900


def test_longer_brings_nothing_back_that_was_passed_or_skipped() -> None:
    walk = Walker(minutes=60).to("middle.1")
    walk.tell("longer:60")
    assert {step.block for step in walk.steps}.isdisjoint({"pulse", "mat", "board"})
    names = [step.name for step in walk.steps]
    tried = next(i for i, step in enumerate(walk.steps) if step.turn)
    assert not any(name.startswith("easy") for name in names[:tried])


@pytest.mark.parametrize("tag", ["tired", "short-of-sleep", "hard-yesterday", "break:holiday"])
def test_longer_on_a_weary_day_adds_only_what_is_gentle(tag: str) -> None:
    walk = Walker(minutes=60, told=((1, tag),)).to("easy.1")
    before, ends = {step.name for step in walk.steps}, walk.change.day.ends_at
    walk.tell("longer")
    assert walk.fired == ["longer-gentle"]
    assert walk.value("minutes") == round(walk.seconds / 60)
    assert walk.change.day.ends_at == ends + 900
    added = [step for step in walk.steps if step.name not in before]
    assert added
    assert all(load <= 1 for step in added for f in step.forms for load in f.load.values())


@pytest.mark.parametrize("key", ["feel:knees:sore", "sign:pop"])
def test_longer_with_a_cap_adds_only_what_is_gentle(key: str) -> None:
    walk = Walker(minutes=60).to("easy.1").tell(key).tell("longer")
    assert walk.fired == ["longer-gentle"]


@pytest.mark.parametrize("who", [1, 2])
def test_longer_at_the_word_of_one_adds_nothing_hard_for_the_other(who: int) -> None:
    walk = Walker(PAIR, minutes=60).to("easy.1")
    before = walk.steps
    walk.tell("longer", who=who)
    assert walk.fired == ["longer-gentle"]
    added = [step for step in walk.steps if step.name not in {one.name for one in before}]
    assert all(load <= 1 for step in added for form in step.forms for load in form.load.values())


def test_a_cut_warm_up_makes_longer_gentle() -> None:
    walk = Walker(minutes=60).to("mat.5").tell("skip").tell("longer")
    assert walk.fired == ["longer-gentle"]


def test_skipping_a_set_leaves_it_out() -> None:
    walk = Walker().to("board.1")
    optional = next(step for step in walk.steps if not step.floor and step.block == "board")
    walk.to(optional.name)
    tries = walk.tries()
    walk.tell("skip")
    assert walk.fired == ["skip"]
    assert walk.value("step") == optional.forms[0].movement
    assert optional.name not in {step.name for step in walk.steps}
    assert (walk.change.cut, walk.change.day.skipped, walk.tries()) == (True, (), tries)


def test_nothing_is_skipped_where_nothing_is_left() -> None:
    walk = Walker().to("cool-down.1")
    walk.past(len(walk.steps))
    assert walk.steps == ()
    assert walk.tell("skip").fired == []
    assert walk.tell("easier").fired == []
    assert walk.tell("harder").fired == []
    assert walk.tell("more-time").fired == []


def test_skipping_a_part_of_the_warm_up_costs_the_hard_tries_until_it_is_made_up() -> None:
    walk = Walker(PAIR).to("mat.5")
    tries = walk.tries()
    walk.tell("skip")
    assert (walk.say, walk.value("step")) == ("skip-floor", "deep-squat")
    assert walk.value("tries") == walk.tries() == tries
    assert walk.change.day.skipped == ("mat.5",)
    for who in (1, 2):
        cold = [c for c in walk.change.day.caps if c.reason is CapReason.COLD and c.who == who]
        assert {cap.part for cap in cold} == set(Part)
        assert {(cap.most, cap.rule) for cap in cold} == {(2, "skip-floor")}
    names = [step.name for step in walk.steps]
    assert names.index("mat.5-make-up") == names.index("middle.go-ahead") - 1
    made_up = walk.to("go-ahead")
    assert made_up.say == "made-up"
    assert made_up.change.day.skipped == ()
    assert not [c for c in made_up.change.day.caps if c.reason is CapReason.COLD]
    assert made_up.answer("go").say == "go"


def test_a_make_up_that_is_skipped_costs_the_hard_tries() -> None:
    walk = Walker(PAIR).to("mat.5").tell("skip").to("mat.5-make-up").tell("skip")
    assert walk.fired == ["skip-make-up"]
    assert walk.value("lost") > 0  # type: ignore[operator]
    assert (walk.tries(1), walk.tries(2)) == (0, 0)
    assert "mat.5-make-up" not in {step.name for step in walk.steps}


def test_go_without_the_whole_warm_up_opens_no_hard_try() -> None:
    """What was cut caps every load below the hardest, whatever is answered."""
    walk = Walker().to("mat.5").tell("skip").to("easy.1").tell("skip").to("mat.5-make-up")
    walk.past()
    skipped = walk.change.day.skipped
    assert skipped == ("easy.1",)
    left = tuple(step for step in walk.steps if "make-up" not in step.name)
    walk.change = Change(walk.change.day, left)
    walk.to("go-ahead").answer("go")
    assert walk.tries() == 0


def test_what_makes_up_for_the_warm_up_goes_with_the_last_hard_try() -> None:
    walk = Walker().to("mat.5").tell("skip").to("easy.1")
    assert "mat.5-make-up" in {step.name for step in walk.steps}
    walk.tell("not-today")
    assert "mat.5-make-up" not in {step.name for step in walk.steps}


def test_what_makes_up_for_the_warm_up_stays_where_it_has_begun() -> None:
    walk = Walker().to("mat.5").tell("skip").to("mat.5-make-up").tell("not-today")
    assert walk.steps[0].name == "mat.5-make-up"


def test_a_skipped_cool_down_costs_nothing_to_make_up() -> None:
    walk = Walker().to("cool-down.1").tell("skip")
    assert not [step for step in walk.steps if "make-up" in step.name]


@pytest.mark.parametrize(
    ("seconds", "say", "ask"),
    [
        (NOTICE - 1, "", ""),
        (NOTICE, "idle-notice", ""),
        (OFFER, "idle-notice", ""),
        (OFFER + 1, "idle-offer", "re-warm"),
    ],
)
def test_idling_is_noticed_and_then_a_re_warm_offered(seconds: int, say: str, ask: str) -> None:
    """Basis: West et al. 2013, J Sci Med Sport 16:172-176; the thresholds are our rule."""
    assert (NOTICE, OFFER) == (9 * 60, 15 * 60)
    walk = Walker(minutes=150).to("middle.1")
    walk.change = Change(replace(walk.change.day, ends_at=20000.0), walk.steps)
    walk.idle(seconds)
    assert (walk.say, walk.change.ask) == (say, ask)
    if say:
        assert walk.value("idle") == seconds // 60


def test_nothing_is_offered_where_nothing_is_left() -> None:
    walk = Walker().to("cool-down.1")
    walk.past(len(walk.steps)).idle(3000)
    assert walk.change.ask == ""


def test_a_re_warm_adds_a_few_easy_boulders_before_what_comes() -> None:
    walk = Walker(minutes=150).to("hard.2.1")
    walk.tell("rewarm", "re-warm")
    assert walk.fired == ["re-warm"]
    first = walk.steps[0]
    assert (first.kind, first.amount, first.forms[0].movement) == (
        StepKind.CLIMB,
        4,
        "easy-boulders",
    )
    assert walk.steps[1].name.startswith("hard.2")
    assert first.block == "easy"


def test_a_re_warm_that_nobody_may_do_is_left_out() -> None:
    walk = Walker().to("easy.1").tell("hurt")
    steps = walk.steps
    assert walk.tell("rewarm", "re-warm").steps == steps


def test_a_re_warm_after_the_last_step_stands_alone() -> None:
    walk = Walker(minutes=150).to("cool-down.1")
    walk.past(len(walk.steps)).tell("rewarm", "re-warm")
    assert [step.block for step in walk.steps] == ["easy"]


def test_a_re_warm_without_boulders_takes_a_pulse_raiser() -> None:
    walk = Walker(library=library("mat-and-board"), minutes=30).to("board.1")
    walk.tell("rewarm", "re-warm")
    assert walk.steps[0].block == "pulse"
    movement = walk.library.movements[walk.steps[0].forms[0].movement]
    assert movement.family == "pulse"
    assert walk.steps[0].amount == movement.amount


@pytest.mark.parametrize("key", ["no", "silence"])
def test_without_a_re_warm_the_go_ahead_is_asked_again(key: str) -> None:
    walk = Walker(PAIR).to("hard.2.1").tell(key, "re-warm")
    assert walk.fired == ["no-re-warm"]
    assert walk.value("tries") == walk.tries()
    assert set(walk.change.day.go) == set()  # both stood for as long
    for who in (1, 2):
        asked = next(
            step
            for step in walk.steps
            if step.question == "go-ahead" and who in {form.who for form in step.forms}
        )
        mine = next(step for step in walk.steps if step.turn == who)
        assert walk.steps.index(asked) < walk.steps.index(mine)
        assert asked.block == "hard"


def test_without_a_re_warm_before_the_go_ahead_nothing_changes() -> None:
    walk = Walker().to("easy.1")
    steps = walk.steps
    assert walk.tell("no", "re-warm").steps == steps
    assert walk.tell("no", "sign").fired == []
    before = walk.change.day.caps
    assert walk.tell("no", "re-warm").change.day.caps == before


def _seconds_by_movement(walk: Walker) -> Counter[str]:
    found = Counter[str]()
    for step in walk.steps:
        found[next((form.movement for form in step.forms if form.movement), "")] += round(
            step.seconds
        )
    return found


def test_running_late_without_tries_names_what_gets_less_time() -> None:
    walk = Walker().to("cool-down.1")
    assert walk.tries() == 0
    before = _seconds_by_movement(walk)
    walk.late(400)
    assert walk.say == "running-late"
    lost = before - _seconds_by_movement(walk)
    assert lost[str(walk.value("gone"))] == max(lost.values()) > 0


def test_running_late_takes_hard_tries_first_and_says_so() -> None:
    walk = Walker().to("middle.1")
    tries, kept = walk.tries(), floors(walk)
    walk.late(600)
    assert walk.say == "running-late"
    assert walk.value("lost") == tries - walk.tries() > 0
    assert walk.value("gone") == 0
    assert walk.value("tries") == walk.tries()
    assert walk.value("minutes") == round(walk.seconds / 60)
    assert floors(walk) == kept
    assert walk.now + walk.seconds <= walk.change.day.ends_at


def test_nothing_is_said_while_all_fits() -> None:
    walk = Walker().to("middle.1").late(1)
    assert walk.say == ""


def test_more_time_is_no_matter_of_the_plan_but_at_the_go_ahead() -> None:
    """A longer rest is the session's own: the steps stay as they are."""
    walk = Walker().to("board.1")
    assert walk.tell("more-time").fired == []
    assert walk.tell("more-time", "tissue").fired == []


@pytest.mark.parametrize("minutes", [0, 9, -5, float("nan")])
def test_too_few_minutes_name_the_least_and_the_warm_up(minutes: float) -> None:
    least = library().routine.least_minutes
    with pytest.raises(UsageError, match="too few") as error:
        open_day(ADULT, minutes, library())
    assert str(least) in error.value.do
    assert "warm-up alone" in error.value.do


def test_too_many_minutes_name_the_range() -> None:
    with pytest.raises(UsageError, match="more than a session has") as error:
        open_day(ADULT, 301, library())
    assert "300" in error.value.do
    assert open_day(ADULT, 300, library()).ends_at == 18000


def test_a_session_of_nobody_is_refused() -> None:
    with pytest.raises(UsageError, match="nobody"):
        open_day((), 90, library())


def test_minutes_that_ran_out_during_the_check_in_are_refused() -> None:
    day = open_day(ADULT, 45, library())
    with pytest.raises(UsageError, match="too few for the warm-up"):
        make_plan(day, 2400.0, library())
