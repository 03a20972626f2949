"""Every measured series fitted, tested for trend and held against its limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import permutations

import numpy as np
import pytest
from scipy import stats

from stability.evaluation.findings import Evaluation
from stability.evaluation.series import MeasuredSeries
from stability.model.attribute import Attribute
from stability.model.estimate import Curvature, Drift, Forecast, NoFit
from stability.model.limit import Limit
from stability.model.protocol import Protocol
from stability.model.study import Sample
from tests.evaluation.builders import (
    PLACED,
    Bench,
    band,
    bulk,
    measured,
    protocol,
    sample,
    study,
)

HOT = (("2w", 14), ("4w", 28), ("8w", 56), ("12w", 84))


def only(attribute: Attribute) -> Protocol:
    """Return the protocol with one attribute."""
    return protocol(attributes={attribute.name: attribute})


def hot_ph(values: Sequence[str], start: str = "5.50", **changes: object) -> Bench:
    """Return a bench with one reopened jar at 40 °C read at every check."""
    attribute = replace(protocol().attributes["pH"], **changes)  # type: ignore[arg-type]
    made = Bench([bulk(), sample("HDC-001-A", "T40")], protocol=only(attribute))
    made.read("BULK-A", "pH", "T0", start, done="2025-01-09")
    made.place("HDC-001-A", "T40")
    for (check, days), value in zip(HOT, values, strict=False):
        done = (PLACED + timedelta(days=days)).isoformat()
        made.read("HDC-001-A", "pH", check, value, done=done)
    return made


def line(made: Bench, *words: str, as_of: str = "2026-12-31") -> Drift:
    """Return the one line."""
    drift = measured(made.evaluate(as_of), "pH", *words).drift
    assert isinstance(drift, Drift)
    return drift


def test_points_stand_at_their_actual_age_and_t0_at_age_zero() -> None:
    made = hot_ph([])
    made.read("HDC-001-A", "pH", "4w", "5.40", done="2025-02-09")
    series = measured(made.evaluate("2025-02-10"), "pH")

    assert [(one.check, one.age_days) for one in series.points] == [
        ("T0", 0.0),
        ("4w", 30.0),
    ]
    assert series.initial_text == "T0 of the same batch"


def test_data_on_a_line_give_that_line_in_months() -> None:
    drift = line(hot_ph(["5.36", "5.22", "4.94", "4.66"]))

    assert drift.n == 5
    assert drift.slope == pytest.approx(-0.01 * 30.4375)
    assert drift.intercept == pytest.approx(5.5)


def test_the_resolution_of_one_reading_bounds_the_scatter_from_below() -> None:
    drift = line(hot_ph(["5.36", "5.22", "4.94", "4.66"]))

    assert drift.floor == pytest.approx(0.005)
    assert drift.floor_acted


def test_an_undeclared_resolution_is_the_step_as_typed() -> None:
    made = hot_ph(["5.4", "5.2", "4.9", "4.7"], start="5.5", resolution=None)

    assert line(made).floor == pytest.approx(0.05)


def test_two_ages_give_no_line_and_the_reason() -> None:
    series = measured(hot_ph(["5.40"]).evaluate("2025-03-01"), "pH")

    assert isinstance(series.drift, NoFit)
    assert series.drift.code == "too-few-ages"
    assert series.forecasts == ()


def test_a_qualified_reading_takes_the_line_away_and_is_judged_by_itself() -> None:
    series = measured(
        hot_ph(["5.36", "<5.2", "4.94", "4.66"]).evaluate("2026-12-31"), "pH"
    )

    assert isinstance(series.drift, NoFit)
    assert series.drift.code == "qualified"
    assert series.points[2].text == "<5.2"
    assert series.points[2].value is None
    assert series.trend_tests == ()


def fresh(code: str, check: str) -> Sample:
    """Return a fresh jar for one check at 40 °C."""
    return sample(code, "T40", use="fresh per check", checks=(check,))


def test_containers_of_one_check_are_one_point_and_never_raise_df() -> None:
    single, triple = _containers(1), _containers(3)

    assert single.n == triple.n == 5
    assert single.df == triple.df == 3
    assert single.slope == pytest.approx(triple.slope)


def _containers(count: int) -> Drift:
    """Return the line of so many fresh jars at each check, on one line."""
    attribute = protocol().attributes["pH"]
    codes = {
        check: [f"HDC-{check}-{place}" for place in range(count)] for check, _ in HOT
    }
    made = Bench(
        [
            bulk(),
            *(fresh(code, check) for check, ones in codes.items() for code in ones),
        ],
        protocol=only(attribute),
    )
    made.read("BULK-A", "pH", "T0", "5.50", done="2025-01-09")
    for place, (check, days) in enumerate(HOT):
        for code in codes[check]:
            made.place(code, "T40")
            done = (PLACED + timedelta(days=days)).isoformat()
            made.read(code, "pH", check, f"5.{4 - place}0", done=done)
    return line(made)


def jars_of(values: dict[str, tuple[str, ...]]) -> Evaluation:
    """Return fresh jars at 40 °C, several at a check, each read once."""
    days = dict(HOT)
    jars = {
        (check, place): fresh(f"HDC-{check}-{place}", check)
        for check, ones in values.items()
        for place in range(len(ones))
    }
    made = Bench([*jars.values()], protocol=only(protocol().attributes["pH"]))
    for (check, place), one in jars.items():
        made.place(one.code, "T40")
        done = (PLACED + timedelta(days=days[check])).isoformat()
        made.read(one.code, "pH", check, values[check][place], done=done)
    return made.evaluate("2025-12-31")


def test_a_line_is_held_against_the_scatter_of_the_jars_of_one_check() -> None:
    evaluation = jars_of(
        {
            "2w": ("5.50", "5.52"),
            "4w": ("5.20", "5.22"),
            "8w": ("5.51", "5.49"),
            "12w": ("5.20", "5.22"),
        }
    )
    series = measured(evaluation, "pH")

    # Pure error by hand: each pair lies 0.01 about its mean, 4 pairs: 8 × 0.01² on 4
    # degrees of freedom. The line by another route: numpy's least squares.
    ages = np.repeat([14, 28, 56, 84], 2)
    values = np.array([5.50, 5.52, 5.20, 5.22, 5.51, 5.49, 5.20, 5.22])
    residuals = values - np.polyval(np.polyfit(ages, values, 1), ages)
    pure = 8 * 0.01**2
    f = ((residuals**2).sum() - pure) / 2 / (pure / 4)
    lack = series.lack_of_fit
    assert lack is not None
    assert (lack.df_fit, lack.df_replicates) == (2, 4)
    assert lack.f == pytest.approx(f)
    assert lack.p == pytest.approx(stats.f.sf(f, 2, 4))
    (caution,) = [one for one in series.cautions if one.code == "lack-of-fit"]
    assert f"(F {f:.3g}, 2 and 4 df, p {lack.p:.2g})" in caution.text
    assert not caution.blocks_extrapolation
    assert evaluation.multiplicity.text.endswith(
        "Of 1 line with several containers at a check about 0.1 would show lack of "
        "fit (F, p < 0.05) by chance alone; 1 did."
    )


def test_jars_that_agree_within_a_step_do_not_make_a_line_lack_fit() -> None:
    # The jars of a check agree but once. Pure error by hand: 2 × 0.005² on 4 degrees of
    # freedom, half the square of the floor, with which p would be 0.02.
    series = measured(
        jars_of(
            {
                "2w": ("5.50", "5.50"),
                "4w": ("5.48", "5.48"),
                "8w": ("5.48", "5.48"),
                "12w": ("5.46", "5.45"),
            }
        ),
        "pH",
    )

    lack = series.lack_of_fit
    assert lack is not None
    assert lack.f is not None
    assert lack.p is not None
    assert stats.f.sf(2 * lack.f, 2, 4) < 0.05 < lack.p
    assert not [one for one in series.cautions if one.code == "lack-of-fit"]


def test_one_jar_at_a_check_shows_no_lack_of_fit() -> None:
    evaluation = hot_ph(["5.36", "5.22", "4.94", "4.66"]).evaluate("2026-12-31")

    assert measured(evaluation, "pH").lack_of_fit is None
    assert "lack of fit" not in evaluation.multiplicity.text


def test_the_readings_of_a_container_are_averaged_before_the_containers() -> None:
    made = Bench(
        [bulk(), fresh("HDC-001-A", "4w"), fresh("HDC-002-B", "4w")],
        protocol=only(protocol().attributes["pH"]),
    )
    for code in ("HDC-001-A", "HDC-002-B"):
        made.place(code, "T40")
    made.read("HDC-001-A", "pH", "4w", "5.0", "5.2", "5.4", done="2025-02-07")
    made.read("HDC-002-B", "pH", "4w", "5.6", done="2025-02-09")

    (point,) = measured(made.evaluate("2025-02-10"), "pH").points

    assert point.value == Decimal("5.4")
    assert point.age_days == 29
    assert [float(mean) for _, mean in point.containers] == [5.2, 5.6]


def test_no_second_reading_hides_one_that_lies_outside() -> None:
    # 4.9 lies below 5.0; its mean with the repeat would be 5.2 and inside.
    made = Bench(
        [bulk(), sample("HDC-1", "T40")], protocol=only(protocol().attributes["pH"])
    )
    made.read("BULK-A", "pH", "T0", "5.5", done="2025-01-09")
    made.place("HDC-1", "T40")
    first = made.read("HDC-1", "pH", "4w", "4.9", done="2025-02-07")
    made.read("HDC-1", "pH", "4w", "5.5", done="2025-02-07", repeats=first)
    point = measured(made.evaluate("2025-03-01"), "T40").points[1]

    assert point.outside
    assert point.value == Decimal("4.9")
    assert len(point.positions) == 2


def test_a_reopened_container_is_a_series_of_its_own() -> None:
    made = Bench([bulk(), sample("HDC-001-A", "T40"), sample("HDC-002-B", "T40")])
    for code in ("HDC-001-A", "HDC-002-B"):
        made.place(code, "T40")
        made.read(code, "pH", "4w", "5.4", "5.4", done="2025-02-07")

    keys = [one.key.sample for one in made.evaluate("2025-02-08").measured]

    assert keys == ["HDC-001-A", "HDC-002-B"]


def test_an_extra_reading_is_fitted() -> None:
    made = hot_ph(["5.40", "5.30"])
    made.read("HDC-001-A", "pH", None, "5.25", done="2025-02-20")

    series = measured(made.evaluate("2025-03-01"), "pH")

    assert [one.check for one in series.points] == ["T0", "2w", "4w", None]
    assert isinstance(series.drift, Drift)
    assert series.drift.n == 4


def test_a_set_aside_reading_is_not_fitted_and_a_missing_check_stays_missing() -> None:
    made = hot_ph(["5.40", "4.20", "5.20", "5.10"])
    wrong = next(
        place
        for place, draft in enumerate(made.drafts, start=1)
        if draft.content.get("check") == "4w"
    )
    made.invalidate(wrong, "wrong jar", "2025-06-01")

    drift = line(made)

    assert drift.n == 4
    assert min(drift.values) == pytest.approx(5.1)


def test_drift_is_told_over_the_life_asked_for_only_where_it_is_meant() -> None:
    hot = measured(hot_ph(["5.36", "5.22"]).evaluate("2026-12-31"), "pH")
    room = measured(
        _room(["5.49", "5.47", "5.44", "5.41"]).evaluate("2026-12-31"), "pH"
    )

    assert hot.horizon_text == "12w, the last check planned"
    assert hot.horizon_months == pytest.approx(84 / 30.4375)
    assert room.horizon_text == "12 months asked for"
    assert isinstance(room.drift, Drift)
    assert room.drift.life == 12


def _room(values: Sequence[str]) -> Bench:
    made = Bench(
        [bulk(), sample("HDC-001-A", "ROOM")],
        protocol=only(protocol().attributes["pH"]),
    )
    made.read("BULK-A", "pH", "T0", "5.50", done="2025-01-09")
    made.place("HDC-001-A", "ROOM")
    days = (("4w", 28), ("3M", 90), ("6M", 181), ("9M", 273), ("12M", 365))
    for (check, age), value in zip(days, values, strict=False):
        done = (PLACED + timedelta(days=age)).isoformat()
        made.read("HDC-001-A", "pH", check, value, done=done)
    return made


def test_a_drift_inside_the_limit_reads_changed_inside() -> None:
    moved = measured(_room(["5.47", "5.41", "5.33"]).evaluate("2026-12-31"), "pH")
    steady = measured(_room(["5.51", "5.49", "5.50"]).evaluate("2026-12-31"), "pH")

    assert moved.state == "changed, inside"
    assert steady.state == "inside"


def test_the_forecast_names_the_bound_the_line_heads_for() -> None:
    series = measured(
        hot_ph(["5.44", "5.37", "5.24", "5.12"]).evaluate("2026-12-31"), "pH"
    )

    lower, upper = series.forecasts
    assert isinstance(lower, Forecast)
    assert lower.bound.side == "lower"
    # 0.5 at 0.0046 a day is about 109 days.
    assert lower.months == pytest.approx(3.6, abs=0.1)
    assert isinstance(upper, Forecast)
    assert upper.months is None


def test_a_limit_frozen_at_t0_becomes_a_number_and_a_relative_one_stays_a_share() -> (
    None
):
    limit = Limit(percent_of_initial=band("80"))
    values = ["5.40", "5.30"]
    share = measured(hot_ph(values, limit=limit).evaluate("2026-12-31"), "pH")
    frozen = measured(
        hot_ph(values, limit=replace(limit, frozen_at="T0")).evaluate("2026-12-31"),
        "pH",
    )

    assert [(one.kind, one.amount) for one in share.bounds] == [("share", 0.8)]
    assert [(one.kind, one.amount) for one in frozen.bounds] == [("absolute", 4.4)]


def test_the_newest_check_out_of_line_with_its_history_is_out_of_trend() -> None:
    made = _room(["5.49", "5.47", "5.44", "5.41", "5.10"])
    evaluation = made.evaluate("2026-12-31")
    series = measured(evaluation, "pH")

    assert series.newest_trend is not None
    assert series.newest_trend.check == "12M"
    assert series.newest_trend.result.outcome == "alarm"
    assert evaluation.trend.made == 2
    assert evaluation.trend.alerts == 1
    assert evaluation.trend.chance_alerts == pytest.approx(0.1)


def test_fewer_than_four_earlier_checks_are_no_history() -> None:
    series = measured(_room(["5.49", "5.47", "4.9"]).evaluate("2026-12-31"), "pH")

    assert series.trend_tests == ()


def test_several_alerts_of_one_day_point_to_that_day() -> None:
    made = Bench(
        [bulk(), sample("HDC-001-A", "T40"), sample("HDC-002-B", "T45")],
        protocol=only(protocol().attributes["pH"]),
    )
    made.read("BULK-A", "pH", "T0", "5.50", done="2025-01-09")
    for code, where in (("HDC-001-A", "T40"), ("HDC-002-B", "T45")):
        made.place(code, where)
        for (check, days), value in zip(
            HOT, ("5.49", "5.48", "5.46", "5.10"), strict=True
        ):
            done = (PLACED + timedelta(days=days)).isoformat()
            made.read(code, "pH", check, value, done=done)

    assert made.evaluate("2026-12-31").trend_days == ((date(2025, 4, 4), 2),)


def test_slopes_are_counted_beside_what_chance_would_give() -> None:
    counts = hot_ph(["5.36", "5.22", "4.94", "4.66"]).evaluate("2026-12-31")

    assert counts.multiplicity.slopes == 1
    assert counts.multiplicity.found == 1
    assert counts.multiplicity.by_chance == pytest.approx(0.05)


def test_bending_is_judged_once_for_all_batches_and_cautions_each_series() -> None:
    bent = ["5.48", "5.42", "5.18", "4.78"]
    evaluation = _batches(("A", "B"), {"A": bent, "B": bent})

    (finding,) = evaluation.curvatures
    assert isinstance(finding.result, Curvature)
    assert finding.result.batches == 2
    codes = [{one.code for one in series.cautions} for series in evaluation.measured]
    assert all("curvature-towards-limit" in found for found in codes)


def _batches(order: Sequence[str], values: dict[str, list[str]]) -> Evaluation:
    samples = [
        one
        for name in order
        for one in (bulk(name), sample(f"HDC-00{name}-X", "T40", batch=name))
    ]
    made = Bench(
        samples,
        protocol=only(protocol().attributes["pH"]),
        study=study(order),
    )
    for name in order:
        made.read(f"BULK-{name}", "pH", "T0", "5.50", done="2025-01-09")
        made.place(f"HDC-00{name}-X", "T40")
        for (check, days), value in zip(HOT, values[name], strict=True):
            done = (PLACED + timedelta(days=days)).isoformat()
            made.read(f"HDC-00{name}-X", "pH", check, value, done=done)
    return made.evaluate("2026-12-31")


def test_the_order_of_batches_does_not_matter() -> None:
    values = {
        "A": ["5.45", "5.41", "5.30", "5.22"],
        "B": ["5.48", "5.44", "5.37", "5.28"],
        "C": ["5.46", "5.43", "5.35", "5.30"],
    }

    found = [_numbers(_batches(order, values)) for order in permutations("ABC")]

    assert all(one == found[0] for one in found)


def _numbers(evaluation: Evaluation) -> list[tuple[object, ...]]:
    return [
        (one.key, _slope(one), one.state, [point.value for point in one.points])
        for one in evaluation.measured
    ]


def _slope(series: MeasuredSeries) -> float:
    assert isinstance(series.drift, Drift)
    return series.drift.slope


def test_cycles_are_counted_and_never_fitted_as_time() -> None:
    made = Bench(
        [bulk(), sample("HDC-001-A", "FT"), sample("HDC-002-B", "ROOM", twin_of="FT")],
    )
    made.read("BULK-A", "pH", "T0", "5.50", "5.50", done="2025-01-09")
    made.place("HDC-001-A", "FT", cycle=1, step=1)
    made.place("HDC-002-B", "ROOM")
    for check, done in (("c1", "2025-01-12"), ("c3", "2025-01-16")):
        for code in ("HDC-001-A", "HDC-002-B"):
            made.read(code, "pH", check, "5.4", "5.4", done=done)
    evaluation = made.evaluate("2025-02-01")

    codes = [
        one.drift.code for one in evaluation.measured if isinstance(one.drift, NoFit)
    ]
    assert sorted(codes) == ["cycles", "untreated-twin"]


def test_a_loss_that_is_zero_by_definition_at_t0_gets_no_line() -> None:
    made = Bench([sample("HDC-001-A", "T40")])
    made.place("HDC-001-A", "T40")
    made.read("HDC-001-A", "weight_loss", "T0", "80", part="before", done="2025-01-10")
    for check, days in HOT:
        done = (PLACED + timedelta(days=days)).isoformat()
        made.read("HDC-001-A", "weight_loss", check, "79.5", part="before", done=done)
    series = measured(made.evaluate("2026-12-31"), "weight_loss")

    assert isinstance(series.drift, NoFit)
    assert series.drift.code == "zero-at-start"
    assert [float(one.value or 0) for one in series.points] == [0, 1, 1, 1, 1]
    assert series.unit == "%"
    assert series.limit_text == "at most 3.0 %"


def test_an_earlier_check_out_of_trend_is_not_forgotten() -> None:
    evaluation = _room(["5.49", "5.47", "5.44", "5.10", "5.30"]).evaluate("2026-12-31")
    series = measured(evaluation, "pH")

    told = [
        (test.check, test.result.is_out, test.newest) for test in series.trend_tests
    ]
    assert told == [("9M", True, False), ("12M", False, True)]
    assert series.trend_tests_made == 2


def test_an_earlier_check_in_trend_is_counted_and_not_told() -> None:
    evaluation = _room(["5.49", "5.47", "5.44", "5.41", "5.37"]).evaluate("2026-12-31")
    series = measured(evaluation, "pH")

    assert [test.check for test in series.trend_tests] == ["12M"]
    assert evaluation.trend.made == 2
