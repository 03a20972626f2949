"""The one sample that batch, pack, condition and check name together."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.samples import ReadingsError
from stability.model.schedule import planned_checks
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.guards import resolve_sample
from stability.records.names import find_name


class SampleChoice:
    """Finds the one sample that batch, pack, condition and check name together."""

    def __init__(self, record: StudyRecord) -> None:
        self.record = record
        self._found: dict[tuple[str | None, ...], str] = {}
        self._agreed: set[tuple[str | None, ...]] = set()

    def choose(
        self,
        batch: str | None,
        pack: str | None,
        condition: str | None,
        check: str | None,
        done: str | None,
    ) -> str:
        """Return the code of the sample.

        Raises
        ------
        StabilityError
            If none or more than one is named so.
        """
        key = (batch, pack, condition, check, done)
        if key not in self._found:
            self._found[key] = self._choose(*key)
        return self._found[key]

    def check_named(
        self, typed: str, batch: str | None, pack: str | None, condition: str | None
    ) -> None:
        """Refuse a code whose sample is of another batch, pack or condition.

        Raises
        ------
        StabilityError
            If it is, or there is no such sample.
        """
        key = (typed, batch, pack, condition)
        if key in self._agreed or not (batch or pack or condition):
            return
        sample = resolve_sample(self.record, typed)
        for fact, name in self._named(batch, pack, condition).items():
            own = getattr(sample, fact)
            if name and own != name:
                fault = f"{sample.code} is of {fact} {own or 'none'}, not of {name}"
                raise ReadingsError([f"{fault}; mend its code or its {fact}"])
        self._agreed.add(key)

    def _named(
        self, batch: str | None, pack: str | None, condition: str | None
    ) -> dict[str, str | None]:
        study, protocol = self.record.study, self.record.protocol
        return {
            "batch": batch and find_name(batch, study.batches, "batch"),
            "pack": pack and find_name(pack, study.packs, "pack"),
            "condition": condition
            and find_name(condition, protocol.conditions, "condition"),
        }

    def _choose(
        self,
        batch: str | None,
        pack: str | None,
        condition: str | None,
        check: str | None,
        done: str | None,
    ) -> str:
        wanted = self._named(batch, pack, condition)
        named = [
            one
            for one in self.record.samples.values()
            if one.use != "retained"
            and (one.use != "spare" or self.record.first_placing(one.code))
            and all(
                getattr(one, fact) == name
                for fact, name in wanted.items()
                if name or fact == "condition"
            )
        ]
        meant = self._at(named, check, done) if len(named) > 1 else named
        if len(meant) == 1:
            return meant[0].code
        what = ", ".join(f"{fact} {name}" for fact, name in wanted.items() if name)
        raise ReadingsError([_not_one(what or "nothing", meant or named)])

    def _at(
        self, named: Sequence[Sample], check: str | None, done: str | None
    ) -> list[Sample]:
        """Return those among samples that are read at a check or on a day."""
        if check:
            wanted = check.strip().casefold()
            return [
                one
                for one in named
                if any(name.casefold() == wanted for name in one.checks)
            ]
        day = (done or "")[:10]
        return [
            one
            for one in named
            if any(
                planned.opens.isoformat() <= day <= planned.closes.isoformat()
                for planned in planned_checks(self.record, one)
                if planned.check in one.checks
            )
        ]


def _not_one(what: str, samples: Sequence[Sample]) -> str:
    if not samples:
        return f"there is no sample of {what}; add a column sample with its code"
    codes = ", ".join(one.code for one in samples[:4])
    more = " …" if len(samples) > 4 else ""
    return f"{what} may be {codes}{more}; say which in a column sample"
