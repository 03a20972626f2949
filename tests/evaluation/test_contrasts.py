"""Drifts of one study beside each other: pairs, slopes, refusals in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest
from scipy import stats
from statsmodels.regression.linear_model import OLS

from stability.evaluation.contrast_findings import DriftContrast
from stability.evaluation.findings import Evaluation
from stability.model.age import DAYS_PER_MONTH
from stability.model.attribute import Attribute, Setting
from stability.model.contrast import Contrast
from stability.model.estimate import Drift, NoFit
from tests.evaluation.beside import (
    COLD,
    DAYS,
    HOT,
    JARS,
    contrasts,
    on,
    only,
    read,
    usual,
)
from tests.evaluation.builders import (
    HOT_CHECKS,
    measured,
    protocol,
    sample,
)
from tests.evaluation.builders import study as study_of


def made(one: DriftContrast) -> Contrast:
    """Insist on a difference."""
    assert isinstance(one.result, Contrast), one.text
    return one.result


def refused(one: DriftContrast) -> NoFit:
    """Insist on a refusal, which is told."""
    assert isinstance(one.result, NoFit), one.text
    assert one.difference is None
    assert one.interval is None
    assert one.text == one.result.text
    return one.result


# Condition beside its comparison


def test_a_condition_is_compared_with_its_control_pair_by_pair() -> None:
    # Independent route: statsmodels' least squares on the differences of the pairs.
    bench = read(JARS, {"HDC-1": HOT, "HDC-2": COLD})
    one = only(contrasts(bench.evaluate("2025-06-01")))
    ages = np.array([DAYS[check] for check in HOT]) / DAYS_PER_MONTH
    differences = [float(HOT[check]) - float(COLD[check]) for check in HOT]
    fit = OLS(differences, np.column_stack([np.ones(4), ages])).fit()

    result = made(one)
    assert (one.sides.first.name, one.sides.second.name) == ("T40", "COLD")
    assert one.sides.basis == "cold control"
    assert one.checks == tuple(HOT)
    assert result.method == "paired differences"
    assert result.difference == pytest.approx(fit.params[1])
    assert result.interval == pytest.approx(tuple(fit.conf_int()[1]))
    assert result.p == pytest.approx(fit.pvalues[1])
    assert one.text.startswith("T40 drifts otherwise than COLD: -0.09")
    assert one.text.endswith(" pH a month, 95 %.")


def test_a_t0_that_both_share_is_left_out_and_own_ones_are_kept() -> None:
    shared = read(JARS, {"HDC-1": HOT, "HDC-2": COLD})
    own = read(JARS, {"HDC-1": {"T0": "5.50", **HOT}, "HDC-2": {"T0": "5.51", **COLD}})

    assert only(contrasts(shared.evaluate("2025-06-01"))).checks == tuple(HOT)
    kept = only(contrasts(own.evaluate("2025-06-01")))
    assert kept.checks == ("T0", *HOT)
    assert made(kept).df == 3


def test_relative_rates_are_compared_on_the_ln_scale() -> None:
    thick = Attribute(
        "viscosity",
        "measured",
        unit="mPa·s",
        fit_scale="ln",
        resolution=Decimal(1),
    )
    months = {check: DAYS[check] / DAYS_PER_MONTH for check in HOT}
    hot = {check: f"{9000 * np.exp(-0.05 * age):.0f}" for check, age in months.items()}
    cold = {check: f"{9000 * np.exp(-0.01 * age):.0f}" for check, age in months.items()}
    bench = read(
        JARS,
        {"HDC-1": hot, "HDC-2": cold},
        attribute="viscosity",
        start="9000",
        protocol=usual(viscosity=thick),
    )
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert one.unit == "%"
    assert one.difference == pytest.approx(-4.0, abs=0.02)
    assert made(one).difference == pytest.approx(-0.04, abs=2e-4)
    assert "difference of relative rates -3.99" in one.text
    assert "% a month" in one.text


def test_light_is_compared_with_its_dark_twin_and_not_with_the_cold() -> None:
    jars = (
        sample("HDC-1", "WINDOW", checks=HOT_CHECKS),
        sample("HDC-2", "FOIL", checks=HOT_CHECKS),
        sample("HDC-3", "COLD", checks=HOT_CHECKS),
    )
    bench = read(jars, {"HDC-1": HOT, "HDC-2": COLD, "HDC-3": COLD})
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert one.sides.basis == "dark twin"
    assert one.sides.second.name == "FOIL"


def test_without_a_comparison_long_term_storage_is_the_comparison() -> None:
    jars = (sample("HDC-1", "T40"), sample("HDC-2", "ROOM", checks=HOT_CHECKS))
    bench = read(jars, {"HDC-1": HOT, "HDC-2": COLD})
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert one.sides.basis == "long-term storage"
    assert one.sides.second.name == "ROOM"


def test_too_few_shared_checks_leave_each_side_its_own_line() -> None:
    bench = read(
        JARS, {"HDC-1": HOT, "HDC-2": {"4w": "5.49", "12w": "5.50", "16w": "5.49"}}
    )
    evaluation = bench.evaluate("2025-06-01")
    one = only(contrasts(evaluation))
    lines = [measured(evaluation, where).drift for where in ("T40", "COLD")]

    assert made(one).method == "two slopes"
    assert isinstance(lines[0], Drift)
    assert isinstance(lines[1], Drift)
    assert made(one).difference == pytest.approx(lines[0].slope - lines[1].slope)
    said = next(c.text for c in one.cautions if c.code == "not-paired")
    assert "4w and 12w" in said
    assert "own line" in said


def test_lines_of_much_other_length_are_compared_with_a_caution() -> None:
    bench = read(
        JARS, {"HDC-1": {"2w": "5.44", "4w": "5.41"}, "HDC-2": {"4w": "5.5", **COLD}}
    )
    one = only(contrasts(bench.evaluate("2025-06-01")))

    codes = {caution.code: caution.text for caution in one.cautions}
    assert "T40 was read to 0.9 months, COLD to 2.8" in codes["other-lengths"]


def test_pairs_of_two_days_are_told() -> None:
    bench = read(JARS, {"HDC-1": HOT})
    for check, value in COLD.items():
        day = date.fromisoformat(on(check)) + timedelta(days=check == "8w")
        bench.read("HDC-2", "pH", check, value, done=str(day))
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert [c.text for c in one.cautions if c.code == "other-days"] == [
        "1 of 4 pairs read on two days: what a day adds to both is not taken out there."
    ]


def test_a_side_that_alone_was_reopened_is_told() -> None:
    fresh = [
        sample(f"HDC-{n}", "T40", use="fresh per check", checks=(check,))
        for n, check in enumerate(HOT_CHECKS, 10)
    ]
    values = {one.code: {one.checks[0]: HOT[one.checks[0]]} for one in fresh}
    bench = read((*fresh, JARS[1]), {**values, "HDC-2": COLD})
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert made(one).df == 2
    assert [c.code for c in one.cautions] == ["one-side-reopened"]
    assert "Only COLD was reopened" in one.cautions[0].text


def test_several_containers_are_told_apart_by_their_codes() -> None:
    jars = (*JARS, sample("HDC-3", "T40"))
    bench = read(jars, {"HDC-1": HOT, "HDC-2": COLD, "HDC-3": COLD})
    found = contrasts(bench.evaluate("2025-06-01")).drifts

    assert [one.sides.first.name for one in found] == ["T40 HDC-1", "T40 HDC-3"]
    assert [one.sides.second.name for one in found] == ["COLD", "COLD"]
    assert [one.sides.first.samples for one in found] == [("HDC-1",), ("HDC-3",)]


def test_like_use_stands_beside_like_use_where_there_is_one() -> None:
    fresh = sample("HDC-3", "T40", use="fresh per check", checks=("12w",))
    bench = read((*JARS, fresh), {"HDC-1": HOT, "HDC-2": COLD, "HDC-3": {"12w": "5.2"}})
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert one.sides.first.samples == ("HDC-1",)
    assert one.cautions == ()


# What cannot be compared is said in words


def test_two_checks_in_all_are_too_few() -> None:
    bench = read(JARS, {"HDC-1": {"2w": "5.44"}, "HDC-2": {"2w": "5.50"}})
    one = only(contrasts(bench.evaluate("2025-06-01")))

    text = refused(one).text
    assert "Too few checks were read on both sides (2w)" in text
    assert "T40 has no line: Read at two ages" in text
    assert "nan" not in text


def test_one_age_alone_is_too_few() -> None:
    bench = read(JARS, {"HDC-1": {"2w": "5.44"}, "HDC-2": {"2w": "5.50"}}, start=None)
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert "Read at one age" in refused(one).text


@pytest.mark.parametrize("whose", ["HDC-1", "HDC-2"])
def test_a_reading_below_what_can_be_measured_ends_the_comparison(whose: str) -> None:
    values = {"HDC-1": dict(HOT), "HDC-2": dict(COLD)}
    values[whose]["8w"] = "<5.0"
    one = only(contrasts(read(JARS, values).evaluate("2025-06-01")))

    assert refused(one).code == "qualified"
    assert "< or >" in one.text


def test_all_readings_alike_show_no_difference_and_how_sure_that_is() -> None:
    alike = dict.fromkeys(HOT, "5.50")
    one = only(
        contrasts(read(JARS, {"HDC-1": alike, "HDC-2": alike}).evaluate("2025-06-01"))
    )

    assert made(one).difference == 0
    assert made(one).interval[1] > 0
    assert one.text.startswith("No drift of T40 other than that of COLD was shown: 0.0")


def test_other_settings_are_another_series() -> None:
    setting = {"dilution": Setting("dilution", "fixed")}
    attribute = replace(protocol().attributes["pH"], settings=setting)
    bench = read(JARS, {}, protocol=usual(pH=attribute), start=None)
    for code, values, dilution in (
        ("HDC-1", HOT, "10 %"),
        ("HDC-2", COLD, "undiluted"),
    ):
        for check, value in values.items():
            settings = {"dilution": dilution}
            bench.read(code, "pH", check, value, done=on(check), settings=settings)
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert refused(one).code == "other-settings"
    assert "T40 was read with dilution 10 %" in one.text
    assert "COLD with dilution undiluted" in one.text


def test_cycles_and_losses_are_left_out_with_their_reason() -> None:
    jars = (
        sample("HDC-1", "FT"),
        sample("HDC-2", "ROOM", twin_of="FT", checks=("c1", "c3")),
    )
    bench = read(jars, {})
    for code in ("HDC-1", "HDC-2"):
        for check, done in (("c1", "2025-01-12"), ("c3", "2025-01-16")):
            bench.read(code, "pH", check, "5.5", done=done)
    found = contrasts(bench.evaluate("2025-06-01"))

    assert found.drifts == ()
    assert found.count is None
    assert [name for name, _ in found.left_out] == ["FT"]
    assert "Cycles are counted" in found.left_out[0][1]


# Batches and packs


def two_batches(slopes: tuple[float, float]) -> Evaluation:
    jars = [sample(f"HDC-{b}", "T40", batch=b, checks=tuple(DAYS)[1:]) for b in "AB"]
    rng = np.random.default_rng(4)
    values = {
        one.code: {
            check: f"{5.5 + slope * DAYS[check] / 30.4375 + rng.normal(0, 0.01):.2f}"
            for check in tuple(DAYS)[1:]
        }
        for one, slope in zip(jars, slopes, strict=True)
    }
    return read(jars, values).evaluate("2025-09-01")


def test_batches_are_compared_by_the_difference_of_their_slopes() -> None:
    # Independent route: Welch's test of the library, each slope as a mean of df + 1.
    evaluation = two_batches((-0.06, -0.15))
    one = only(contrasts(evaluation))
    lines = [measured(evaluation, f"batch {b}").drift for b in "AB"]
    first, second = [line for line in lines if isinstance(line, Drift)]
    sizes = first.df + 1, second.df + 1
    test = stats.ttest_ind_from_stats(
        first.slope, first.slope_error * sizes[0] ** 0.5, sizes[0],
        second.slope, second.slope_error * sizes[1] ** 0.5, sizes[1], equal_var=False,
    )  # fmt: skip

    assert one.sides.between == "batches"
    assert made(one).p == pytest.approx(test.pvalue)
    assert one.text.startswith("These two batches differ: 0.0")


def test_alike_batches_are_not_said_to_be_alike() -> None:
    found = contrasts(two_batches((-0.06, -0.06)))

    assert only(found).text.startswith("No difference between these two batches was")
    assert "not-shown" in {caution.code for caution in found.cautions}


def test_a_batch_of_which_no_line_is_fitted_says_so() -> None:
    jars = [sample(f"HDC-{b}", "T40", batch=b) for b in "AB"]
    bench = read(jars, {"HDC-A": HOT, "HDC-B": {"2w": "5.4"}})
    one = only(contrasts(bench.evaluate("2025-06-01")))

    assert refused(one).code == "no-line"
    assert one.text.startswith("Batch B has no line: Read at two ages")


def test_a_pack_is_compared_with_inert_glass_of_its_batch() -> None:
    packs = study_of().packs
    inert = replace(packs["JAR"], name="GLASS", text="vial", inert=True)
    study = study_of(packs={"GLASS": inert, **packs})
    jars = (
        sample("HDC-1", "T40", pack="GLASS"),
        sample("HDC-2", "T40", pack="PUMP"),
        sample("HDC-3", "T40", pack="PUMP", batch="B"),
    )
    bench = read(
        jars,
        {"HDC-1": COLD, "HDC-2": HOT, "HDC-3": HOT},
        study=replace(study, batches=study_of("AB").batches),
    )
    packs_only = [
        one
        for one in contrasts(bench.evaluate("2025-06-01")).drifts
        if one.sides.between == "packs"
    ]

    (one,) = packs_only
    assert (one.sides.first.name, one.sides.second.name) == ("PUMP", "GLASS")
    assert one.sides.place == "T40 batch A"
    assert made(one).method == "paired differences"
    assert "PUMP drifts otherwise than inert GLASS, so look at the pack" in one.text


# Chance


def test_chance_is_counted_over_all_differences() -> None:
    jars = [
        sample(f"HDC-{b}{n}", where, batch=b)
        for b in "AB"
        for n, where in enumerate(("T40", "COLD"))
    ]
    values = {
        one.code: HOT if one.condition == "T40" and one.batch == "A" else COLD
        for one in jars
    }
    found = contrasts(read(jars, values).evaluate("2025-06-01"))
    differ = [one for one in found.drifts if one.excludes_no_difference]

    assert found.count is not None
    assert found.count.made == len(found.drifts) == 4
    assert found.count.found == len(differ) > 0
    assert found.count.expected == pytest.approx(0.2)


def test_steady_studies_are_told_apart_by_chance_only() -> None:
    # Sixty studies of noise: 5 % of their pairs at most some more than by chance.
    rng = np.random.default_rng(12)
    found = total = 0
    for _ in range(60):
        values = {
            one.code: {check: f"{rng.normal(5.5, 0.03):.3f}" for check in HOT}
            for one in JARS
        }
        one = only(contrasts(read(JARS, values).evaluate("2025-06-01")))
        total += 1
        found += one.excludes_no_difference

    assert found <= stats.binom.ppf(0.999, total, 0.05)
