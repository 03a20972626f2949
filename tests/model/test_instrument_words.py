"""Calibrations in words: until when one holds, and each number once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stability.model.calibration import Calibration
from stability.model.instrument_words import (
    calibration_words,
    lack_words,
    outcome_words,
)
from tests.model.test_instrument import at, meter

FAULT = "slope 88.1 % is not 90 to 105 %"
BETWEEN = "between pH 4.01 and 7.00 slope 88.1 % is not 90 to 105 %"
DRIFTED = "offset -41 mV is not 0 ± 30 mV"


def failed(*faults: str) -> Calibration:
    """Return a calibration that failed by what is said."""
    (made,) = meter(("2026-03-04", False)).calibrations
    return replace(
        made, passed=False, faults=faults, slope_percent="88.1", offset_mv="-41",
        buffers=(), temperature=None, reread=None, because=None,
    )  # fmt: skip


# A month from 31 January ends with 28 February, so that 27 February is its last day.
@pytest.mark.parametrize(
    ("valid_for", "made", "read", "words"),
    [
        ("1d", "2026-04-29", "2026-04-30", "valid on that day only"),
        ("2d", "2026-04-29", "2026-05-01", "valid to 2026-04-30"),
        ("1w", "2026-04-01", "2026-04-08", "valid to 2026-04-07"),
        ("1M", "2026-01-31", "2026-02-28", "valid to 2026-02-27"),
        ("8h", "2026-03-02T08:00", "2026-03-02T17:00", "valid 8h"),
    ],
)
def test_the_last_day_on_which_a_calibration_holds_is_said(
    valid_for: str, made: str, read: str, words: str
) -> None:
    record = meter((made, True), valid_for=valid_for)
    told = lack_words(record, record.at(at(read)))

    assert told == (
        f"no valid calibration of PH1 on that day (last {made[:10]}, {words})"
    )
    if valid_for != "8h":
        last = words.removeprefix("valid to ").replace("valid on that day only", made)
        assert lack_words(record, record.at(at(last))) == ""


@pytest.mark.parametrize(
    ("faults", "words"),
    [
        ((FAULT,), f"failed: {FAULT}; offset -41 mV"),
        ((FAULT, DRIFTED), f"failed: {FAULT}; {DRIFTED}"),
        ((BETWEEN,), f"failed: {BETWEEN}; slope 88.1 %, offset -41 mV"),
    ],
)
def test_a_number_that_failed_is_said_once(faults: tuple[str, ...], words: str) -> None:
    assert outcome_words(failed(*faults)) == words


def test_without_numbers_that_is_said() -> None:
    bare = replace(failed("electrode broken"), slope_percent=None, offset_mv=None)

    assert calibration_words(bare) == "no numbers on record"
    assert outcome_words(bare) == "failed: electrode broken; no numbers on record"
