"""Verbs of a plan on record: print it, lodge it with a witness, amend it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors import StabilityError
from stability.errors.reports import ReportExistsError
from stability.errors.studies import AmendmentChangesPastError
from stability.model import content
from stability.workflow.occasion import Occasion
from stability.workflow.sources import load
from stability.workflow.writing import Act, of_study, write
from stability.workflow.written import Written

if TYPE_CHECKING:
    from stability.model.content import Content
    from stability.records.continuation import Continuation
    from stability.workflow.bench import Started


def plan_record(
    at: Occasion,
    study: str,
    target: Path,
    *,
    font: Path | None = None,
    overwrite: bool = False,
) -> str:
    """Write the plan record of a study as it stands; return its fingerprint.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    target
        The PDF file.
    font
        A TrueType font for scripts that the usual one does not have.
    overwrite
        Whether a file that stands there is replaced.

    Raises
    ------
    StabilityError
        If the study cannot be read or the file not written.
    """
    from stability.report.plan_record import write_plan_record

    if target.exists() and not overwrite:
        raise ReportExistsError(target)
    record = load(at, study).record
    write_plan_record(record, target, font=font)
    return (record.amendments or (record.opening,))[-1].fingerprint


def record_started(at: Occasion, started: Started, target: Path | None) -> str:
    """Write the plan record of a study just opened; return what to tell.

    The study stands whatever becomes of the file.
    """
    file = target or Path(f"{started.study}_plan.pdf")
    lodging = f"stability lodge {started.study} --with WHOM"
    try:
        plan_record(at, started.study, file)
    except StabilityError as error:
        again = f"stability report {started.study} --kind plan --out FILE"
        return f"plan record not written: {error} The study is open; write it: {again}"
    if started.is_taken_over:
        return (
            f"{file}: plan record; readings were made before it, so whoever receives "
            f"it can witness what follows only: {lodging}"
        )
    return (
        f"{file}: plan record; hand it to somebody outside before the first reading, "
        f"then: {lodging}"
    )


def after_start(started: Started) -> str:
    """Return what follows the opening of a study, in one sentence."""
    study = started.study
    return (
        f"next: stability labels {study} --out labels.pdf; read and log T0 "
        f"{started.t0_read} after making; then stability place --study {study} --to "
        "CONDITION"
    )


def lodge(
    at: Occasion,
    study: str,
    receiver: str,
    *,
    note: str | None = None,
    done: str | None = None,
) -> tuple[Written, ...]:
    """Record who received the plan record of a study.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code.
    receiver
        Who received it.
    note
        What else is to be said, such as how it was handed over.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If the study is not known or the name cannot be taken; nothing was written.
    """
    from stability.records.guards import checked_moment
    from stability.records.plan_acts import lodged

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        held = lodged(book.plan, receiver, note, when)
        text = f"plan record lodged with {held['receiver']}"
        yield Act(content.LODGED, held, when, text, _late(book))

    return write(at, of_study(study), acts)


def amend(
    at: Occasion,
    study: str,
    *,
    because: str | None,
    study_file: Path | None = None,
    protocol_file: Path | None = None,
    knowing: bool = False,
) -> tuple[Written, ...]:
    """Change the plan of a running study from now on, with the reason.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code.
    because
        Why.
    study_file, protocol_file
        The changed files; None for one that stays.
    knowing
        Whether it is amended although earlier readings would be judged otherwise.

    Raises
    ------
    StabilityError
        If nothing changes, something changes that may not, or earlier readings would
        be judged otherwise and nobody said yes; nothing was written.
    """
    from stability.records import amending
    from stability.records.guards import checked_moment

    def acts(book: Continuation) -> Iterator[Act]:
        held = amending.amend(
            book.record,
            because,
            study_file=study_file,
            protocol_file=protocol_file,
            texts=book.texts,
        )
        if not knowing:
            _refuse_silent(at, book, held)
        when = checked_moment(None, book.plan.zone, at.now)
        remarks = tuple(_after_amendment(book.plan.study.code, held))
        yield Act(content.AMENDED, held, when, f"amended: {_told(held)}", remarks)

    return write(at, of_study(study), acts)


def _late(book: Continuation) -> tuple[str, ...]:
    """Say where a lodging comes too late to witness the limits."""
    late = (
        "Something was read before: this lodging cannot witness that the limits "
        "stood before the first reading."
    )
    return (late,) if book.plan.observations else ()


def _told(held: Content) -> str:
    return "; ".join(held["changes"])


def _after_amendment(code: str, held: Content) -> Iterator[str]:
    """Yield what follows an amendment: labels of new samples, and its witness."""
    new = " ".join(f"--sample {one['code']}" for one in held["samples"])
    if new:
        yield f"label what is new: stability labels {code} {new} --out FILE"
    yield (
        f"hand over the plan as amended: stability report {code} --kind plan --out "
        f"FILE, then stability lodge {code} --with WHOM"
    )


def _refuse_silent(at: Occasion, book: Continuation, held: Content) -> None:
    """Refuse to change limits while readings would be judged otherwise by them."""
    if held["protocol_text"] is None or not book.record.observations:
        return
    from stability.evaluation.amended import judged_otherwise
    from stability.evaluation.evaluate import evaluate
    from stability.records.protocol_file import read_protocol

    record = book.record
    name = record.protocol.name
    protocol = read_protocol(held["protocol_text"], name, "protocol.toml")
    today = at.now.astimezone(record.zone).date()
    found = judged_otherwise(record, protocol, today, evaluate)
    if found:
        told = [
            f"{one.sample} {one.check or 'extra'} {one.attribute} {one.value_text}: "
            f"{one.mark} by {one.limit_text}, {one.mark_otherwise} by "
            f"{one.limit_otherwise}"
            for one in found
        ]
        raise AmendmentChangesPastError(record.study.code, told)
