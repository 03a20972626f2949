"""What the evaluation says of drifts and words held beside each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stability.model.contrast import ChanceCount, Contrast, Method
from stability.model.estimate import Caution, NoFit, Scale

#: What is held beside what.
Between = Literal["conditions", "batches", "packs", "versions"]


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two that stand beside each other."""

    #: As printed: "T40", "batch A", "JAR", "QDC 1.0".
    name: str
    #: Study code; "" where both are of one study.
    study: str
    #: Condition.
    condition: str
    #: Pack; "" for bulk.
    pack: str
    #: Batches; one but for versions.
    batches: tuple[str, ...]
    #: Containers that are series of their own: reopened ones, twins; () for fresh ones.
    samples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Beside:
    """Two sides of one attribute and what they are."""

    #: What is held beside what.
    between: Between
    #: Why these two: "cold control", "dark twin", "untreated twin", "long-term
    #: storage", "inert pack"; "" where it goes without saying.
    basis: str
    #: Attribute.
    attribute: str
    #: The first; a difference is the first less the second.
    first: Side
    #: The second.
    second: Side

    @property
    def place(self) -> str:
        """What both sides share, as printed: `T40 JAR`."""
        first, second = self.first, self.second
        shared = [
            first.condition if first.condition == second.condition else "",
            first.pack if first.pack == second.pack else "",
            f"batch {first.batches[0]}"
            if first.batches == second.batches and len(first.batches) == 1
            else "",
        ]
        return " ".join(part for part in shared if part)


@dataclass(frozen=True, slots=True)
class DriftContrast:
    """The drifts of two sides beside each other."""

    #: The two sides.
    sides: Beside
    #: Fixed settings, by name.
    settings: tuple[tuple[str, str], ...]
    #: Scale on which drifts are straight.
    scale: Scale
    #: Unit of a difference; "%" on the ln scale, where relative rates differ.
    unit: str
    #: Checks that were read on both sides, T0 left out where both share it.
    checks: tuple[str, ...]
    #: The difference of the drifts, or why there is none.
    result: Contrast | NoFit
    #: What may explain it, both sides beside each other.
    explains: tuple[str, ...]
    #: Cautions, each with its consequence.
    cautions: tuple[Caution, ...]
    #: Difference and interval as printed, with their unit; "" where there is none.
    numbers: str = ""
    #: The result in words, without numbers; why there is none. "" until worded.
    verdict: str = ""
    #: The result in one sentence, with its numbers; "" until worded.
    text: str = ""

    @property
    def excludes_no_difference(self) -> bool:
        """Say whether there is an interval and it leaves out 0."""
        return isinstance(self.result, Contrast) and self.result.excludes_no_difference

    @property
    def contrast(self) -> Contrast | None:
        """The difference with all its numbers, on the scale; None without one."""
        return self.result if isinstance(self.result, Contrast) else None

    @property
    def method(self) -> Method | None:
        """How the difference was found; None where there is none."""
        return self.result.method if isinstance(self.result, Contrast) else None

    @property
    def difference(self) -> float | None:
        """Difference of the drifts [unit a month]; None where there is none."""
        if isinstance(self.result, NoFit):
            return None
        return self.result.difference * _factor(self.scale)

    @property
    def interval(self) -> tuple[float, float] | None:
        """Its two-sided interval [unit a month]; None where there is none."""
        if isinstance(self.result, NoFit):
            return None
        low, high = self.result.interval
        return low * _factor(self.scale), high * _factor(self.scale)


def _factor(scale: Scale) -> float:
    """Return what takes a difference on the scale to its unit."""
    return 100.0 if scale == "ln" else 1.0


@dataclass(frozen=True, slots=True)
class WordContrast:
    """Scores or statements of two sides; never averaged, never tested."""

    #: The two sides.
    sides: Beside
    #: The first in words: worst word, first outside, failed of read.
    first_text: str
    #: The second in words.
    second_text: str
    #: Whether a word moved or lies outside on either side.
    moved: bool
    #: What can be said, in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class Contrasts:
    """All that was held beside each other, with what chance alone would show."""

    #: Drifts of what was measured.
    drifts: tuple[DriftContrast, ...]
    #: Scores and statements.
    words: tuple[WordContrast, ...]
    #: How many intervals would exclude 0 by chance, and did; None without intervals.
    count: ChanceCount | None
    #: What is not compared at all, and why.
    left_out: tuple[tuple[str, str], ...] = ()
    #: Cautions that hold for all of them.
    cautions: tuple[Caution, ...] = ()
