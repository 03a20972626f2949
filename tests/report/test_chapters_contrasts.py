"""Differences of drifts in print: digits, intervals, cautions, what is left out."""

from __future__ import annotations

import pytest

from tests.report.printed import evaluated, printed


def flowing(name: str) -> str:
    """Return the chapter of comparisons on one line, without spaces."""
    return "".join(printed(name).chapter("Comparisons").split())


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion"])
def test_every_difference_is_printed_with_its_interval(name: str) -> None:
    lines = printed(name).chapter("Comparisons").splitlines()
    made = [one for one in evaluated(name).contrasts.drifts if one.contrast]

    assert made
    for one in made:
        shown = "≠ differ" if one.excludes_no_difference else "not shown"
        wanted = f"{one.numbers} {shown}"
        assert any(
            wanted in line and line.startswith(one.sides.place) for line in lines
        ), one.text


def test_no_number_carries_more_digits_than_its_interval() -> None:
    for name in ("day_cream", "plain_lotion"):
        for one in evaluated(name).contrasts.drifts:
            if one.interval is None:
                continue
            half = (one.interval[1] - one.interval[0]) / 2
            step = 10.0 ** -len(one.numbers.split(" ")[0].partition(".")[2])
            # Two digits of half the width, or three where it begins with 1.
            assert half / 100 <= step <= half or step == 1.0, one.text


def test_what_explains_a_difference_and_what_to_know_of_it_are_printed() -> None:
    text = flowing("day_cream")
    made = [one for one in evaluated("day_cream").contrasts.drifts if one.contrast]

    for one in made:
        for caution in one.cautions:
            if caution.code != "not-paired":
                assert "".join(caution.text.split())[:40] in text
    shown = [one for one in made if one.excludes_no_difference]
    assert "odour:“slightlychanged”beside" in text
    assert any(one.explains for one in shown)


def test_chance_is_told_beside_what_was_found() -> None:
    count = evaluated("day_cream").contrasts.count
    assert count is not None

    assert "".join(count.text.split()) in flowing("day_cream")
    assert "two-sided95%interval" in flowing("day_cream")


def test_what_is_not_compared_is_printed_with_its_reason() -> None:
    refused = [
        one for one in evaluated("day_cream").contrasts.drifts if one.contrast is None
    ]

    assert refused
    text = flowing("day_cream")
    assert "Driftsthatarenotcompared" in text
    assert "Readattwoages;alineneedsatleastthree" in text


def test_a_study_of_words_alone_has_its_checks_only() -> None:
    assert evaluated("balm_tin").contrasts.drifts == ()
    text = flowing("balm_tin")

    assert "Driftsbesideeachother" not in text
    assert "Checkbycheck" in text


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion", "balm_tin"])
def test_no_difference_of_a_check_has_five_digits(name: str) -> None:
    for one in evaluated(name).comparisons:
        if one.difference is not None:
            difference = one.statement.partition(";")[0].split()[1]
            assert len(difference.partition(".")[2]) <= 3, one.statement
