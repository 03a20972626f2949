"""Chances in words."""

from __future__ import annotations

import pytest

from stability.model.prospects import Chances, RequestChance
from stability.planning.prospect_words import cases, percent, request_words


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "above 99 %"),
        (0.9901, "above 99 %"),
        (0.5, "50 %"),
        (0.01, "1 %"),
        (0.0099, "below 1 %"),
        (0.0, "none"),
        (None, "not told"),
    ],
)
def test_a_chance_is_never_printed_as_a_certainty(
    chance: float | None, words: str
) -> None:
    assert percent(chance) == words


def test_what_is_the_same_in_every_case_is_said_once() -> None:
    same = [Chances(used, None, None, 0.999) for used in (0.0, 0.5)]
    other = [*same, Chances(2 / 3, None, None, 0.4)]

    assert cases(same) == "above 99 % in every case of drift"
    far = "drift that goes 67 % of the way to the limit"
    assert cases(other).endswith(f"40 % with {far}")


def test_a_range_is_printed_where_the_ends_differ() -> None:
    ends = [RequestChance(0.0, at_most=0.8, at_least=0.6)]
    even = [RequestChance(0.0, at_most=0.8, at_least=0.8)]

    assert request_words(ends) == "60 % to 80 % with no drift"
    assert request_words(even) == "80 % with no drift"
