"""Samples and what is observed of them."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class UnknownSampleError(StabilityError):
    """The study has no such sample."""

    def __init__(self, code: str, study: str, nearest: str = "") -> None:
        hint = f" The nearest are {nearest}." if nearest else ""
        super().__init__(f"Study {study} has no sample {code}.{hint}")


class UnknownNameError(StabilityError):
    """A name that the protocol or the study does not know."""

    def __init__(self, what: str, typed: str, hint: str) -> None:
        super().__init__(f"There is no {what} {typed!r}; {hint}.")


class TooEarlyError(StabilityError):
    """Something done before it was possible."""

    def __init__(self, sample: str, done: str, reason: str) -> None:
        super().__init__(f"{sample}: {done} is too early, {reason}. Check the date.")


class SampleGoneError(StabilityError):
    """A sample that has left the study, or whose part of it was stopped."""

    def __init__(self, sample: str, reason: str) -> None:
        super().__init__(
            f"{sample} {reason}. What was done before that day needs its own --on."
        )


class ReasonNeededError(StabilityError):
    """Something that must not stand without its reason."""

    def __init__(self, what: str, option: str = "--because") -> None:
        super().__init__(f"{what} needs a reason: add {option}.")


class NothingToPlaceError(StabilityError):
    """A placing that names neither samples nor a condition."""

    def __init__(self, study: str | None) -> None:
        code = study or "CODE"
        super().__init__(
            "Nothing was placed, because neither a sample nor a condition is named. "
            f"'stability place --study {code} --to CONDITION' places all that wait for "
            "it; or type the codes of the samples."
        )


class PlacingError(StabilityError):
    """A placing that does not fit where the sample is."""

    def __init__(self, sample: str, reason: str) -> None:
        super().__init__(f"{sample} cannot be placed so: {reason}.")


class ReplacementError(StabilityError):
    """A sample that cannot take the part of another."""

    def __init__(self, sample: str, replaced: str, reason: str) -> None:
        super().__init__(f"{sample} cannot replace {replaced}: {reason}.")


class MissedError(StabilityError):
    """A check that cannot be recorded as missed."""

    def __init__(self, check: str, reason: str) -> None:
        super().__init__(f"{check} cannot be recorded as missed: {reason}.")


class StoppedError(StabilityError):
    """A stop of what has been stopped already."""

    def __init__(self, what: str, day: str) -> None:
        super().__init__(f"{what} was stopped on {day} already; leave it so.")


class AlreadyObservedError(StabilityError):
    """A second observation of the same sample, check and attribute."""

    def __init__(self, what: str, reference: str) -> None:
        super().__init__(
            f"{what} is recorded as {reference}. If it was mistyped: correct "
            f"{reference}; if it was read again: log it with --repeat and the reason."
        )


class NothingToRepeatError(StabilityError):
    """A repeat without a first observation."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"{what} has no observation to repeat; log it without --repeat."
        )


class EntryReferenceError(StabilityError):
    """A reference that leads to no observation that stands."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(f"{typed}: {reason}. `history` lists the entries.")


class ReadingsError(StabilityError):
    """Readings that cannot be taken as typed; all of a line at once."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


class FarReadingError(StabilityError):
    """A reading far from the sample's last one, not confirmed."""

    def __init__(self, questions: Sequence[str]) -> None:
        self.questions = tuple(questions)
        super().__init__(
            "; ".join(self.questions)
            + ". If it is right, say so with --yes; else type it again."
        )


class NotConfirmedError(StabilityError):
    """The person did not confirm."""

    def __init__(self) -> None:
        super().__init__("Not confirmed; nothing was written. Read again and log it.")


class FollowUpError(StabilityError):
    """A follow-up that cannot be taken as typed."""

    def __init__(self, reference: str, reason: str) -> None:
        super().__init__(
            f"The follow-up of {reference} was not stored: {reason}. 'stability "
            "follow-up --help' shows an example."
        )


class FollowUpOfWhatError(StabilityError):
    """`follow-up` was given neither an entry nor a study, or half of an answer."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"{reason}. Name an entry with --outcome and --because, or list the "
            "follow-ups of a study with --list STUDY."
        )
