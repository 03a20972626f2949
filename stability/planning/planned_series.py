"""Which series a plan will give: attribute × long-term condition × pack × batch.

They are those of the evaluation: a reopened container is a series of its own, fresh
and untouched containers of a batch are one, and the readings at T0 enter all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from stability.model.age import DAYS_PER_MONTH, T0, check_order, cycle_of, parse_age
from stability.model.attribute import Attribute
from stability.model.condition import Role
from stability.model.protocol import Protocol
from stability.model.sample import assign_samples
from stability.model.schedule import expected
from stability.model.study import Sample, Study, Use

#: Stands in for the code of a study that has none yet; no code is printed here.
_NO_CODE = "PPP"
#: Uses that are read check by check in one container.
_REOPENED: tuple[Use, ...] = ("reopened", "in use")


@dataclass(frozen=True, slots=True)
class PlannedSeries:
    """One series of one attribute, as the plan will give it."""

    #: Batch.
    batch: str
    #: True for a reopened container, which is a series of its own.
    reopened: bool
    #: True where the batch has readings at T0 that enter it.
    has_t0: bool
    #: Check -> containers read, T0 not among them, in order.
    containers: Mapping[str, int]
    #: First check of each container, in no order.
    first_read: tuple[str, ...]

    def up_to(self, check: str) -> tuple[str, ...]:
        """Return the checks of this series up to and at a check."""
        last = check_order(check)
        return tuple(one for one in self.containers if check_order(one) <= last)

    def containers_by(self, check: str) -> int:
        """Return the containers read by a check [-]."""
        last = check_order(check)
        return sum(check_order(one) <= last for one in self.first_read)

    def ages(self, check: str) -> tuple[float, ...]:
        """Return the ages of its points up to a check, T0 first [months]."""
        start = (0.0,) if self.has_t0 else ()
        return (*start, *(age_of(one) for one in self.up_to(check)))


@dataclass(frozen=True, slots=True)
class Planned:
    """All series of one attribute in one long-term condition and pack."""

    #: The attribute.
    attribute: Attribute
    #: Long-term condition.
    condition: str
    #: Pack.
    pack: str
    #: Every check planned in that condition and pack, of any attribute, in order.
    checks: tuple[str, ...]
    #: One for each batch, or reopened container of it.
    series: tuple[PlannedSeries, ...]

    @property
    def batches(self) -> tuple[str, ...]:
        """Return the batches in order of the file."""
        return tuple(dict.fromkeys(one.batch for one in self.series))


def age_of(check: str) -> float:
    """Return the age of a check as fits count it [months].

    Raises
    ------
    ValueError
        If the check is no age.
    """
    age = parse_age(check)
    if age is None:
        message = f"{check} is no age"
        raise ValueError(message)
    return age.nominal_days / DAYS_PER_MONTH


def planned_samples(study: Study, protocol: Protocol) -> tuple[Sample, ...]:
    """Return the samples of a study that may still be without a code."""
    return assign_samples(replace(study, code=study.code or _NO_CODE), protocol)


def role_planned(protocol: Protocol, sample: Sample) -> Role | None:
    """Return what a sample speaks for; as the evaluation has it.

    Untreated twins are for comparison, a container in use says nothing of the unopened
    product.
    """
    if sample.condition is None or sample.kind != "container":
        return None
    role = protocol.conditions[sample.condition].role
    if sample.twin_of is not None:
        return "control"
    return "stress" if sample.use == "in use" and role == "long-term" else role


def planned_series(
    study: Study, protocol: Protocol, samples: Iterable[Sample]
) -> tuple[Planned, ...]:
    """Return every attribute that bears the request, with its long-term series.

    Parameters
    ----------
    study
        The study, read and checked.
    protocol
        Its protocol.
    samples
        Its samples.
    """
    samples = tuple(samples)
    found: list[Planned] = []
    for (condition, pack), here in _places(protocol, samples).items():
        checks = _in_order(check for one in here for check in one.checks)
        for attribute in protocol.attributes.values():
            if attribute.bears_request and attribute.limit_in(condition).judges:
                series = tuple(_series(study, protocol, attribute, here, samples))
                if series:
                    found.append(Planned(attribute, condition, pack, checks, series))
    return tuple(found)


def _places(
    protocol: Protocol, samples: Iterable[Sample]
) -> dict[tuple[str, str], list[Sample]]:
    found: dict[tuple[str, str], list[Sample]] = {}
    for one in samples:
        if role_planned(protocol, one) == "long-term":
            place = one.condition or "", one.pack or ""
            found.setdefault(place, []).append(one)
    return found


def _in_order(checks: Iterable[str]) -> tuple[str, ...]:
    named = {one for one in checks if one != T0 and cycle_of(one) is None}
    return tuple(sorted(named, key=check_order))


def _series(
    study: Study,
    protocol: Protocol,
    attribute: Attribute,
    here: Iterable[Sample],
    samples: Iterable[Sample],
) -> Iterator[PlannedSeries]:
    """Yield the series of one attribute in one place."""
    read_at_t0 = {
        one.batch
        for one in samples
        if T0 in one.checks and _reads(study, protocol, attribute, one, T0)
    }
    by_line: dict[tuple[str, str], dict[str, int]] = {}
    first: dict[tuple[str, str], list[str]] = {}
    for place, sample in enumerate(here):
        alone = sample.use in _REOPENED and attribute.kind == "measured"
        line = sample.batch, str(place) if alone else ""
        read = [
            check
            for check in _in_order(sample.checks)
            if _reads(study, protocol, attribute, sample, check)
        ]
        counts = by_line.setdefault(line, {})
        for check in read:
            counts[check] = counts.get(check, 0) + 1
        first.setdefault(line, []).extend(read[:1])
    for (batch, alone_as), counts in by_line.items():
        if counts:
            yield PlannedSeries(
                batch=batch,
                reopened=bool(alone_as),
                has_t0=attribute.from_weights or batch in read_at_t0,
                containers={check: counts[check] for check in _in_order(counts)},
                first_read=tuple(first[batch, alone_as]),
            )


def _reads(
    study: Study, protocol: Protocol, attribute: Attribute, sample: Sample, check: str
) -> bool:
    return any(
        name == attribute.name for name, _ in expected(study, protocol, sample, check)
    )
