"""Calibrations and what they mean for a reading, in words."""

from __future__ import annotations

from datetime import date, timedelta

from stability.model.age import Age
from stability.model.calibration import Calibration
from stability.model.instrument import Calibrated, InstrumentRecord
from stability.model.instrument_checks import rules_words
from stability.model.instrument_rules import InstrumentRetirement, RulesChange


def calibration_words(one: Calibration) -> str:
    """Return what a calibration gave: `slope 98.6 %, offset -14.4 mV, buffers …`."""
    because = f": {one.because}" if one.because else ""
    return f"{', '.join(_numbers(one)) or 'no numbers on record'}{because}"


def _numbers(one: Calibration) -> list[str]:
    parts = []
    if one.slope_percent is not None:
        parts.append(f"slope {one.slope_percent} %")
    if one.offset_mv is not None:
        parts.append(f"offset {one.offset_mv} mV")
    read = read_words(one)
    return [*parts, read] if read else parts


def outcome_words(one: Calibration) -> str:
    """Return how it ended and what it gave; a number that failed it is said once.

    Such as `failed: slope 88 % is not 90 to 105 %; offset -14.4 mV, buffers …`.
    """
    numbers = _numbers(one)
    left = [
        part
        for part in numbers
        if not any(fault.startswith(f"{part} ") for fault in one.faults)
    ]
    told = ", ".join(left) if numbers else "no numbers on record"
    return "; ".join(part for part in (result_words(one), told) if part)


def read_words(one: Calibration) -> str:
    """Return what was read in buffers, of weights or of standards; "" for nothing."""
    parts = []
    if one.buffers:
        read = ", ".join(f"{ph} {mv} mV" for ph, mv in one.buffers)
        parts.append(f"buffers {read}")
    if one.temperature is not None:
        parts.append(f"{one.temperature} °C")
    if one.reread is not None:
        parts.append(f"{one.reread[0]} read again {one.reread[1]}")
    unit = f" {one.unit}" if one.unit else ""
    parts += [f"{value}{unit} read {read}{unit}" for value, read in one.standards]
    return ", ".join(parts)


def result_words(one: Calibration) -> str:
    """Return how it ended, with the reasons of a failure."""
    aside = f"; set aside: {one.invalidated.because}" if one.invalidated else ""
    why = f": {'; '.join(one.faults)}" if one.faults else ""
    return f"{one.result}{why}{aside}"


def lack_words(instrument: InstrumentRecord, at: Calibrated) -> str:
    """Return that no valid calibration was there; "" where one was."""
    name = instrument.name
    if at.standing == "valid":
        return ""
    if at.last is None:
        return f"no calibration of {name} on record by that day"
    day = at.last.done.day
    if at.standing == "failed":
        return f"no valid calibration of {name} on that day (failed {day})"
    return (
        f"no valid calibration of {name} on that day (last {day}, "
        f"{_valid_words(day, at.valid_for)})"
    )


def _valid_words(day: date, valid_for: Age) -> str:
    """Say until when a calibration of a day holds: `1d` is that day and no other."""
    if valid_for.unit == "h":
        return f"valid {valid_for}"
    last = valid_for.after(day) - timedelta(days=1)
    return "valid on that day only" if last == day else f"valid to {last}"


def doubt_words(instrument: InstrumentRecord, at: Calibrated) -> str:
    """Return why a reading is doubtful; "" where it is not."""
    if at.failed is None:
        return ""
    name = instrument.name
    failed = f"doubtful: {name} failed its calibration on {at.failed.done.day}"
    if at.last_good is None:
        return (
            f"{failed} and no good one before this reading is on record; not corrected"
        )
    return (
        f"{failed}; readings since the last good one on {at.last_good.done.day} are "
        "doubtful, not corrected"
    )


def retired_words(instrument: InstrumentRecord, at: Calibrated) -> str:
    """Return that it had left before something was read with it; "" where not."""
    if at.retired is None:
        return ""
    return (
        f"{instrument.name} was retired on {at.retired.done.day}, before this reading "
        f"({at.retired.because})"
    )


def retirement_words(one: InstrumentRetirement) -> str:
    """Return a retirement: `2026-03-23, by Ana: loan returned`."""
    aside = f"; set aside: {one.invalidated.because}" if one.invalidated else ""
    return f"{one.done.for_people()}, by {one.person}: {one.because}{aside}"


def change_words(one: RulesChange) -> str:
    """Return changed rules: from when, which, and why."""
    return f"from {one.since}: {rules_words(one.rules)}; because {one.because}"
