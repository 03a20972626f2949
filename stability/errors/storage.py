"""Storage places and their loggers."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class PlaceNameError(StabilityError):
    """A short name or suffix that a storage place cannot have."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} is no name of a storage place: {reason}. Give it a letter and "
            "up to 11 more letters or digits, such as OVEN; the suffix has four."
        )


class PlaceKnownError(StabilityError):
    """A storage place of this short name is registered already."""

    def __init__(self, name: str, code: str) -> None:
        super().__init__(
            f"{name} is registered already, as {code}. Give the new place another "
            f"name; 'stability storage show {name}' tells what is on record."
        )


class UnknownPlaceError(StabilityError):
    """No storage place is meant by a name, or more than one."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} names no one storage place: {reason}. 'stability storage list' "
            "lists them, 'stability storage add' registers one."
        )


class PlaceRangeError(StabilityError):
    """A storage place cannot be registered as typed; all that is wrong at once."""

    def __init__(self, name: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{name} was not registered: {'; '.join(self.faults)}.")


class StorageRecordError(StabilityError):
    """A look, an event or an answer cannot be taken as typed."""

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(f"{name}: nothing was stored: {reason}.")


class ExcursionSideError(StabilityError):
    """An answer would hold for what was hotter and for what was colder at once."""

    def __init__(self, name: str, told: Sequence[str]) -> None:
        super().__init__(
            f"{name}: nothing was stored: these days were hotter and colder than "
            f"meant, which one answer does not cover: {'; '.join(told)}. Answer each "
            "by itself, with --side hotter and --side colder."
        )


class StorageReferenceError(StabilityError):
    """A reference that leads to no entry of a storage place that stands."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed}: {reason}. 'stability storage show' lists what is on record with "
            "its numbers."
        )


class LoggerUnreadableError(StabilityError):
    """The file of a logger is not there or may not be read."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The file {path} cannot be read: {reason}. Nothing was stored; name the "
            "CSV file that the logger's program exports."
        )


class LoggerFileError(StabilityError):
    """The file of a logger cannot be taken; everything that was found at once."""

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(
            f"{file}: {'; '.join(self.faults)}. Nothing was stored; mend the file, or "
            "declare how it is to be read."
        )


class LoggerColumnsError(StabilityError):
    """What the columns of a logger's file are cannot be told."""

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{file}: {'; '.join(self.faults)}. Nothing was stored.")


class LoggerTooShortError(StabilityError):
    """The file of a logger holds fewer than two readings."""

    def __init__(self, file: str, readings: int) -> None:
        count = "one reading" if readings == 1 else f"{readings or 'no'} readings"
        super().__init__(
            f"{file} holds {count}. A reading holds until the next, so that it tells "
            "nothing of any time; nothing was stored. Take in a longer file, or store "
            "a look with 'stability storage look'."
        )


class LoggerBackwardsError(StabilityError):
    """The file of a logger goes back in time."""

    def __init__(self, file: str, line: int, before: str, after: str) -> None:
        super().__init__(
            f"{file}, line {line}: the time goes back from {before} to {after}. "
            "Nothing was stored. If its clock was set anew there, cut the file in two "
            "and take in both; if it follows summer time, declare its zone, such as "
            "--zone Europe/Dublin."
        )


class LoggerDeclaredError(StabilityError):
    """What is declared of a logger's file has another form."""

    def __init__(self, option: str, typed: str, known: Sequence[str]) -> None:
        super().__init__(f"{option} {typed}: write {' or '.join(known)}.")
