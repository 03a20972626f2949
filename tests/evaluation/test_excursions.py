"""What a logger says of a stated event, and when the event asks for itself."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from stability.evaluation.excursions import excursions_in, whole_of
from tests.evaluation.stored import PLACED, Place

MEANT = (Decimal(38), Decimal(42))


def known_from(readings: int) -> list[str]:
    """Return what tells of a power cut of 100 h, the first hours of it logged."""
    end = PLACED + timedelta(hours=100)
    oven = Place(gap="1h").log([40.0] * readings)
    oven.event("power cut", f"{PLACED:%Y-%m-%dT%H:%M:%SZ}", f"{end:%Y-%m-%dT%H:%M:%SZ}")
    known = oven.readings()
    period = whole_of(known)
    assert period is not None
    return [one.known_from for one in excursions_in(known, MEANT, period)]


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        # n readings an hour apart tell of n - 1 hours: 98, 99 and 100 of 100.
        (99, ["stated event"]),
        (100, []),
        (101, []),
    ],
)
def test_a_logger_speaks_for_an_event_of_which_it_covers_99_percent(
    readings: int, told: list[str]
) -> None:
    assert known_from(readings) == told
