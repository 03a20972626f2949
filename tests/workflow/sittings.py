"""A sitting at the bench of the small study, driven line by line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from stability.workflow.occasion import Occasion
from stability.workflow.sitting import Sitting

At = Callable[[str], Occasion]


@dataclass(frozen=True, slots=True)
class Bench:
    """One sitting and the occasion of all its answers."""

    #: The sitting.
    sitting: Sitting
    #: The occasion.
    at: Occasion
    #: Prompts in order, that of the next answer last.
    prompts: list[str] = field(default_factory=list)

    def type(self, *lines: str) -> list[str]:
        """Type lines; return what was told of the last one."""
        told: list[str] = []
        for line in lines:
            told = list(self.sitting.answer(self.at, line))
            self.prompts.append(self.prompt)
        return told

    @property
    def prompt(self) -> str:
        """Return the prompt of the next answer."""
        return self.sitting.prompt(self.sitting.question(self.at))

    @property
    def asked(self) -> list[str]:
        """Return what stands above the next answer."""
        asked = self.sitting.question(self.at)
        return list(self.sitting.asked_lines(self.at, asked))


def sit_down(at: Occasion, study: str = "HDC", on: str | None = None) -> Bench:
    """Begin a sitting."""
    return Bench(Sitting(at, study, on), at)
