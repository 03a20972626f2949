"""Weight loss worked out from weights before opening and after closing."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.study import Pack
from tests.evaluation.builders import Bench, judged_at, sample, study

Jar = Pack("JAR", "50 g jar", fill_g=Decimal(50))
CHECKS = (("2w", "2025-01-24"), ("4w", "2025-02-07"), ("8w", "2025-03-07"))


def bench(pack: Pack) -> Bench:
    """Return a bench with one jar at 40 °C, placed."""
    made = Bench([sample("HDC-001-A", "T40")], study=study(packs={"JAR": pack}))
    made.place("HDC-001-A", "T40")
    return made


def weigh(made: Bench, check: str, grams: str, done: str, part: str = "before") -> int:
    """Weigh the jar."""
    return made.read(
        "HDC-001-A", "weight_loss", check, grams, part=part, unit="g", done=done
    )


def percent(made: Bench, position: int) -> float:
    """Return the loss of one weighing [%]."""
    value = judged_at(made.evaluate("2025-12-31"), position).value
    assert value is not None
    return float(value)


# Net as base, not gross: computed by hand, two programs.
@pytest.mark.parametrize(
    ("pack", "first", "second", "expected"),
    [
        (Pack("JAR", "jar", fill_g=Decimal("30.00")), "62.10", "61.51", 1.9667),
        (Pack("JAR", "jar", tare_g=Decimal("32.10")), "62.13", "61.54", 1.9647),
    ],
)
def test_the_share_is_of_the_net_fill(
    pack: Pack, first: str, second: str, expected: float
) -> None:
    made = bench(pack)
    weigh(made, "T0", first, "2025-01-10")
    position = weigh(made, "4w", second, "2025-02-07")

    assert percent(made, position) == pytest.approx(expected, abs=5e-5)


def test_the_tare_goes_before_the_stated_fill() -> None:
    made = bench(replace(Jar, tare_g=Decimal(42)))
    weigh(made, "T0", "82.00", "2025-01-10")
    position = weigh(made, "4w", "81.60", "2025-02-07")

    assert percent(made, position) == pytest.approx(1.0)


def test_product_taken_out_is_no_loss() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    first = weigh(made, "2w", "81.90", "2025-01-24")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    weigh(made, "2w", "76.90", "2025-01-24", "after")
    second = weigh(made, "4w", "76.75", "2025-02-07")

    assert percent(made, first) == pytest.approx(0.2)
    assert percent(made, second) == pytest.approx(0.5)


def test_an_interval_without_its_closing_weight_is_left_out_and_undecided() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    weigh(made, "2w", "81.90", "2025-01-24")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    position = weigh(made, "4w", "76.75", "2025-02-07")

    seen = judged_at(made.evaluate("2025-12-31"), position)

    assert seen.value == Fraction(1, 5)
    assert seen.mark == "undecided"
    assert seen.detail == (
        "weight after closing at 2w is missing, so that what was taken out cannot be "
        "told from what was lost; weigh it again after sampling (w2)"
    )


# Product taken out is no loss, and loss between two looks is: where the weight that
# would part them is missing, the loss that is known is a least one and no pass.
@pytest.mark.parametrize("before", [None, "<80.0"])
def test_an_interval_without_its_opening_weight_is_left_out_and_undecided(
    before: str | None,
) -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    if before is not None:
        weigh(made, "2w", before, "2025-01-24")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    weigh(made, "2w", "76.90", "2025-01-24", "after")
    position = weigh(made, "4w", "76.75", "2025-02-07")

    seen = judged_at(made.evaluate("2025-12-31"), position)

    assert seen.value == Fraction(3, 10)
    assert seen.mark == "undecided"
    assert seen.detail == (
        "weight before opening at 2w is missing, so that what was lost until then "
        "cannot be told; weigh it before opening (w)"
    )


def test_what_was_taken_out_of_a_jar_that_nobody_weighed_counts_as_lost() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    position = weigh(made, "4w", "81.00", "2025-02-07")

    assert percent(made, position) == pytest.approx(2.0)
    seen = judged_at(made.evaluate("2025-12-31"), position)
    assert [one.text for one in seen.remarks if one.code == "taken out"] == [
        "read at 2w and not weighed: what was taken out then counts as lost"
    ]


def test_what_was_taken_out_unweighed_is_said_of_every_loss_that_holds_it() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    first = weigh(made, "2w", "81.90", "2025-01-24")
    made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-07")
    second = weigh(made, "8w", "81.00", "2025-03-07")
    third = weigh(made, "12w", "80.90", "2025-04-04")

    evaluation = made.evaluate("2025-12-31")
    said = [
        [
            one.text
            for one in judged_at(evaluation, at).remarks
            if one.code == "taken out"
        ]
        for at in (first, second, third)
    ]
    text = "read at 4w and not weighed: what was taken out then counts as lost"
    assert said == [[], [text], [text]]


def test_a_reading_in_an_interval_that_is_left_out_counts_nothing_as_lost() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    weigh(made, "2w", "81.90", "2025-01-24")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-07")
    position = weigh(made, "8w", "76.75", "2025-03-07")

    seen = judged_at(made.evaluate("2025-12-31"), position)
    assert seen.mark == "undecided"
    assert not [one for one in seen.remarks if one.code == "taken out"]


def test_a_jar_weighed_after_closing_at_t0_loses_from_there() -> None:
    made = bench(replace(Jar, tare_g=Decimal(32)))
    weigh(made, "T0", "82.00", "2025-01-10", "after")
    position = weigh(made, "4w", "81.50", "2025-02-07")

    assert percent(made, position) == pytest.approx(100 * 0.50 / 49.50)


def test_what_is_outside_with_an_interval_missing_is_outside() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    weigh(made, "2w", "80.00", "2025-01-24")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    position = weigh(made, "4w", "76.75", "2025-02-07")

    assert judged_at(made.evaluate("2025-12-31"), position).mark == "outside"


def test_a_jar_that_stayed_closed_needs_no_closing_weight() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    for check, done in CHECKS[:2]:
        weigh(made, check, "81.50", done)
    position = weigh(made, "8w", "80.50", "2025-03-07")

    seen = judged_at(made.evaluate("2025-12-31"), position)

    assert seen.value == 3
    assert seen.mark == "inside"


@pytest.mark.parametrize(
    ("pack", "detail"),
    [
        (Pack("JAR", "jar"), "neither tare nor fill of the pack is stated"),
        (Pack("JAR", "jar", tare_g=Decimal(90)), "tare is not below the first weight"),
    ],
)
def test_without_a_net_fill_nothing_is_said(pack: Pack, detail: str) -> None:
    made = bench(pack)
    weigh(made, "T0", "82.00", "2025-01-10")
    position = weigh(made, "4w", "81.60", "2025-02-07")

    seen = judged_at(made.evaluate("2025-12-31"), position)

    assert (seen.value, seen.mark, seen.detail) == (None, "undecided", detail)


def test_first_and_closing_weights_are_recorded_and_not_judged() -> None:
    made = bench(Jar)
    first = weigh(made, "T0", "82.00", "2025-01-10")
    weigh(made, "2w", "81.90", "2025-01-24")
    after = weigh(made, "2w", "76.90", "2025-01-24", "after")
    evaluation = made.evaluate("2025-12-31")

    assert judged_at(evaluation, first).mark == "recorded only"
    assert judged_at(evaluation, after).mark == "recorded only"


@given(
    taken=st.lists(st.integers(0, 900), min_size=3, max_size=3),
    lost=st.lists(st.integers(0, 100), min_size=3, max_size=3),
)
def test_the_loss_is_the_same_however_much_is_taken_out(
    taken: list[int], lost: list[int]
) -> None:
    made = bench(Jar)
    grams = Decimal(82)
    weigh(made, "T0", str(grams), "2025-01-10")
    position = 0
    for (check, done), out, gone in zip(CHECKS, taken, lost, strict=True):
        grams -= Decimal(gone) / 100
        position = weigh(made, check, str(grams), done)
        made.read("HDC-001-A", "pH", check, "5.4", done=done)
        grams -= Decimal(out) / 100
        weigh(made, check, str(grams), done, "after")

    assert percent(made, position) == pytest.approx(sum(lost) / 50)
