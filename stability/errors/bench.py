"""Readings entered at the bench."""

from __future__ import annotations

from stability.errors.base import StabilityError


class SampleOfOtherStudyError(StabilityError):
    """A code was scanned that belongs to another study."""

    def __init__(self, code: str, its: str, here: str) -> None:
        super().__init__(
            f"{code} is a sample of study {its}, and this is study {here}: put it "
            f"aside and read it with 'stability enter {its}'."
        )


class NothingDueError(StabilityError):
    """Nothing is due on a sample that was scanned."""

    def __init__(self, code: str, day: str, following: str) -> None:
        ahead = f"; {following}" if following else ""
        super().__init__(
            f"Nothing is due on {code} on {day}{ahead}. Put it back unopened; to read "
            f"it all the same use 'stability log {code} NAME=READING'."
        )


class AnswerError(StabilityError):
    """A line that cannot be an answer to what was asked."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"This is no answer: {reason}.")


class AnswersStoppedError(StabilityError):
    """An answer that comes from a file or program was not taken."""

    def __init__(self, line: int, typed: str, reason: str) -> None:
        whole = reason.rstrip()
        if not whole.endswith((".", "!", "?")):
            whole += "."  # several faults at once end without
        super().__init__(
            f"Line {line} of the answers, {typed!r}, was not taken: {whole} What was "
            "told as stored before it is stored; nothing after it was read. Mend the "
            "line and give the answers from there on, beginning with the sample code."
        )
