"""Humidity over salts."""

from __future__ import annotations

import pytest

from stability.model.salt import salt_humidity, salt_words, within_range


def test_an_unknown_salt_breaks_the_contract() -> None:
    with pytest.raises(ValueError, match="gold"):
        salt_humidity("gold", 25)  # type: ignore[arg-type]


def test_no_humidity_is_expected_where_none_is_known() -> None:
    assert within_range((5, 45))
    assert not within_range((4.9, 25))
    assert not within_range((25, 45.1))
    assert salt_words("sodium chloride", (2, 8)) == "over saturated sodium chloride"
