"""The verb that holds conditions, batches, packs and versions beside each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from stability.errors.studies import (
    BatchOfVersionsError,
    ComparedWithItselfError,
    SecondStudyNeededError,
    VersionsOnlyError,
)
from stability.workflow.evaluate import evaluate
from stability.workflow.occasion import Occasion

if TYPE_CHECKING:
    from stability.evaluation.contrast_findings import (
        Beside,  # noqa: TC004
        Between,
        Contrasts,
        DriftContrast,  # noqa: TC004
        WordContrast,  # noqa: TC004
    )
    from stability.evaluation.findings import Evaluation
    from stability.model.attribute import Attribute

    One = TypeVar("One", DriftContrast, WordContrast)

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = ["Beside", "DriftContrast", "WordContrast"]


@dataclass(frozen=True, slots=True)
class Compared:
    """What was compared, narrowed to what was asked for."""

    #: The evaluations: one, or two whose versions are compared.
    evaluations: tuple[Evaluation, ...]
    #: What was asked for; the count of chance is that of all that was compared.
    contrasts: Contrasts

    @property
    def differs(self) -> bool:
        """Say whether an interval excludes 0."""
        return any(one.excludes_no_difference for one in self.contrasts.drifts)


@dataclass(frozen=True, slots=True)
class Asked:
    """What to narrow a comparison to; None does not."""

    #: Attribute as typed.
    attribute: str | None = None
    #: Condition as typed.
    condition: str | None = None
    #: Batch as typed.
    batch: str | None = None
    #: Conditions, batches, packs or versions.
    between: Between | None = None


def compare(
    at: Occasion,
    study: str,
    other: str | None = None,
    asked: Asked | None = None,
    *,
    as_of: str | None = None,
) -> Compared:
    """Compare within one study, or two studies version against version.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    other
        A second study; None compares conditions, batches and packs of the first.
    asked
        What to narrow it to; None does not.
    as_of
        Day as typed; None: today in the study's zone.

    Raises
    ------
    StabilityError
        If a study, name or day is not known, or the choice fits no comparison.
    """
    asked = asked or Asked()
    _check_choice(study, other, asked)
    first = evaluate(at, study, as_of=as_of)
    if other is None:
        return Compared((first,), _narrowed(first.contrasts, asked, (first,)))
    second = evaluate(at, other, as_of=as_of)
    both = (first, second)
    codes = [one.identity.study.code for one in both]
    if codes[0] == codes[1]:
        raise ComparedWithItselfError(codes[0])
    return Compared(both, _narrowed(_versions(first, second), asked, both))


def _check_choice(study: str, other: str | None, asked: Asked) -> None:
    if other is None and asked.between == "versions":
        raise SecondStudyNeededError(study)
    if other is not None and asked.between not in {None, "versions"}:
        raise VersionsOnlyError(str(asked.between))
    if other is not None and asked.batch is not None:
        raise BatchOfVersionsError(asked.batch)


def _versions(first: Evaluation, second: Evaluation) -> Contrasts:
    from stability.evaluation.contrast_pairs import study_series
    from stability.evaluation.version_contrasts import version_contrasts

    series = [
        study_series(
            one.identity.protocol,
            one.identity.study,
            one.judged,
            one.measured,
            one.worded,
        )
        for one in (first, second)
    ]
    return version_contrasts(*series)


def _narrowed(
    found: Contrasts, asked: Asked, evaluations: Iterable[Evaluation]
) -> Contrasts:
    """Return what was asked for; chance is counted over all that was compared."""
    attributes = {
        name: attribute
        for one in evaluations
        for name, attribute in one.identity.protocol.attributes.items()
    }
    named = _names(asked, attributes, evaluations)
    return replace(
        found,
        drifts=_kept(found.drifts, named),
        words=_kept(found.words, named),
        left_out=tuple(
            (name, why)
            for name, why in found.left_out
            if named.attribute in {None, name} or name not in attributes
        ),
    )


def _names(
    asked: Asked, attributes: Mapping[str, Attribute], evaluations: Iterable[Evaluation]
) -> Asked:
    """Return what was asked for by the names that were meant."""
    from stability.records.intake import find_attribute
    from stability.records.names import find_name

    identities = [one.identity for one in evaluations]
    attribute, condition, batch = asked.attribute, asked.condition, asked.batch
    if attribute is not None:
        attribute = find_attribute(attribute, attributes)[0].name
    if condition is not None:
        known = [name for one in identities for name in one.protocol.conditions]
        condition = find_name(condition, known, "condition")
    if batch is not None:
        known = [name for one in identities for name in one.study.batches]
        batch = find_name(batch, known, "batch")
    return Asked(attribute, condition, batch, asked.between)


def _kept(found: Iterable[One], asked: Asked) -> tuple[One, ...]:
    return tuple(one for one in found if _fits(one.sides, asked))


def _fits(sides: Beside, asked: Asked) -> bool:
    first, second = sides.first, sides.second
    return (
        asked.between in {None, sides.between}
        and asked.attribute in {None, sides.attribute}
        and asked.condition in {None, first.condition, second.condition}
        and (asked.batch is None or asked.batch in {*first.batches, *second.batches})
    )
