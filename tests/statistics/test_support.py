"""Months shown, estimated and supported, and the request."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.age import parse_age
from stability.model.shelf_life import (
    Bearing,
    Cap,
    CheckOutcome,
    ProvisionalRule,
    Shown,
    Supported,
)
from stability.statistics.cap import extrapolation_cap
from stability.statistics.frame import months
from stability.statistics.support import (
    judge_request,
    last_pass_before_failure,
    months_shown,
    shown_by_all,
    supported_months,
)

AGES = {"T0": 0.0, "3M": 3.0, "6M": 6.0, "9M": 9.0, "12M": 12.0}


def read(
    check: str | None,
    age: float,
    *,
    in_window: bool = True,
    on_or_after_date: bool = True,
    passed: bool | None = True,
) -> CheckOutcome:
    """Return one observation of a batch and attribute."""
    return CheckOutcome(check, age, in_window, on_or_after_date, passed)


def outcomes(**passed: bool | None) -> list[CheckOutcome]:
    """Return outcomes by check, such as m3=True."""
    return [
        read(f"{name[1:]}M", float(name[1:]), passed=verdict)
        for name, verdict in passed.items()
    ]


def part(
    shown: int = 12,
    estimate: float | None = None,
    ends_at: int | None = None,
    cap: Cap | None = None,
) -> Bearing:
    """Return a part that bears the request."""
    return Bearing(
        attribute="pH",
        pack="jar",
        batch="A",
        shown=Shown(shown, f"{shown}M", shown, f"{shown} months"),
        cap=cap or extrapolation_cap(shown),
        estimate=estimate,
        ends_at=ends_at,
    )


# Months shown


@given(st.dates(date(2024, 1, 1), date(2028, 12, 31)), st.sampled_from(["12M", "1y"]))
def test_twelve_months_on_their_day_count_twelve_from_any_start(
    start: date, check: str
) -> None:
    age = parse_age(check)
    assert age is not None
    days = (age.after(start) - start).days
    shown = months_shown([read(check, months(days))])

    assert days in {365, 366}
    assert shown.months == 12


@given(st.dates(date(2024, 1, 1), date(2028, 12, 31)), st.integers(1, 60))
def test_calendar_months_count_themselves_even_read_early(
    start: date, count: int
) -> None:
    age = parse_age(f"{count}M")
    assert age is not None
    early = (age.after(start) - timedelta(days=5) - start).days
    shown = months_shown([read(str(age), months(early), on_or_after_date=False)])

    assert shown.months == count
    assert shown.months_for_request == 0


@pytest.mark.parametrize(
    ("check", "whole", "words"),
    [
        ("4w", 0, "4 weeks"),
        ("8w", 1, "8 weeks"),
        ("12w", 2, "12 weeks"),
        ("52w", 11, "52 weeks"),
        ("1M", 1, "1 month"),
    ],
)
def test_weeks_are_printed_as_weeks_and_never_become_more_months(
    check: str, whole: int, words: str
) -> None:
    shown = months_shown([read(check, 3.0)])

    assert (shown.months, shown.words) == (whole, words)


def test_a_check_outside_its_window_shows_nothing() -> None:
    late = read("12M", 14.0, in_window=False)

    assert months_shown([*outcomes(m9=True), late]).months == 9


def test_extra_readings_and_readings_not_made_show_nothing() -> None:
    extra = read(None, 13.0)

    assert months_shown([*outcomes(m9=True, m12=None), extra]).months == 9
    assert months_shown([extra]).words == "nothing"


def test_one_container_outside_fails_the_check() -> None:
    found = [*outcomes(m9=True, m12=True), *outcomes(m12=False)]

    assert months_shown(found).months == 9


def test_scores_count_only_before_the_first_failure() -> None:
    found = outcomes(m3=True, m6=False, m9=True)

    assert months_shown(found).months == 9
    assert months_shown(found, before_first_failure=True).months == 3


def test_what_every_batch_passed_is_shown() -> None:
    a = outcomes(m3=True, m6=True, m9=None, m12=True)
    b = outcomes(m3=True, m6=True, m9=True)

    assert shown_by_all([a, b]).months == 6
    assert shown_by_all([a, a]).months == 12


def test_for_the_request_every_batch_must_have_come_on_its_date() -> None:
    late = [read("6M", 6.0), read("9M", 9.0)]
    early = [read("6M", 6.0), read("9M", 8.9, on_or_after_date=False)]

    for batches in ([late, early], [early, late]):
        shown = shown_by_all(batches)
        assert (shown.months, shown.months_for_request) == (9, 6)


def test_what_passed_on_the_day_of_a_failure_no_longer_counts() -> None:
    # An extra reading failed on the day on which the check passed.
    seen = [read("3M", 3.0), read("6M", 6.0), read(None, 6.0, passed=False)]

    assert months_shown(seen, before_first_failure=True).months == 3
    assert last_pass_before_failure(seen) == 3


# An observed failure


@pytest.mark.parametrize(
    ("verdicts", "ends"),
    [
        ({"m3": True, "m6": True}, None),
        ({"m3": True, "m6": False, "m9": True}, 3),
        ({"m3": False, "m6": True}, 0),
    ],
)
def test_a_failure_ends_the_support_at_the_pass_before_it(
    verdicts: dict[str, bool], ends: int | None
) -> None:
    assert last_pass_before_failure(outcomes(**verdicts)) == ends


def test_a_failure_outside_any_window_counts() -> None:
    extra = read(None, 7.0, in_window=False, on_or_after_date=False, passed=False)

    assert last_pass_before_failure([*outcomes(m3=True, m6=True, m9=True), extra]) == 6


@given(
    st.lists(st.booleans(), min_size=1, max_size=8),
    st.one_of(st.none(), st.floats(0, 100)),
)
def test_support_never_exceeds_the_last_pass_before_a_failure(
    verdicts: list[bool], estimate: float | None
) -> None:
    found = [
        read(f"{3 * i}M", 3.0 * i, passed=verdict)
        for i, verdict in enumerate(verdicts, 1)
    ]
    shown = months_shown(found)
    bearing = Bearing(
        attribute="pH",
        pack="jar",
        batch="A",
        shown=shown,
        cap=extrapolation_cap(shown.months),
        estimate=estimate,
        ends_at=last_pass_before_failure(found),
    )
    supported = supported_months([bearing])

    if False in verdicts:
        assert supported.months <= 3 * verdicts.index(False)
    assert supported.months <= shown.months + 12


# Support


def test_support_is_the_least_of_estimate_cap_and_failure() -> None:
    assert supported_months([part(12, 17.6225)]).months == 17
    assert supported_months([part(12, 260.27)]).months == 24
    assert supported_months([part(12, None)]).months == 24
    assert supported_months([part(12, 17.6, ends_at=9)]).months == 9


def test_each_batch_is_capped_by_its_own_months_shown() -> None:
    # The batch of the shortest estimate has a cap of 36; the other has one of 12.
    parts = [part(24, 34.0), part(6, 50.0)]

    assert supported_months(parts).months == 12


@pytest.mark.parametrize(
    ("estimate", "expected"), [(24 - 1e-12, 24), (23.999, 23), (24.9, 24)]
)
def test_support_is_rounded_down_but_not_for_a_rounding_error(
    estimate: float, expected: int
) -> None:
    assert supported_months([part(24, estimate)]).months == expected


def test_an_attribute_without_an_estimate_still_governs() -> None:
    worded = part(6, None, cap=extrapolation_cap(6, blocked=True))
    supported = supported_months([part(12, 20.0), worded])

    assert supported.months == 6
    assert supported.shown == 6
    assert supported.governing is worded


def test_an_estimate_above_the_cap_is_marked() -> None:
    assert supported_months([part(12, 260.27)]).estimate_above_cap
    assert not supported_months([part(12, 17.6)]).estimate_above_cap
    assert supported_months([part(12, None)]).estimated is None


def test_the_basis_names_what_governs_and_defers_to_the_assessor() -> None:
    text = supported_months([part(12, 17.6)]).text

    assert "pH of batch A (jar) governs" in text
    assert "does not replace" in text


def test_all_that_support_as_little_are_named_or_counted() -> None:
    alone = part(12, 17.6)
    named = [replace(alone, attribute=one) for one in ("flow_time", "odour", "colour")]
    assert "flow time, odour and colour of batch A (jar) govern: " in (
        supported_months(named).text
    )
    other = replace(alone, batch="B")
    assert "pH of batch A (jar) governs (1 other is as short): " in (
        supported_months([alone, other]).text
    )
    longer = replace(alone, batch="C", estimate=17.7)
    assert "pH of batch A (jar) governs (2 others are as short): " in (
        supported_months([alone, other, longer, replace(other, pack="pump")]).text
    )


def test_a_failure_at_the_first_check_leaves_nothing_passed() -> None:
    text = supported_months([replace(part(12, None), ends_at=0)]).text
    assert "nothing passed after T0" in text
    assert "last pass before a failure at 3 months" in (
        supported_months([replace(part(12, None), ends_at=3)]).text
    )


def test_an_estimate_above_the_cap_is_no_number_in_the_basis() -> None:
    beyond = supported_months([part(12, 260.27)]).text
    below = supported_months([part(12, 17.6)]).text

    assert "the estimate lies beyond the cap" in beyond
    assert "260" not in beyond
    assert "estimate 17.6 months" in below


def test_nothing_that_bears_the_request_breaks_the_contract() -> None:
    with pytest.raises(ValueError, match="nothing bears"):
        supported_months([])


# The request


def supported(months: int, shown: int) -> Supported:
    """Return a support of some months."""
    found = supported_months([part(shown, float(months))])
    assert found.months == months
    return found


RULE = ProvisionalRule(
    declared_before_t0=True,
    months=24,
    condition="12 weeks at 40 °C",
    source="common practice",
    confirming=("6M", "12M", "24M"),
    held=True,
    real_time_holds=True,
    broken_by=None,
)


def test_a_request_within_the_months_shown_is_shown() -> None:
    outcome = judge_request(12, supported(18, 12), planned_look=True)

    assert outcome.outcome == "shown by real-time data"


def test_a_request_read_early_is_not_shown_by_that_check() -> None:
    early = replace(part(12, 18.0), shown=Shown(12, "12M", 9, "12 months"))
    outcome = judge_request(12, supported_months([early]), planned_look=True)

    assert outcome.outcome == "supported by extrapolation within the cap"


def test_a_check_read_early_carries_no_request_where_nothing_reaches_beyond() -> None:
    cap = extrapolation_cap(12, accelerated_finished=False)
    early = replace(part(12, 18.0, cap=cap), shown=Shown(12, "12M", 9, "12 months"))
    found = supported_months([part(12, 18.0), early])
    outcome = judge_request(12, found, planned_look=True)

    assert (found.months, found.shown_at_cap) == (12, 9)
    assert (outcome.outcome, outcome.months) == ("not supported", 9)
    assert outcome.text.startswith(
        "12 months are not supported; 9 months are. A check that would have to carry "
        "them was read before its date"
    )
    assert judge_request(9, found, planned_look=True).months == 9


def test_a_check_read_early_may_stand_where_a_rule_makes_it_provisional() -> None:
    cap = extrapolation_cap(12, accelerated_finished=False)
    early = replace(part(12, 18.0, cap=cap), shown=Shown(12, "12M", 9, "12 months"))
    outcome = judge_request(
        12, supported_months([early]), planned_look=True, provisional=RULE
    )

    assert outcome.outcome == "provisional on accelerated data"


def test_a_request_beyond_the_months_shown_may_be_supported() -> None:
    outcome = judge_request(18, supported(18, 12), planned_look=True)

    assert outcome.outcome == "supported by extrapolation within the cap"
    assert judge_request(19, supported(18, 12), planned_look=True).months == 18


def test_a_request_is_provisional_only_by_a_rule_that_holds() -> None:
    outcome = judge_request(24, supported(6, 3), planned_look=True, provisional=RULE)

    assert outcome.outcome == "provisional on accelerated data"
    assert "Trade custom, no standard" in outcome.text
    assert "12 weeks at 40 °C" in outcome.text
    assert "6M, 12M, 24M" in outcome.text


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"declared_before_t0": False}, "not declared before T0"),
        ({"held": False}, "Not every attribute was read and held"),
        ({"real_time_holds": False}, "real-time reading lies outside"),
        ({"broken_by": "the missed check 6M"}, "withdrawn by the missed check 6M"),
        ({"months": 18}, "is 18 months"),
    ],
)
def test_a_rule_that_does_not_hold_supports_nothing(
    change: dict[str, object], words: str
) -> None:
    rule = replace(RULE, **change)  # type: ignore[arg-type]  # from the table
    outcome = judge_request(24, supported(6, 3), planned_look=True, provisional=rule)

    assert outcome.outcome == "not supported"
    assert outcome.months == 6
    assert words in outcome.text


def test_an_interim_evaluation_carries_no_request() -> None:
    outcome = judge_request(12, supported(18, 12), planned_look=False, provisional=RULE)

    assert outcome.outcome == "interim"
    assert "carries no request" in outcome.text


def test_every_outcome_defers_to_a_qualified_assessor() -> None:
    texts = [
        judge_request(asked, supported(18, 12), planned_look=look).text
        for asked in (12, 18, 24)
        for look in (True, False)
    ]

    assert all("qualified safety assessor" in text for text in texts)
