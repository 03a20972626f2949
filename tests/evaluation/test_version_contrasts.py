"""Version against version: the batch is the unit, and what differs is named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from stability.evaluation.contrast_findings import Contrasts
from stability.evaluation.contrast_pairs import StudySeries
from stability.evaluation.version_contrasts import version_contrasts
from stability.model.attribute import Attribute, Setting
from stability.model.contrast import Contrast
from stability.model.estimate import Drift, NoFit
from stability.model.protocol import Protocol
from stability.model.study import Study
from tests.evaluation.beside import COLD, HOT, on, read, series_of, usual
from tests.evaluation.builders import HOT_CHECKS, band, protocol, sample
from tests.evaluation.builders import study as study_of


def version(
    code: str,
    batches: Mapping[str, Mapping[str, str]],
    *,
    study: Study | None = None,
    protocol: Protocol | None = None,
    **more: Any,
) -> StudySeries:
    """Return a study of batches read in heat, one jar each."""
    jars = [sample(f"{code}-{name}", "T40", batch=name) for name in batches]
    bench = read(
        jars,
        {f"{code}-{name}": values for name, values in batches.items()},
        study=study or study_of(tuple(batches), code=code, version=f"{code[-1]}.0"),
        protocol=protocol,
        **more,
    )
    return series_of(bench.evaluate("2025-09-01"))


def falling(slope: float, seed: int = 1) -> dict[str, str]:
    """Return a pH that falls by so much a month, with scatter."""
    rng = np.random.default_rng(seed)
    return {
        check: f"{5.5 + slope * months + rng.normal(0, 0.01):.2f}"
        for check, months in zip(HOT_CHECKS, (0.46, 0.92, 1.84, 2.76), strict=True)
    }


def only(found: Contrasts) -> Contrast | NoFit:
    """Return the result of the one contrast of drifts."""
    assert len(found.drifts) == 1, [one.text for one in found.drifts]
    return found.drifts[0].result


OLD = {"A": falling(-0.05, 1), "B": falling(-0.06, 2), "C": falling(-0.055, 3)}
NEW = {"A": falling(-0.15, 4), "B": falling(-0.16, 5), "C": falling(-0.14, 6)}


def test_versions_are_compared_by_the_slopes_of_their_batches() -> None:
    # Independent route: Welch's test of the library on the slopes.
    old, new = version("HD2", OLD), version("HD3", NEW)
    found = version_contrasts(old, new)
    slopes = [
        [one.drift.slope for one in each.measured if isinstance(one.drift, Drift)]
        for each in (old, new)
    ]
    test = stats.ttest_ind(*slopes, equal_var=False)
    interval = test.confidence_interval(0.95)

    result = only(found)
    assert isinstance(result, Contrast)
    assert result.method == "slopes of batches"
    assert result.interval == pytest.approx((interval.low, interval.high))
    assert result.p == pytest.approx(test.pvalue)
    assert found.drifts[0].text.startswith("The versions differ: 0.09")
    assert found.drifts[0].sides.first.name == "HD2 2.0"
    assert found.count is not None
    assert (found.count.made, found.count.found) == (1, 1)


def test_one_batch_each_says_nothing_of_the_versions() -> None:
    found = version_contrasts(
        version("HD2", {"A": OLD["A"]}), version("HD3", {"Q": NEW["A"]})
    )

    result = only(found)
    assert isinstance(result, Contrast)
    assert result.method == "two slopes"
    assert found.drifts[0].text.startswith(
        "These two batches differ (A and Q; with one batch each nothing is said of the "
        "versions): "
    )


def test_one_batch_against_several_is_refused() -> None:
    found = version_contrasts(version("HD2", {"A": OLD["A"]}), version("HD3", NEW))

    result = only(found)
    assert isinstance(result, NoFit)
    assert result.code == "too-few-batches"
    assert found.count is None


def test_a_batch_without_a_line_takes_no_part_and_is_named() -> None:
    short = {**NEW, "D": {"2w": "5.4"}}
    found = version_contrasts(version("HD2", OLD), version("HD3", short))

    (one,) = found.drifts
    assert one.sides.second.batches == ("A", "B", "C")
    assert [c.text for c in one.cautions if c.code == "no-line"] == [
        "HD3 3.0, batch D takes no part: Read at two ages; a line needs at least three."
    ]


def test_a_version_without_any_line_is_refused() -> None:
    short = {"A": {"2w": "5.4"}, "B": {"2w": "<5.4", "4w": "5.3", "8w": "5.2"}}
    result = only(version_contrasts(version("HD2", OLD), version("HD3", short)))

    assert isinstance(result, NoFit)
    assert result.text == "No batch of HD3 3.0 has a line."


def test_of_several_containers_that_read_most_stands_for_its_batch() -> None:
    jars = (sample("HDC-1", "T40"), sample("HDC-2", "T40"))
    fewer = {check: HOT[check] for check in ("2w", "4w", "8w")}
    bench = read(
        jars, {"HDC-1": fewer, "HDC-2": COLD}, study=study_of(code="HD2", version="2")
    )
    found = version_contrasts(
        series_of(bench.evaluate("2025-09-01")), version("HD3", {"A": NEW["A"]})
    )

    (one,) = found.drifts
    assert one.sides.first.samples == ("HDC-2",)
    assert any("HDC-2, read at most checks" in caution.text for caution in one.cautions)


# What differs between the studies is named


def changed(**changes: Any) -> Protocol:
    """Return the usual protocol with another pH."""
    return usual(pH=replace(protocol().attributes["pH"], **changes))


def heated(words: str) -> Protocol:
    """Return the usual protocol with another heat."""
    made = usual()
    hot = replace(made.conditions["T40"], light=words)
    return replace(made, conditions={**made.conditions, "T40": hot})


@pytest.mark.parametrize(
    ("other", "code", "says"),
    [
        (changed(unit="1"), "other-unit", "measured in pH in HD2 2.0, 1 in HD3 3.0"),
        (
            changed(fit_scale="ln"),
            "other-scale",
            "fitted on the scale linear in HD2 2.0, ln in HD3 3.0",
        ),
        (
            heated("lamp"),
            "other-condition",
            "in T40 kept at 40 ± 2 °C in HD2 2.0, 40 ± 2 °C; lamp in HD3 3.0",
        ),
    ],
)
def test_another_unit_scale_or_condition_is_not_compared(
    other: Protocol, code: str, says: str
) -> None:
    result = only(
        version_contrasts(version("HD2", OLD), version("HD3", NEW, protocol=other))
    )

    assert isinstance(result, NoFit)
    assert result.code == code
    assert result.text == f"Not compared: {says}."


def test_other_settings_are_not_compared() -> None:
    setting = {"dilution": Setting("dilution", "fixed")}
    series = []
    for code, dilution in (("HD2", "10 %"), ("HD3", "5 %")):
        bench = read(
            (sample(f"{code}-1", "T40"),),
            {},
            start=None,
            protocol=changed(settings=setting),
            study=study_of(code=code),
        )
        for check, value in HOT.items():
            settings = {"dilution": dilution}
            bench.read(
                f"{code}-1", "pH", check, value, done=on(check), settings=settings
            )
        series.append(series_of(bench.evaluate("2025-09-01")))
    result = only(version_contrasts(*series))

    assert isinstance(result, NoFit)
    assert result.code == "other-settings"
    assert "dilution 10 %" in result.text
    assert "dilution 5 %" in result.text


def test_what_only_one_study_read_is_left_out_and_named() -> None:
    found = version_contrasts(
        version("HD2", OLD), version("HD3", {"A": {}, "B": {}}, start=None)
    )

    assert (found.drifts, found.words, found.count) == ((), (), None)
    assert found.left_out == (
        ("pH", "The attribute was read in HD2 only."),
        ("T40", "The condition was read in HD2 only."),
        ("JAR", "The pack was read in HD2 only."),
    )


def test_an_attribute_of_another_kind_is_left_out() -> None:
    words = Attribute("pH", "scored", scale=("good", "bad"))
    bench = read(
        (sample("HD3-A", "T40"),),
        {},
        start=None,
        protocol=usual(pH=words),
        study=study_of(code="HD3"),
    )
    bench.read("HD3-A", "pH", "2w", "Ana:good", done=on("2w"))
    other = series_of(bench.evaluate("2025-09-01"))
    found = version_contrasts(version("HD2", OLD), other)

    assert found.drifts == ()
    assert found.left_out == (
        ("pH", "The attribute is measured in HD2, scored in HD3."),
    )


def test_another_product_is_allowed_and_said() -> None:
    other = study_of(("A", "B", "C"), code="HD3", product="Juniper balm")
    found = version_contrasts(version("HD2", OLD), version("HD3", NEW, study=other))

    assert found.drifts[0].excludes_no_difference
    assert "Heather day cream (HD2) and Juniper balm (HD3)" in found.cautions[0].text


def test_one_version_in_two_studies_other_packs_and_methods_are_said() -> None:
    jar = replace(study_of().packs["JAR"], text="30 g tin")
    other = study_of(("A", "B", "C"), code="HD3", version="2.0", packs={"JAR": jar})
    found = version_contrasts(
        version("HD2", OLD),
        version("HD3", NEW, study=other, protocol=changed(method="paper strip")),
    )
    said = {caution.code: caution.text for caution in found.cautions}

    assert "Both studies are of version 2.0" in said["same-version"]
    assert "“50 g jar” in HD2 and “30 g tin” in HD3" in said["other-pack"]
    assert "“paper strip” in HD3" in said["other-method"]


def test_words_of_versions_stand_side_by_side_batch_by_batch() -> None:
    series = []
    for code, words in (("HD2", ("as control", "as control")), ("HD3", ("changed",))):
        names = "AB"[: len(words)]
        jars = [sample(f"{code}-{name}", "T40", batch=name) for name in names]
        bench = read(jars, {}, start=None, study=study_of(names, code=code))
        for jar, word in zip(jars, words, strict=True):
            bench.read(jar.code, "odour", "4w", f"Ana:{word}", done=on("4w"))
        series.append(series_of(bench.evaluate("2025-09-01")))

    (one,) = version_contrasts(*series).words
    assert one.first_text.startswith("A, B: ")
    assert one.second_text.startswith("A: ")
    assert one.text == "HD3 1.0 went further"
    assert one.moved


def test_words_of_another_scale_are_not_compared() -> None:
    made = protocol().attributes["odour"]
    free = replace(made.limit, highest=None)
    other = usual(odour=replace(made, scale=("fine", "foul"), limit=free))
    series = []
    for code, plan, word in (("HD2", usual(), "as control"), ("HD3", other, "foul")):
        jar = sample(f"{code}-A", "T40")
        bench = read((jar,), {}, start=None, protocol=plan, study=study_of(code=code))
        bench.read(jar.code, "odour", "4w", f"Ana:{word}", done=on("4w"))
        series.append(series_of(bench.evaluate("2025-09-01")))

    (one,) = version_contrasts(*series).words
    assert one.text == "other words are on the scale: not compared"


def test_a_loss_is_0_at_the_start_and_left_out() -> None:
    series = []
    for code in ("HD2", "HD3"):
        jar = sample(f"{code}-A", "T40")
        bench = read((jar,), {}, start=None, study=study_of(code=code))
        for done, check in (("2025-01-09", "T0"), (on("4w"), "4w")):
            bench.read(
                jar.code, "weight_loss", check, "90.00", done=done, part="before"
            )
        series.append(series_of(bench.evaluate("2025-09-01")))
    found = version_contrasts(*series)

    assert found.drifts == ()
    assert [name for name, _ in found.left_out] == ["weight_loss"]


def test_limits_take_no_part_in_a_comparison() -> None:
    limit = replace(protocol().attributes["pH"].limit, absolute=band("4.0", "4.1"))
    found = version_contrasts(
        version("HD2", OLD), version("HD3", NEW, protocol=changed(limit=limit))
    )

    assert isinstance(only(found), Contrast)
