"""Labels and the calendar."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class LabelSheetError(StabilityError):
    """A label sheet of a size that is not known."""

    def __init__(self, typed: str, known: Sequence[str]) -> None:
        super().__init__(
            f"No label sheet of {typed} is known. Known sizes in mm: "
            f"{', '.join(known)}. Name one with --sheet, or give any size to --printer."
        )


class LabelSizeError(StabilityError):
    """A size of labels, a margin or a pitch that cannot be read or used."""

    def __init__(self, option: str, typed: str, reason: str) -> None:
        super().__init__(
            f"{option} {typed!r}: {reason}. Write width x height in mm, such as 50x30."
        )


class LabelStartError(StabilityError):
    """A first label beyond the sheet."""

    def __init__(self, start: int, last: int) -> None:
        super().__init__(
            f"--start-at {start}: there are labels 1 to {last} on a page, counted row "
            "by row. Name the first free one."
        )


class LabelKindError(StabilityError):
    """Options for a sheet of labels together with a label printer."""

    def __init__(self, option: str) -> None:
        super().__init__(
            f"{option} is for sheets, and --printer prints one label a page. Leave one "
            "of them out."
        )


class NoLabelsError(StabilityError):
    """Nothing to print on labels."""

    def __init__(self, study: str, reason: str) -> None:
        super().__init__(f"There is no label of study {study} to print: {reason}.")


class CalendarScopeError(StabilityError):
    """A calendar of no study, or of one and all."""

    def __init__(self) -> None:
        super().__init__("Name one study for the calendar, or give --all; not both.")


class NothingPlannedError(StabilityError):
    """A calendar without any event."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"Nothing is planned any more in {what}, so no calendar was written. "
            "'stability due' lists what waits; 'stability history' what happened."
        )


class ReminderError(StabilityError):
    """A time before an event that is not exact."""

    def __init__(self, typed: str) -> None:
        super().__init__(
            f"--remind {typed!r} is no time before an event. Write hours, days or "
            "weeks, such as 12h, 1d or 1w."
        )
