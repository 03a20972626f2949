"""What words tell together: a trend with age, and how many more may fail."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from scipy import stats

from stability.evaluation.findings import Evaluation
from stability.evaluation.series import WordSeries
from stability.model.attribute import Attribute
from stability.model.limit import Limit
from stability.statistics.scores import FEWEST_FOR_STEPS
from tests.evaluation.builders import PLACED, Bench, bulk, protocol, sample, worded

SCALE = ("as control", "slightly changed", "changed")
ODOUR = replace(protocol().attributes["odour"], observers=1)
DAYS = {"2w": 14, "4w": 28, "8w": 56, "12w": 84}


def nosed(
    words: dict[str, int], start: int | None = 0, attribute: Attribute = ODOUR
) -> Evaluation:
    """Return a jar in the heat, smelled at T0 and at some checks."""
    made = Bench(
        [bulk(), sample("HDC-000-A", "T40")],
        protocol=protocol(attributes={attribute.name: attribute}),
    )
    made.place("HDC-000-A", "T40")
    scale = attribute.scale
    if start is not None:
        made.read(
            "BULK-A", attribute.name, "T0", f"Ana:{scale[start]}", done="2025-01-09"
        )
    for check, rank in words.items():
        done = (PLACED + timedelta(days=DAYS[check])).isoformat()
        made.read("HDC-000-A", attribute.name, check, f"Ana:{scale[rank]}", done=done)
    return made.evaluate("2025-05-01")


def smelled(words: dict[str, int], start: int | None = 0) -> WordSeries:
    """Return the series of a jar in the heat."""
    return worded(nosed(words, start), "odour")


def test_words_that_grow_worse_have_tau_b_and_an_exact_p() -> None:
    series = smelled({"2w": 0, "4w": 1, "8w": 1, "12w": 2})

    # Independent route for tau-b; p: of 5!/(2! 2! 1!) = 30 orders one rises so far.
    tau = stats.kendalltau([0, 14, 28, 56, 84], [0, 0, 1, 1, 2]).statistic
    assert series.trend is not None
    assert series.trend.tau_b == pytest.approx(tau)
    assert series.trend.p == pytest.approx(1 / 30)
    assert series.whole_text == (
        "worst “changed”; first outside at 12w (84 d); 1 of 1 container outside; "
        "tau-b 0.89, n 5, one-sided p 0.033 for worse with age (exact)"
    )


def test_words_that_grow_better_are_no_sign_of_worse() -> None:
    trend = smelled({"2w": 1, "4w": 1, "8w": 0, "12w": 0}, start=1).trend

    assert trend is not None
    assert trend.p is not None
    assert trend.p > 0.9


def test_so_few_words_say_what_they_cannot_show() -> None:
    evaluation = nosed({"2w": 0, "4w": 0, "8w": 0, "12w": 1})
    series = worded(evaluation, "odour")

    # The one word that moved stands last in 1 of 5 orders, and cannot stand later.
    assert series.trend is not None
    assert (series.trend.p, series.trend.least_p) == (0.2, 0.2)
    assert series.beyond.endswith("these words cannot give less than 0.2")
    assert evaluation.worse_by_chance == (
        "Of 1 trend of words none has enough checks to show p < 0.05, whatever was "
        "read."
    )


def test_trends_that_can_tell_are_counted_beside_chance() -> None:
    evaluation = nosed({"2w": 0, "4w": 1, "8w": 1, "12w": 2})

    assert evaluation.worse_by_chance == (
        "Of 1 trend of words at most about 0.1 would show p < 0.05 by chance alone; 1 "
        "did. A p-value here is no verdict."
    )


def test_four_checks_have_no_p_and_add_nothing_to_the_counts() -> None:
    series = smelled({"2w": 0, "4w": 1, "8w": 2}, start=0)

    assert series.trend is not None
    assert (series.trend.n, series.trend.p) == (4, None)
    assert series.beyond == ""


def test_words_that_never_changed_show_no_change_and_no_p() -> None:
    evaluation = nosed({"2w": 0, "4w": 0, "8w": 0, "12w": 0})
    series = worded(evaluation, "odour")

    assert series.trend is not None
    assert series.trend.text == "No change seen."
    assert series.beyond == ""
    assert evaluation.worse_by_chance == ""


def test_jars_of_one_check_are_one_point_the_worst_of_them() -> None:
    jars = [sample(f"HDC-00{place}-A", "T40") for place in range(3)]
    made = Bench(jars, protocol=protocol(attributes={"odour": ODOUR}))
    for place, one in enumerate(jars):
        made.place(one.code, "T40")
        for check, days in DAYS.items():
            done = (PLACED + timedelta(days=days)).isoformat()
            word = SCALE[1] if place == 1 and days > 20 else SCALE[0]
            made.read(one.code, "odour", check, f"Ana:{word}", done=done)

    trend = worded(made.evaluate("2025-05-01"), "odour").trend

    assert trend is not None
    assert trend.n == 4
    assert trend.tau_b == pytest.approx(
        stats.kendalltau([14, 28, 56, 84], [0, 1, 1, 1]).statistic
    )


def test_a_jar_that_failed_unread_is_worse_than_any_word() -> None:
    made = Bench(
        [bulk(), sample("HDC-000-A", "T40")],
        protocol=protocol(attributes={"odour": ODOUR}),
    )
    made.place("HDC-000-A", "T40")
    made.read("BULK-A", "odour", "T0", f"Ana:{SCALE[0]}", done="2025-01-09")
    for check in ("2w", "4w", "8w"):
        done = (PLACED + timedelta(days=DAYS[check])).isoformat()
        made.read("HDC-000-A", "odour", check, f"Ana:{SCALE[2]}", done=done)
    made.retire("HDC-000-A", "mouldy", "2025-03-20")

    trend = worded(made.evaluate("2025-05-01"), "odour").trend

    assert trend is not None
    assert trend.n == 5
    tau = stats.kendalltau([0, 14, 28, 56, 69], [0, 1, 1, 1, 2]).statistic
    assert trend.tau_b == pytest.approx(tau)


def test_cycles_are_counted_and_have_no_trend_with_age() -> None:
    made = Bench(
        [sample("HDC-000-A", "FT")], protocol=protocol(attributes={"odour": ODOUR})
    )
    made.place("HDC-000-A", "FT")
    made.read("HDC-000-A", "odour", "c1", f"Ana:{SCALE[0]}", done="2025-01-12")
    made.read("HDC-000-A", "odour", "c3", f"Ana:{SCALE[1]}", done="2025-01-16")

    assert worded(made.evaluate("2025-05-01"), "odour").trend is None


def test_a_required_statement_is_worse_where_it_is_not_made() -> None:
    lid = Attribute("lid", "stated", scale=("yes", "no"), limit=Limit(required="yes"))
    series = worded(nosed({"2w": 0, "4w": 0, "8w": 1, "12w": 1}, 0, lid), "lid")

    assert series.trend is not None
    assert series.trend.p == pytest.approx(1 / 10)


def test_a_statement_without_a_required_word_has_no_order_and_no_share() -> None:
    lid = Attribute("lid", "stated", scale=("yes", "no"))
    series = worded(nosed({"2w": 0, "4w": 1, "8w": 1, "12w": 1}, 0, lid), "lid")

    assert (series.trend, series.share, series.may_fail) == (None, None, None)


def jars_read_once(failed: int, number: int) -> WordSeries:
    """Return jars that were each opened once at 8 weeks, some of them changed."""
    jars = [sample(f"HDC-0{place:02}-A", "T40", use="fresh") for place in range(number)]
    made = Bench(jars, protocol=protocol(attributes={"odour": ODOUR}))
    for place, one in enumerate(jars):
        made.place(one.code, "T40")
        word = SCALE[2] if place < failed else SCALE[0]
        made.read(one.code, "odour", "8w", f"Ana:{word}", done="2025-03-07")
    return worded(made.evaluate("2025-05-01"), "odour")


def test_below_ten_jars_the_exact_bound_stands_alone() -> None:
    few = jars_read_once(3, FEWEST_FOR_STEPS - 1)

    # Clopper and Pearson: 3 or fewer of 9 have a chance of 5 % at the bound.
    assert few.share is not None
    assert stats.binom.cdf(3, 9, few.share.at_most) == pytest.approx(0.05)
    assert few.share.steps == ()
    assert few.may_fail is None
    assert few.beyond == ""


def test_from_ten_jars_on_the_share_is_estimated_between_looks() -> None:
    many = jars_read_once(3, FEWEST_FOR_STEPS)

    assert many.share is not None
    assert stats.binom.cdf(3, 10, many.share.at_most) == pytest.approx(0.05)
    assert many.beyond == (
        "estimated to fail: 30 % between 0 and 56 d, 70 % later than 56 d"
    )
