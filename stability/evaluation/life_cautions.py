"""What a shelf life does not speak of: batches and packs unread, a T0 read too late."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from stability.evaluation.evidence import Evidence, bears
from stability.evaluation.index import Index
from stability.evaluation.phrases import listed
from stability.model.age import T0
from stability.model.estimate import Caution
from stability.model.names import in_words

#: Codes of what a shelf life does not speak of; the first page tells them too.
SILENT: Final = frozenset({"no-long-term-sample", "late-initial"})


def silent_cautions(index: Index, evidence: Sequence[Evidence]) -> tuple[Caution, ...]:
    """Return what a reader of the shelf life would take for granted.

    Parameters
    ----------
    index
        The record, looked up once.
    evidence
        What real time says, for each long-term condition and pack.
    """
    return (*_not_stored(index, evidence), *_late_initials(index))


def _not_stored(index: Index, evidence: Sequence[Evidence]) -> Iterator[Caution]:
    """Yield the batches and packs, but for inert glass, without such a sample."""
    study = index.record.study
    batches = {batch for one in evidence for batch in one.batches}
    packs = {one.pack for one in evidence}
    sold = [name for name, pack in study.packs.items() if not pack.inert]
    for name, named, stored in (
        ("batch", list(study.batches), batches),
        ("pack", sold, packs),
    ):
        missing = [one for one in named if one not in stored]
        if missing:
            yield Caution(
                "no-long-term-sample",
                f"No sample of {name} {listed(missing)} stands in long-term storage: "
                "the shelf life says nothing of it.",
            )


def _late_initials(index: Index) -> Iterator[Caution]:
    """Yield the initial values that were read when the first check was due already."""
    first = _first_checks(index)
    late: dict[tuple[str, str], date] = {}
    for (name, _, _), readings in index.initials.items():
        if not index.attribute(name).bears_request:
            continue
        for one in readings:
            batch, day = one.sample.batch, one.observation.done.day
            if day >= first.get(batch, date.max):
                late[name, batch] = day
    alike: dict[tuple[str, date], list[str]] = {}
    for (name, batch), read in sorted(late.items()):
        alike.setdefault((batch, read), []).append(in_words(name))
    for (batch, read), names in alike.items():
        yield Caution(
            "late-initial",
            f"The initial {listed(names)} of batch {batch} "
            f"{'was' if len(names) == 1 else 'were'} read on {read}, when its first "
            "long-term check was due already: what had changed by then is not seen.",
        )


def _first_checks(index: Index) -> dict[str, date]:
    """First day on which a long-term check of it may be made."""
    first: dict[str, date] = {}
    for code, plans in index.plans.items():
        sample = index.record.samples[code]
        if not bears(index, sample):
            continue
        for one in plans:
            if one.check != T0:
                known = first.get(sample.batch, one.opens)
                first[sample.batch] = min(known, one.opens)
    return first
