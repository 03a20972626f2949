"""Numbers, text, codes and moments as they are typed."""

from __future__ import annotations

from stability.errors.base import StabilityError


class NumberFormError(StabilityError):
    """A number is not written as `5.47`, `<10` or `-3`."""

    def __init__(self, text: str, reason: str, where: str = "") -> None:
        place = f"{where}: " if where else ""
        super().__init__(f"{place}{text!r} is not read as a number: {reason}.")


class TextFormError(StabilityError):
    """A text holds a character that cannot be kept or printed, or is empty."""

    def __init__(self, what: str, reason: str) -> None:
        super().__init__(f"{what} {reason}.")


class StudyCodeError(StabilityError):
    """A study code is not one that fits on a lid without being misread."""

    def __init__(self, text: str, reason: str) -> None:
        super().__init__(
            f"{text!r} is no study code: {reason}. A study code has 2 to 5 of "
            "23456789CDFGHJKMNPQRTVWXY and ends in a letter, such as HDC."
        )


class SampleCodeFormError(StabilityError):
    """A sample code has not the form of one."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"{text!r} is no sample code. A code has the study, three or four digits "
            "and a check character, such as HDC-014-W; within one study 014W suffices."
        )


class SampleCodeCheckError(StabilityError):
    """The check character of a sample code does not fit: it is mistyped."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"The check character of {text!r} does not fit: a character is mistyped or "
            "two are swapped. Read the label again and type it as it stands there."
        )


class TooManySamplesError(StabilityError):
    """A study has run out of sample numbers."""

    def __init__(self, study: str, count: int) -> None:
        super().__init__(
            f"Study {study} has no numbers left for {count} samples: numbers end at "
            "9999. Divide it into two studies."
        )


class MomentError(StabilityError):
    """A date or time that does not exist or is written in another form."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} is no date or time: {reason}. Write 2026-03-02 or "
            "2026-03-02T09:15."
        )


class FutureMomentError(StabilityError):
    """A time that has not come yet."""

    def __init__(self, typed: str, now: str) -> None:
        super().__init__(
            f"{typed} lies in the future (now it is {now}). State when it was done."
        )


class TimeZoneError(StabilityError):
    """A time zone that is not known."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"There is no time zone {name!r}. Write time_zone as the IANA names it, "
            'such as "Europe/Dublin".'
        )
