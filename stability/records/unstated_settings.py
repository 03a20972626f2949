"""Settings of a method that nobody stated, so that later readings cannot be compared.

A setting that the protocol leaves to the maker, to be kept from T0 on, is known only
from an observation that states it. Where none does, a viscosity read with another
spindle would pass for a drift.
"""

from __future__ import annotations

from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.typed import Typed


def unstated_settings(
    record: StudyRecord, sample: Sample, typed: Typed, position: int
) -> tuple[str, ...]:
    """Return what to know of settings that neither this reading nor any before states.

    Parameters
    ----------
    record
        The study as it stood before.
    sample
        The sample that was read.
    typed
        The reading.
    position
        Position that its entry will have.
    """
    attribute = typed.attribute
    if typed.not_measured is not None or typed.part is not None:
        return ()
    left_open = [
        one.name
        for one in attribute.settings.values()
        if one.kind == "fixed" and one.value is None
    ]
    known = set(typed.settings)
    for seen in record.observations if left_open else ():
        alike = seen.attribute == attribute.name and seen.stands
        if alike and record.samples[seen.sample].batch == sample.batch:
            known.update(name for name, value in seen.settings.items() if value)
    missing = [name for name in left_open if name not in known]
    if not missing:
        return ()
    told = (
        f"{attribute.name}: no {', '.join(missing)} stated, so later readings may not "
        f"be comparable; add with: stability correct {record.study.code}/{position} "
        f"READING --set '{attribute.name}.{missing[0]}=…' --because REASON"
    )
    return (told,)
