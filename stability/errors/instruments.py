"""Instruments and their calibrations."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class InstrumentNameError(StabilityError):
    """A short name or suffix that an instrument cannot have."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} is no name of an instrument: {reason}. Give it a letter and up "
            "to 11 more letters or digits, such as PH1; the suffix has four."
        )


class InstrumentKnownError(StabilityError):
    """An instrument of this short name is registered already."""

    def __init__(self, name: str, code: str) -> None:
        super().__init__(
            f"{name} is registered already, as {code}. Give the new instrument another "
            f"name; 'stability instrument show {name}' tells what is on record."
        )


class UnknownInstrumentError(StabilityError):
    """No instrument is meant by a name, or more than one."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} names no one instrument: {reason}. 'stability instrument "
            "list' lists them, 'stability instrument add' registers one."
        )


class InstrumentRulesError(StabilityError):
    """Rules that an instrument cannot have; all that is wrong with them at once."""

    def __init__(self, name: str, outcome: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{name} {outcome}: {'; '.join(self.faults)}.")


class InstrumentRetiredError(StabilityError):
    """An instrument that was retired is retired again."""

    def __init__(self, name: str, day: str, reference: str) -> None:
        super().__init__(
            f"{name} was retired on {day} already. If that was a slip, set it aside "
            f"first: 'stability instrument invalidate {reference} --because REASON'."
        )


class CalibrationError(StabilityError):
    """A calibration that cannot be taken as typed; all that is wrong at once."""

    def __init__(self, name: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(
            f"The calibration of {name} was not stored: {'; '.join(self.faults)}."
        )


class InstrumentReferenceError(StabilityError):
    """A reference that leads to nothing of an instrument that can be set aside."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed}: {reason}. 'stability instrument show' lists what is on record "
            "with its numbers."
        )


class NothingReadWithError(StabilityError):
    """A reading is said to be made with an instrument that it is not read with."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"instrument={typed} does not tell what was read with it: {reason}. Write "
            "the attribute as well, such as pH.instrument=PH1."
        )
