"""Digits and sentences of differences of drifts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.evaluation.contrast_findings import Beside, Between, DriftContrast, Side
from stability.evaluation.contrast_words import numbers_text, together, worded
from stability.model.contrast import Contrast, Method

NUMBERS = st.floats(-1e6, 1e6, allow_nan=False).map(lambda one: round(one, 9))


@pytest.mark.parametrize(
    ("difference", "interval", "printed"),
    [
        (-0.157731, (-0.174103, -0.141359), ("-0.158", "-0.174", "-0.141")),
        (123.4, (23.4, 223.4), ("123", "23", "223")),
        (0.0, (0.0, 0.0), ("0", "0", "0")),
        (0.05, (0.05, 0.05), ("0.050", "0.050", "0.050")),
        (-1e-4, (-0.3, 0.2998), ("0.00", "-0.30", "0.30")),
        # An end that is not 0 does not print as 0: 0 would be in, or at the edge.
        (1.2, (0.0004, 2.4), ("1.2000", "0.0004", "2.4000")),
    ],
)
def test_an_interval_sets_the_digits(
    difference: float, interval: tuple[float, float], printed: tuple[str, str, str]
) -> None:
    assert together(difference, interval) == printed


@settings(deadline=None, derandomize=True)
@given(NUMBERS, NUMBERS)
def test_what_is_printed_says_of_zero_what_the_interval_says(
    one: float, other: float
) -> None:
    low, high = sorted((one, other))
    difference, printed_low, printed_high = together((low + high) / 2, (low, high))

    assert (float(printed_low) > 0, float(printed_high) < 0) == (low > 0, high < 0)
    assert not {"nan", "inf", "e"} & set(difference)
    if high > low:
        # Two digits of half the width move no end by more than a twentieth of it.
        assert abs(float(printed_low) - low) <= (high - low) / 2 / 19
        assert abs(float(printed_high) - high) <= (high - low) / 2 / 19


def contrast(
    between: Between,
    interval: tuple[float, float],
    *,
    basis: str = "",
    method: Method = "two slopes",
) -> DriftContrast:
    names = {
        "conditions": ("T40", "COLD"),
        "batches": ("batch A", "batch B"),
        "packs": ("JAR", "GLASS"),
        "versions": ("HDC 1", "HDD 2"),
    }[between]
    first, second = (Side(name, "", "T40", "JAR", ("A",)) for name in names)
    result = Contrast(method, sum(interval) / 2, 0.01, 5.0, interval, 0.95, 0.5)
    return DriftContrast(
        Beside(between, basis, "pH", first, second), (), "linear", "pH", (), result,
        (), (),
    )  # fmt: skip


APART, TOGETHER = (0.1, 0.3), (-0.1, 0.3)


@pytest.mark.parametrize(
    ("one", "says"),
    [
        (contrast("conditions", APART), "T40 drifts otherwise than COLD: 0.20 ("),
        (
            contrast("conditions", TOGETHER),
            "No drift of T40 other than that of COLD was shown: 0.10 (",
        ),
        (contrast("batches", APART), "These two batches differ: 0.20"),
        (
            contrast("batches", TOGETHER),
            "No difference between these two batches was shown: ",
        ),
        (contrast("packs", APART), "JAR drifts otherwise than GLASS: "),
        (
            contrast("packs", APART, basis="inert pack"),
            "JAR drifts otherwise than inert GLASS, so look at the pack: ",
        ),
        (
            contrast("versions", APART, method="slopes of batches"),
            "The versions differ: ",
        ),
        (
            contrast("versions", TOGETHER, method="slopes of batches"),
            "No difference between the versions was shown: ",
        ),
        (
            contrast("versions", APART),
            "These two batches differ (A and A; with one batch each nothing is said of",
        ),
        (
            contrast("versions", TOGETHER),
            "No difference between these two batches was shown (A and A; with one ",
        ),
    ],
)
def test_a_verdict_names_both_sides_and_claims_no_more(
    one: DriftContrast, says: str
) -> None:
    assert worded(one).text.startswith(says)
    assert says.startswith(worded(one).verdict[:20])
    assert worded(one).text.endswith(" pH a month, 95 %.")


def test_numbers_carry_their_unit() -> None:
    assert numbers_text(contrast("batches", APART)) == ("0.20 (0.10 to 0.30) pH")
