"""What the panels say."""

import statistics
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.body import Feel, Part
from coach.model.facts import (
    Climbed,
    Decided,
    Felt,
    RuleFired,
    SignTold,
    StepEnded,
    Tried,
    WentForIt,
)
from coach.model.place import Circuit
from coach.model.usual_edge import EdgeSetup, Usual
from coach.planning.edge_comparison import LEAST_CHECKS, Verdict, compare
from coach.record import climbing, dose_hours, edge_over_time, hard_tries, load, wear
from coach.record.baseline import (
    B,
    Baseline,
    baseline,
    ewma,
    half_width,
    mad,
    recent,
    weighted_median,
    weights,
    worth,
)
from coach.record.digest import Digest
from coach.record.entry import Entry
from coach.record.panel import Panel
from coach.record.periods import PeriodLength
from coach.record.trends import PANELS, PanelSource, trends
from tests.record.days import check, ended, entry

TODAY = date(2026, 3, 15)


def values(panel: Panel, name: str) -> tuple[float | None, ...]:
    return next(one.values for one in panel.series if one.name == name)


def test_minutes_become_hours() -> None:
    fact = StepEnded(9.0, 1, "mat.1", "x", "breathe", "mat", 1.0, 1800.0, 1800.0, "done")
    panel = dose_hours.doses(
        [entry(0, fact), entry(1, fact), entry(40, fact)], PeriodLength.MONTH, date(2026, 4, 30)
    )
    assert panel.labels == ("2026-03", "2026-04")
    assert values(panel, "mobility") == (60.0, 30.0)
    assert panel.text[0] == (
        "3 sessions since 2026-03: 90 min of mobility, 0 s of hangs and 0 s of technique."
    )
    assert len(panel.text) == 1


def test_focuses_are_named_the_most_practised_first() -> None:
    one = replace(entry(0), digest=Digest(focuses={"quiet-feet": 60.0, "long-arms": 200.0}))
    two = replace(entry(1), digest=Digest(focuses={"quiet-feet": 60.0}))
    panel = dose_hours.doses([one, two], PeriodLength.MONTH, TODAY)
    assert panel.text[1].endswith("long arms 3 min, quiet feet 2 min.")


def test_the_focus_practised_last_comes_last() -> None:
    one = replace(entry(0), digest=Digest(focuses={"quiet-feet": 60.0, "long-arms": 200.0}))
    two = replace(entry(1), digest=Digest(focuses={"long-arms": 60.0, "heel-first": 9.0}))
    three = entry(2)
    assert dose_hours.practised([one, two, three]) == ("quiet-feet", "heel-first", "long-arms")
    assert dose_hours.practised([]) == ()


def test_stairs_rise_from_the_floor() -> None:
    circuits = (Circuit("marble"), Circuit("slate", ("6B", "6C")), Circuit("gneiss", ("hard",)))
    facts = [
        Climbed(1.0, 1, "middle", 6, 60.0),
        Climbed(1.0, 1, "easy", 12, 60.0),
        Tried(1.0, 1, "slate 4", 1, "topped", 9.0),
        Tried(1.0, 1, "marble 2", 2, "topped", 9.0),
        Tried(1.0, 1, "marble 3", 3, "topped", 9.0),
        Tried(1.0, 1, "7A", 4, "topped", 9.0),
        Tried(1.0, 1, "6C+", 4, "topped", 9.0),
        Tried(1.0, 1, "12", 4, "topped", 9.0),
        Tried(1.0, 1, "gneiss 1", 4, "topped", 9.0),
        Tried(1.0, 1, "slate 9", 5, "top", 9.0),
    ]
    panel = climbing.stairs([entry(0, *facts)])
    assert panel.labels == ("easy", "middle", "hard, topped")
    assert panel.series[0].values == (12.0, 6.0, 7.0)
    assert panel.text == ("From the floor up: easy 12, middle 6 and hard, topped 7.",)
    assert climbing.stairs([]).text == ("No boulder was counted.",)
    panel = climbing.tops([entry(0, *facts)], circuits)
    assert panel.labels == (
        "12",
        "6C+",
        "7A",
        "marble",
        "slate (6B to 6C; IRCRA 17 to 19)",
        "gneiss (hard)",
    )
    assert panel.text[0].startswith("Topped: 12 1, 6C+ 1, 7A 1, marble 2, slate (6B")
    assert climbing.tops([]).text == ("No hard boulder was topped.",)


def tried(boulder: str, result: str) -> Tried:
    return Tried(1.0, 1, boulder, 1, result, 9.0)


def test_new_heights() -> None:
    found = hard_tries.new_heights(
        [
            entry(0, tried("a", "start")),
            entry(1, tried("a", "middle"), tried("b", "topped")),
            entry(2, tried("a", "start"), tried("b", "topped")),
            entry(3, tried("a", "topped"), tried("c", "top")),
        ]
    )
    assert list(found.values()) == [(), ("a", "b"), (), ("a",)]


def test_tries_and_going_for_it() -> None:
    entries = [
        entry(n, tried("a", "topped"), tried("b", "start"), Decided(1.0, 1, n >= 5))
        for n in range(10)
    ]
    panel = hard_tries.tries(entries, PeriodLength.YEAR, TODAY)
    assert values(panel, "hard tries") == (20.0,)
    assert panel.text == (
        "20 hard tries, 10 tops and 1 new height.",
        "Went for it at 5 of 10 go-aheads.",
        "First half: 0 of 5; second half: 5 of 5.",
        "2026 is not over.",
    )
    assert len(hard_tries.tries(entries[:4], PeriodLength.YEAR, TODAY).text) == 3
    assert hard_tries.tries([], PeriodLength.YEAR, TODAY).text == (
        "0 hard tries, 0 tops and 0 new heights.",
    )


def test_soreness_is_shown_by_its_worst() -> None:
    sore = Felt(1.0, 1, Part.FINGERS, Feel.SORE)
    stiff = Felt(1.0, 1, Part.FINGERS, Feel.STIFF)
    fine = Felt(1.0, 1, Part.BACK, Feel.FINE)
    sign = SignTold(1.0, 1, "pop", Part.FINGERS)
    panel = wear.soreness(
        [entry(0, sore, fine), entry(1, stiff), entry(40, sign)],
        PeriodLength.MONTH,
        date(2026, 4, 30),
    )
    assert [(one.name, one.values) for one in panel.series] == [("fingers", (3.0, None))]
    assert panel.text == (
        "Fingers: sore in 1 session and stiff in 1 session.",
        "Warning sign: pop (fingers), 1 time.",
    )
    assert "no diagnosis" in panel.note
    assert (
        wear.soreness([entry(0, fine)], PeriodLength.MONTH, TODAY)
        .text[0]
        .startswith("Nothing was told")
    )


def test_rules_are_counted() -> None:
    panel = wear.rules([entry(0, RuleFired(1.0, 0, "running-late", "our choice")), entry(1)])
    assert panel.text == ("running late: 1 time.",)
    assert wear.rules([entry(0)]).text == ("No rule has fired.",)


# --- the edge check ----------------------------------------------------------------------------


def test_no_baseline_under_eight_checks() -> None:
    assert edge_over_time.feels([]).text == ("No edge check was recorded.",)
    seven = [entry(n, check()) for n in range(7)]
    panel = edge_over_time.feels(seven)
    assert "No baseline yet: it needs 8 comparable checks." in panel.text
    assert panel.levels == ()
    nine = [*seven, entry(7, check()), entry(8, check())]
    assert edge_over_time.feels(nine[:8]).levels == ()
    assert edge_over_time.feels(nine).levels[0].values == (None,) * 8 + (4.0,)


def test_only_the_same_hang_is_compared() -> None:
    entries = [entry(n, check(edge="large")) for n in range(3)] + [entry(9, check())]
    checks, others = edge_over_time.comparable(entries)
    assert (len(checks), others) == (1, 3)
    assert (
        "3 others not comparable: edge, grip or feet differed."
        in edge_over_time.feels(entries).text
    )


def test_a_row_of_equal_feels_makes_no_alarm_of_one_step() -> None:
    entries = [entry(n, check()) for n in range(12)] + [entry(12, check(Feel.FRESH))]
    panel = edge_over_time.feels(entries)
    assert panel.marked == ()
    assert panel.text[-1] == "Usual: fine. Lately fine, inside the limits; outside 0 times in all."


def test_a_slow_drift_leaves_the_limits() -> None:
    feels = [Feel.FINE] * 20 + [Feel.HURTING] * 8
    panel = edge_over_time.feels([entry(n, check(feel)) for n, feel in enumerate(feels)])
    assert panel.marked != ()
    assert "outside the limits" in panel.text[-1]
    assert "never clears pain" in panel.note


def test_readings_take_part_only_where_there_is_one() -> None:
    entries = [entry(n, check(reading=50.0 if n % 2 else None)) for n in range(20)]
    panel = edge_over_time.readings(entries)
    assert len(panel.labels) == 10
    assert "Last reading 50 kg." in panel.text
    assert panel.levels[1].values[-1] == pytest.approx(50 + half_width(2, 50 * 0.027))
    assert edge_over_time.readings([entry(0, check())]).text == ("No edge check was recorded.",)


def test_a_known_baseline_needs_no_eight_checks() -> None:
    panel = edge_over_time.readings([entry(0, check(reading=60.0))], Baseline(50.0, 1.0))
    assert panel.marked == (0,)
    assert panel.text[-1].startswith("Moving average 53.00, outside ")


def test_the_planner_gets_ones_own_usual() -> None:
    entries = [entry(n, check(reading=50.0 + n)) for n in range(9)]
    entries += [entry(20, check(edge="large", reading=90.0)), entry(21, check(Feel.SORE))]
    setup = EdgeSetup("medium", "edge-check", "off")
    by_feel = edge_over_time.usual(entries, setup)
    assert (by_feel.checks, by_feel.median, by_feel.spread) == (10, 4.0, 0.0)
    assert by_feel.recent == (4.0, 2.0)
    by_reading = edge_over_time.usual(entries, setup, by_reading=True)
    assert (by_reading.checks, by_reading.median, by_reading.spread) == (9, 54.0, 2 * B)
    assert by_reading.recent == (57.0, 58.0)
    assert 8.5 < (by_reading.worth or 0.0) < 9.0
    assert compare(40.0, setup, by_reading, 0.0) is Verdict.LOW
    assert compare(54.0, setup, by_reading, 0.0) is Verdict.USUAL
    assert edge_over_time.usual([], setup) == Usual(setup, 0, 0.0, 0.0)
    assert edge_over_time.usual_readings(entries) == (by_reading,)
    assert edge_over_time.usual_readings(entries[:7]) == ()


def test_old_values_weigh_less() -> None:
    """20 20 21 22 22 23 24 25 with a half-life of 3 checks: 23, and worth 6.329 (computed)."""
    row = (20, 20, 21, 22, 22, 23, 24, 25)
    days = [date(2026, 1, 1) + timedelta(days=7 * n) for n in range(8)]
    assert sum(weights(days)) == pytest.approx(4.0839, abs=1e-4)
    assert worth(weights(days)) == pytest.approx(6.329, abs=1e-3)
    assert weighted_median(row, weights(days)) == recent(days, row).centre == 23
    assert weighted_median((1, 2, 3, 4), (1, 1, 1, 1)) == 2.5
    assert weighted_median((4, 1, 3, 2), (3, 1, 1, 1)) == 3.5


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(1, 9)), min_size=1, max_size=9))
def test_a_value_that_weighs_three_is_there_three_times(rows: list[tuple[int, int]]) -> None:
    laid_out = [value for value, times in rows for _ in range(times)]
    values, times = zip(*rows, strict=True)
    assert weighted_median(values, times) == statistics.median(laid_out)
    # that sums of such weights are not exact makes no difference
    tenths = [one * 0.1 for one in times]
    assert weighted_median(values, tenths) == statistics.median(laid_out)


def test_one_check_a_week_still_weighs_like_a_baseline() -> None:
    """What the half-life is chosen by: it is the shortest whole week of which that holds."""
    days = [date(2026, 1, 1) + timedelta(days=7 * n) for n in range(60)]
    assert worth(weights(days)) >= LEAST_CHECKS
    fortnight = [0.5 ** (n / 2) for n in range(60)]
    assert worth(fortnight) < LEAST_CHECKS


@pytest.mark.parametrize(("feel", "times"), [(Feel.SORE, 2), (Feel.FRESH, 3)])
def test_limits_of_feel_can_be_crossed_both_ways(feel: Feel, times: int) -> None:
    usual = [entry(n, check()) for n in range(12)]
    row = [*usual, *(entry(12 + n, check(feel)) for n in range(times))]
    assert edge_over_time.feels(row[:-1]).marked == ()
    assert edge_over_time.feels(row).marked == (11 + times,)


def test_mad_of_equal_values_is_zero_and_floored() -> None:
    """7,7,8,6,7,7,8,7 has MAD 0 (computed): a spread of 0 would make every change an alarm."""
    row = (7, 7, 8, 6, 7, 7, 8, 7)
    assert mad(row) == 0.0
    assert baseline(row, 1.0) == Baseline(7.0, 1.0)
    assert baseline(row[: LEAST_CHECKS - 1], 1.0) is None
    ten = (7, 8, 6, 7, 9, 7, 6, 8, 7, 8)
    assert mad(ten) == pytest.approx(B)
    assert (4 - 7) / mad(ten) == pytest.approx(-2.023, abs=1e-3)


@given(st.lists(st.floats(-1e6, 1e6), max_size=30), st.floats(-1e6, 1e6))
def test_a_moving_average_stays_among_its_values(row: list[float], begin: float) -> None:
    for n, average in enumerate(ewma(row, begin), 1):
        seen = [begin, *row[:n]]
        assert min(seen) - 1e-6 <= average <= max(seen) + 1e-6


# --- load --------------------------------------------------------------------------------------


def week(*loads: float) -> list[Entry]:
    return [entry(n, ended(amount / 5, 5)) for n, amount in enumerate(loads) if amount]


def test_two_weeks_of_foster() -> None:
    """Computed from the formulas with n - 1; no published weekly table was found."""
    (first,) = load.weeks(week(300, 0, 420, 180, 0, 540, 0), date(2026, 3, 8))
    assert first.monotony == pytest.approx(0.9291, abs=1e-4)
    assert first.strain == pytest.approx(1337.8, abs=0.1)
    (second,) = load.weeks(week(400, 400, 400, 0, 400, 400, 400), date(2026, 3, 8))
    assert second.monotony == pytest.approx(2.2678, abs=1e-4)
    assert second.strain == pytest.approx(5442.7, abs=0.1)


@pytest.mark.parametrize(
    ("entries", "today"),
    [
        (week(*[400] * 7), date(2026, 3, 8)),  # no spread
        (week(400, 0, 300), date(2026, 3, 7)),  # not over yet
        ([*week(0, 400)], date(2026, 3, 8)),  # began before the first session
        ([*week(400), entry(1, ended(60, None))], date(2026, 3, 8)),  # an effort is missing
    ],
)
def test_where_monotony_is_undefined(entries: list[Entry], today: date) -> None:
    (only,) = load.weeks(entries, today)
    assert (only.monotony, only.strain) == (None, None)
    found = load.weeks(entries, today)
    for panel in (load.monotony_panel, load.strain_panel):
        text = panel(found, PeriodLength.WEEK, today).text[0]
        assert text.endswith(": undefined so far.")


def test_monotony_and_strain_are_drawn_week_by_week() -> None:
    entries = [*week(300, 0, 420, 180, 0, 540, 0), entry(9, ended(80, 5))]
    found = load.weeks(entries, date(2026, 3, 17))
    for make, value in (
        (load.monotony_panel, 0.9291),
        (load.strain_panel, 1337.8),
    ):
        panel = make(found, PeriodLength.MONTH, date(2026, 3, 17))
        (series,) = panel.series
        assert panel.labels == ("2026-W10", "2026-W11", "2026-W12")
        assert series.values[0] == pytest.approx(value, abs=0.1)
        assert series.values[2] is None
        assert "2026-W11" in panel.text[0]
        assert "forecasts no injury" in panel.note


def test_monotony_needs_seven_days() -> None:
    assert load.monotony([1.0, 2.0]) is None


def test_a_week_without_a_session_has_no_monotony() -> None:
    found = load.weeks(week(300), date(2026, 3, 15))
    assert [one.load for one in found] == [300.0, 0.0]
    assert found[1].monotony is None


def test_sessions_without_an_effort_are_named() -> None:
    panel = load.load(load.weeks([entry(0, ended(60, None))], TODAY), PeriodLength.WEEK, TODAY)
    assert panel.text[-1] == "1 session without an effort: not in the load."
    assert load.load(load.weeks([], TODAY), PeriodLength.WEEK, TODAY).text == ("No session yet.",)
    assert "decided by them" in panel.note


def test_many_weeks_are_the_median_week_of_longer_periods() -> None:
    entries = [entry(7 * n, ended(60 + n, 5)) for n in range(80)]
    today = entries[-1].day
    panel = load.load(load.weeks(entries, today), PeriodLength.QUARTER, today)
    assert panel.labels == tuple(
        f"{year}-Q{n}"
        for year, n in ((2026, 1), (2026, 2), (2026, 3), (2026, 4), (2027, 1), (2027, 2), (2027, 3))
    )
    # thirteen weeks whose Monday is in the first quarter of 2027: 6 April 2026 is week 5
    assert panel.series[0].values[1] == pytest.approx(5 * 71.0)


# --- all of them -------------------------------------------------------------------------------


def test_every_panel_has_words_and_fits_its_labels() -> None:
    entries = [entry(n, check(), ended(60), Climbed(1.0, 1, "easy", 3, 9.0)) for n in range(9)]
    for record in ([], entries):
        made = trends(PanelSource(record, PeriodLength.WEEK, TODAY))
        assert [panel.name for panel in made] == list(PANELS)
        for panel in made:
            assert panel.text
            rows = [one.values for one in panel.series] + [one.values for one in panel.levels]
            assert {len(row) for row in rows} <= {len(panel.labels)}
    (one,) = trends(PanelSource(entries, PeriodLength.WEEK, TODAY), ["load"])
    assert one.name == "load"


def test_a_session_that_a_wrong_clock_put_after_today_does_not_stretch_the_axis() -> None:
    entries = [entry(0, ended(60)), entry(2000, ended(30))]
    made = trends(
        PanelSource(entries, PeriodLength.WEEK, date(2026, 3, 12)), ["doses", "load", "soreness"]
    )
    assert [panel.labels for panel in made] == [("2026-W10", "2026-W11")] * 3
    assert made[0].text[0].startswith("2 sessions since 2026-W10")
    (series,) = made[1].series
    assert series.values == (300.0, 150.0)


def test_tries_gone_for_are_counted_where_they_were_asked_about() -> None:
    asked = [WentForIt(1.0, 1, "a", gone) for gone in (True, False, True)]
    panel = hard_tries.tries([entry(0, tried("a", "start"), *asked)], PeriodLength.MONTH, TODAY)
    assert "Tries gone for: 2 of 3 asked about." in panel.text


def test_a_boulder_without_a_name_is_another_one_each_day() -> None:
    days = [entry(0, tried("boulder 1", "start")), entry(1, tried("boulder 1", "top"))]
    assert set(hard_tries.new_heights(days).values()) == {()}


def test_how_many_ends_were_not_told_is_said_only_of_some() -> None:
    def success(*results: str) -> tuple[str, ...]:
        tries = [tried("slate 4", result) for result in results]
        return hard_tries.success([entry(0, *tries)], PeriodLength.MONTH, TODAY).text

    def untold(text: tuple[str, ...]) -> list[str]:
        return [line for line in text if "not told" in line]

    assert untold(success("topped", "start")) == []
    assert untold(success("topped", "untold")) == ["How 1 more try ended was not told."]
    assert untold(success("top", "untold", "untold")) == ["How 2 more tries ended was not told."]
    assert success("untold")[0] == "No hard try was told how it ended."
