"""Rules for the samples of a study: what, where, how many, for which check."""

from __future__ import annotations

from typing import Final

from stability.model.age import T0
from stability.model.grams import needed_of_batch
from stability.model.protocol import Protocol
from stability.model.sample import (
    OPENED_AGAIN,
    PLACED,
)
from stability.model.study import SampleRow, Study
from stability.records.faults import Faults
from stability.records.protocol_rules import check_known
from stability.records.record_reader import where
from stability.records.toml_lines import Path

#: More samples than this in one row are a slip of the keyboard.
MOST_IN_A_ROW: Final = 999


def check_samples(study: Study, protocol: Protocol, faults: Faults) -> None:
    """Check every row, and what the rows amount to."""
    faults.check(bool(study.samples), ("samples",), "the study has no [[samples]]")
    for place, row in enumerate(study.samples):
        path: Path = ("samples", place)
        _check_names(row, study, protocol, path, faults)
        _check_counts(row, path, faults)
        _check_use(row, path, faults)
        _check_opened(row, protocol, path, faults)
        _check_checks(row, protocol, path, faults)
        _check_twins(row, protocol, path, faults)
        _check_weights(row, study, protocol, faults)
    _check_conditions(study, protocol, faults)
    _check_batches(study, faults)


def _check_names(
    row: SampleRow, study: Study, protocol: Protocol, path: Path, faults: Faults
) -> None:
    faults.check(bool(row.batch), (*path, "batch"), f"{where(path)} has no batch")
    for batch in row.batch:
        check_known(batch, study.batches, (*path, "batch"), "batch", faults)
        text = f"batch {batch} stands twice in {where(path)}"
        here = (*path, "batch")
        faults.check(row.batch.count(batch) == 1, here, text, "", here)
    check_known(row.pack, study.packs, (*path, "pack"), "pack", faults)
    here = (*path, "condition")
    check_known(row.condition, protocol.conditions, here, "condition", faults)
    left_out = study.omit.get(row.condition or "")
    text = f"{row.condition} is left out of this study: {left_out}"
    faults.check(left_out is None, here, text, "take it out of [omit], or this row")


def _check_counts(row: SampleRow, path: Path, faults: Faults) -> None:
    text = f"{where(path)} counts {row.count} samples"
    hint = f"write 1 to {MOST_IN_A_ROW}"
    holds = 1 <= row.count <= MOST_IN_A_ROW
    faults.check(holds, (*path, "count"), text, hint)
    holds = 0 <= row.untreated_twins <= MOST_IN_A_ROW
    text = f"{where(path)} counts {row.untreated_twins} untreated twins"
    faults.check(holds, (*path, "untreated_twins"), text)
    holds = row.grams is None or row.grams > 0
    faults.check(holds, (*path, "grams"), f"a sample of {row.grams} g is none")


def _check_use(row: SampleRow, path: Path, faults: Faults) -> None:
    """Check that a row says what its use needs, and nothing else."""
    use, kind = (*path, "use"), (*path, "kind")
    placed = row.use in PLACED
    text = f"a {row.kind} cannot be “{row.use}”"
    faults.check(not placed or row.kind == "container", use, text, "", kind)
    holds = row.kind != "container" or row.pack is not None
    text = f"{where(path)} has containers and no pack"
    faults.check(holds, (*path, "pack"), text, 'add pack = "…"', kind)
    holds = row.kind == "container" or row.pack is None
    text = f"a {row.kind} has no pack"
    faults.check(holds, (*path, "pack"), text, "take the pack out", kind)
    holds = not placed or row.condition is not None
    text = f"{where(path)} is “{row.use}” and has no condition"
    faults.check(holds, (*path, "condition"), text, 'add condition = "…"', use)
    holds = placed or row.condition is None
    text = f"samples that are “{row.use}” do not enter a condition"
    faults.check(holds, (*path, "condition"), text, "take the condition out", use)
    holds = row.keep_for is None or row.use == "retained"
    text = "“keep_for” is for retained samples"
    faults.check(holds, (*path, "keep_for"), text, "", use)
    holds = (row.open_at is not None) == (row.use == "untouched")
    text = "“open_at” belongs to untouched samples, which need it"
    hint = 'untouched: add open_at = "12M"; others: take it out'
    faults.check(holds, (*path, "open_at"), text, hint, use)


def _check_opened(
    row: SampleRow, protocol: Protocol, path: Path, faults: Faults
) -> None:
    """Check that only samples in use stand where age counts from the opening."""
    condition = protocol.conditions.get(row.condition or "")
    opened = condition is not None and condition.age_from == "first opening"
    faults.check(
        not opened or row.use == "in use",
        (*path, "use"),
        f"age in {row.condition} counts from the first opening, but samples that are "
        f"“{row.use}” have none",
        'write use = "in use"; placing such a sample is its first opening',
        (*path, "condition"),
    )


def _check_checks(
    row: SampleRow, protocol: Protocol, path: Path, faults: Faults
) -> None:
    condition = protocol.conditions.get(row.condition or "")
    holds = not row.checks or row.kind == "tube" or row.use in PLACED
    text = f"samples that are “{row.use}” have no checks of their own"
    faults.check(holds, (*path, "checks"), text, "", (*path, "use"), (*path, "kind"))
    if row.kind == "tube":
        known: tuple[str, ...] = (T0, *protocol.all_checks())
    elif condition is not None:
        known = (T0, *condition.all_checks)
    else:
        return
    what = f"check of {row.condition}" if condition is not None else "check"
    for place, check in enumerate(row.checks):
        check_known(check, known, (*path, "checks", place), what, faults)
        text = f"check {check} stands twice"
        faults.check(row.checks.count(check) == 1, (*path, "checks", place), text)
    check_known(row.open_at, known[1:], (*path, "open_at"), what, faults)
    holds = not row.checks or row.use != "untouched"
    text = "an untouched sample has no checks but the one at which it is opened"
    faults.check(holds, (*path, "checks"), text, "", (*path, "use"))


def _check_twins(
    row: SampleRow, protocol: Protocol, path: Path, faults: Faults
) -> None:
    condition = protocol.conditions.get(row.condition or "")
    has_place = condition is not None and condition.untreated_twin is not None
    text = f"the protocol names no untreated twin for {row.condition}"
    hint = "take untreated_twins out, or let the protocol say where they are kept"
    holds = not row.untreated_twins or has_place
    faults.check(holds, (*path, "untreated_twins"), text, hint, (*path, "condition"))


def _check_weights(
    row: SampleRow, study: Study, protocol: Protocol, faults: Faults
) -> None:
    """Check that the net weight of what is weighed is known."""
    pack = study.packs.get(row.pack or "")
    if pack is None or row.use not in PLACED:
        return
    condition = protocol.conditions.get(row.condition or "")
    places = {row.condition}
    if condition is not None and row.untreated_twins:
        places.add(condition.untreated_twin)
    weighed = [
        attribute.name
        for attribute in protocol.attributes.values()
        if attribute.from_weights
        and attribute.name not in study.omit
        and (not attribute.conditions or places & set(attribute.conditions))
    ]
    known = pack.fill_g is not None or pack.tare_g is not None
    here = ("packs", pack.name)
    faults.check(
        known or not weighed,
        (*here, "tare_g"),
        f"pack {pack.name} has neither fill nor tare, so its net weight is not known "
        f"and {' and '.join(weighed)} cannot be worked out",
        "add tare_g or fill_g, or say under [omit] why it is left out",
        (*here, "fill_g"),
    )


def _check_conditions(study: Study, protocol: Protocol, faults: Faults) -> None:
    used = {row.condition for row in study.samples}
    rests_on = [("samples", place, "condition") for place in range(len(study.samples))]
    for name in protocol.conditions:
        holds = name in used or name in study.omit
        text = f"no sample stands in {name}"
        hint = "add [[samples]] for it, or say under [omit] why it is left out"
        faults.check(holds, ("samples",), text, hint, ("omit", name), *rests_on)


def _check_batches(study: Study, faults: Faults) -> None:
    """Check that every batch has samples, and one of them for T0."""
    rests_on = [
        ("samples", place, key)
        for place in range(len(study.samples))
        for key in ("batch", "kind", "use", "checks")
    ]
    for batch in study.batches.values():
        rows = [row for row in study.samples if batch.name in row.batch]
        here = ("batches", batch.name)
        text = f"batch {batch.name} has no samples"
        hint = "add [[samples]] for it, or take it out"
        faults.check(bool(rows), (*here, "name"), text, hint, *rests_on)
        faults.check(
            not rows or any(_gives_t0(row) for row in rows),
            (*here, "name"),
            f"batch {batch.name} has no sample for T0",
            'add one with kind = "bulk" or use = "T0", or a reopened one',
            *rests_on,
        )


def check_grams(study: Study, protocol: Protocol, faults: Faults) -> None:
    """Check that no batch gives more than was made of it."""
    for batch in study.batches.values():
        needed = needed_of_batch(study, protocol, batch.name)
        here = ("batches", batch.name, "grams")
        text = f"batch {batch.name} has {batch.grams} g, its samples need {needed} g"
        holds = batch.grams is None or needed <= batch.grams
        hint = "plan fewer or smaller samples, or another batch: “stability plan” with "
        hint += "this file tells the ways out"
        faults.check(holds, here, text, hint, ("packs",), ("samples",))


def _gives_t0(row: SampleRow) -> bool:
    """Say whether initial values are read on a row's samples, or can be."""
    at_t0 = row.use == "T0" or T0 in row.checks
    return row.kind != "tube" and (at_t0 or row.use in OPENED_AGAIN)
