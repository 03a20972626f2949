"""Plans of a study that is still to come."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class PlanOptionsError(StabilityError):
    """What was typed with `plan` cannot be planned; all of it is told at once."""

    def __init__(self, reasons: Sequence[str]) -> None:
        self.reasons = tuple(reasons)
        told = "\n  ".join(reasons)
        super().__init__(f"The plan cannot be made; mend this first:\n  {told}.")


class PlanOptionsForFileError(StabilityError):
    """Options that a study file states itself."""

    def __init__(self, file: object, options: Sequence[str]) -> None:
        super().__init__(
            f"{file} is a study file and says what {', '.join(options)} would say. "
            "Change it there, or plan from a protocol instead."
        )


class StudyFileTakenError(StabilityError):
    """A study file may not replace one that is there."""

    def __init__(self, file: object) -> None:
        super().__init__(
            f"There is already a file {file}. Name another with --write, or add "
            "--overwrite to replace it."
        )


class StudyFileNotWrittenError(StabilityError):
    """The system refuses to write a study file."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(
            f"{file} cannot be written: {reason}. Name another file with --write, or "
            "look at the rights and the space of its folder."
        )
