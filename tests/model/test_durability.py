"""What the law of a market asks a label to say, by the months asked for.

Regulation (EC) No 1223/2009, Article 19(1)(c): a date is mandatory up to and with 30
months, and above it a period after opening stands in its place. The documents of an
ASEAN file turn at the same number, but there 30 months already ask for the report.
"""

from __future__ import annotations

import pytest

from stability.model.age import Age
from stability.model.durability import DurabilityRule, durability_rules
from stability.model.study import Market, Request


def rule(market: Market, months: int, supported: int | None = None) -> DurabilityRule:
    """Return the rule of one market."""
    request = Request(months, Age(6, "M"), markets=(market,))
    (found,) = durability_rules(request, supported)
    return found


def test_without_a_market_nothing_is_said() -> None:
    assert durability_rules(Request(24)) == ()


@pytest.mark.parametrize("market", ["EU", "UK"])
def test_a_date_is_mandatory_up_to_30_months_and_not_above(market: Market) -> None:
    for months, mandatory in ((1, True), (29, True), (30, True), (31, False)):
        found = rule(market, months)
        assert found.date_mandatory is mandatory, months
        assert ("a date is not mandatory" in found.text) is not mandatory
        assert ("open-jar symbol" in found.text) is not mandatory


def test_the_uk_names_its_own_text_of_the_article() -> None:
    assert rule("EU", 24).rule == "Regulation (EC) No 1223/2009, Article 19(1)(c)"
    assert rule("UK", 24).rule == (
        "assimilated Regulation (EC) No 1223/2009, Article 19(1)(c)"
    )


def test_a_period_after_opening_is_repeated_and_never_computed() -> None:
    assert "6M is asked for. A period after opening is never computed." in (
        rule("EU", 36).text
    )
    (none,) = durability_rules(Request(36, markets=("EU",)))
    assert "none is asked for" in none.text


def test_months_supported_below_31_say_that_they_would_ask_for_a_date() -> None:
    assert "Were the 24 months printed" in rule("EU", 36, supported=24).text
    assert "Were the 30 months printed" in rule("EU", 36, supported=30).text
    for supported in (31, 36, 0, None):
        assert "Were the" not in rule("EU", 36, supported=supported).text
    assert "Were the" not in rule("EU", 24, supported=12).text


def test_the_us_asks_for_no_date_and_says_what_it_asks_for() -> None:
    found = rule("US", 24)
    assert found.date_mandatory is False
    assert found.text.startswith("No date is required on a cosmetic.")
    assert "608" in found.rule


def test_an_asean_file_turns_at_30_months_the_other_way() -> None:
    assert "summary report" in rule("ASEAN", 29).text
    assert "stability data with their report" in rule("ASEAN", 30).text
    assert rule("ASEAN", 30).date_mandatory is None


def test_one_month_is_told_as_one_month() -> None:
    assert rule("EU", 1).text.startswith("1 month is not more than 30")


def test_markets_are_told_in_the_order_of_the_file() -> None:
    request = Request(24, markets=("US", "EU"))
    assert [one.market for one in durability_rules(request)] == ["US", "EU"]
