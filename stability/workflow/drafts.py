"""The verb that plans: grams, dates, hours and prospects before anything is made."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.planning import PlanOptionsError, PlanOptionsForFileError
from stability.model.grams import needed_of_batch
from stability.model.plan import USUAL_USABLE, StudyPlan
from stability.model.plan_options import PlanKnowledge, PlanOptions, PlanWishes
from stability.model.prospects import PlanProspects
from stability.workflow.occasion import Occasion

if TYPE_CHECKING:
    from stability.model.protocol import Protocol
    from stability.model.study import Study

__all__ = ["Draft", "PlanKnowledge", "PlanOptions", "PlanWishes", "plan"]


@dataclass(frozen=True, slots=True)
class Draft:
    """A plan with what it can prove, and its rows as a study file holds them."""

    #: Grams, samples, dates, hours.
    plan: StudyPlan
    #: What can be said at each check, and what would buy months.
    prospects: PlanProspects
    #: Rows of samples, ready to paste.
    rows: str
    #: The study file that was written; None where none was.
    written: Path | None
    #: Remarks on what was taken for granted.
    remarks: tuple[str, ...]
    #: What to do next, in a sentence.
    next_step: str


@dataclass(frozen=True, slots=True)
class _Source:
    """What is to be planned, and the text that it came from."""

    #: The study; its rows may be missing.
    study: Study
    #: Its protocol.
    protocol: Protocol
    #: The protocol's file; None for a ready-made one.
    protocol_file: Path | None
    #: Text of the study file; None where the study was typed as options.
    text: str | None
    #: Remarks on what was taken for granted.
    remarks: tuple[str, ...] = ()


def plan(
    at: Occasion,
    what: str,
    options: PlanOptions | None = None,
    wishes: PlanWishes | None = None,
    knowledge: PlanKnowledge | None = None,
) -> Draft:
    """Return the plan of a study, and write its file where that is wished.

    Parameters
    ----------
    at
        The occasion.
    what
        A protocol's name or file, with options; or a study file, without.
    options
        Batches, packs and request as typed; None for none.
    wishes
        How it is shared out, and the file to be written; None for nothing.
    knowledge
        What the maker knows of scatter, start and batches; None for nothing.

    Raises
    ------
    StabilityError
        If a file has faults or an option cannot be; nothing was written.
    """
    from stability.planning.plan import plan_study
    from stability.planning.portions import Wishes
    from stability.planning.prospects import prospects_of
    from stability.records.plan_knowledge import assumptions_of
    from stability.records.plan_options import sent_out_grams, usable_share
    from stability.records.study_writer import rows_text

    wished = wishes or PlanWishes()
    source = _source(at, what, options or PlanOptions())
    assumed = assumptions_of(knowledge or PlanKnowledge(), source.protocol)
    usable = usable_share(wished, USUAL_USABLE)
    shared = Wishes(sent_out_grams(wished))
    made = plan_study(source.study, source.protocol, usable, shared)
    prospects = prospects_of(made.study, made.protocol, assumed, grams_of=_grams_of)
    written = _write(source, made, wished)
    return Draft(
        plan=made,
        prospects=prospects,
        rows=rows_text(made.rows),
        written=written,
        remarks=source.remarks,
        next_step=_next_step(made, written, None if source.text is None else what),
    )


def _next_step(made: StudyPlan, written: Path | None, file: str | None) -> str:
    """Return what to do next: mend what is short, write the file, or start.

    Parameters
    ----------
    made
        The plan.
    written
        The study file that was written; None where none was.
    file
        The study file that was planned; None where options were.
    """
    if made.short_g:
        return "next: choose a way out and plan again; what is short cannot start"
    if made.is_short:
        return "next: mend what a container is too small for, and plan again"
    if written is not None:
        return f"next: look through {written}, then: stability start {written}"
    if file is None or made.is_shared:
        return "next: add --write FILE.toml, and the plan becomes a study file"
    return f"next, when it is made: stability start {file}"


def _source(at: Occasion, what: str, options: PlanOptions) -> _Source:
    from stability.records.opening import read_text
    from stability.records.plan_options import study_of_options
    from stability.records.protocol_file import find_protocol, read_protocol
    from stability.records.study_file import is_study_text, read_draft
    from stability.records.study_file import study_protocol_name as named

    file = Path(what)
    text = read_text(file) if file.is_file() else ""
    if is_study_text(text, what):
        if options.typed:
            raise PlanOptionsForFileError(what, options.typed)
        wanted, where = named(text, what)
        found = find_protocol(wanted, file.parent, where)
        protocol = read_protocol(*found)
        return _Source(read_draft(text, what, protocol), protocol, None, text)
    protocol = read_protocol(*find_protocol(what))
    today = at.today()
    study = study_of_options(options, protocol, today)
    stated = {one.partition("=")[0].strip() for one in options.made}
    unstated = [name for name in study.batches if name not in stated]
    remark = (
        f"made today, {today}, is assumed for batch {', '.join(unstated)}; state the "
        "day with --made"
    )
    return _Source(
        study=study,
        protocol=protocol,
        protocol_file=file if file.is_file() else None,
        text=None,
        remarks=(remark,) if unstated else (),
    )


def _grams_of(study: Study, protocol: Protocol) -> float:
    needed = (needed_of_batch(study, protocol, name) for name in study.batches)
    return float(sum(needed))


def _write(source: _Source, made: StudyPlan, wishes: PlanWishes) -> Path | None:
    """Write the study file that is wished: its own text with the rows, or a new one."""
    from stability.records.study_file import read_draft
    from stability.records.study_writer import rows_text, study_text, write_study

    target = wishes.write
    if target is None:
        return None
    if not made.is_shared:
        raise PlanOptionsError(
            ["--write: the file holds its samples already, so nothing is to be added"]
        )
    if source.text is not None:
        text = f"{source.text.rstrip()}\n\n{rows_text(made.rows)}\n"
    else:
        name = source.protocol.name
        if source.protocol_file is not None:
            name = Path(os.path.relpath(source.protocol_file, target.parent)).as_posix()
        text = study_text(made.study, name, _heading(made))
    read_draft(text, target.name, made.protocol)  # what is written is read again first
    write_study(target, text, overwrite=wishes.overwrite)
    return target


def _heading(made: StudyPlan) -> tuple[str, ...]:
    sums = ", ".join(f"{one.batch} {one.needed_g:f} g" for one in made.batches)
    short = f" Short by {made.short_g:f} g: see the ways out." if made.short_g else ""
    return (
        f"Planned from “{made.protocol.title}”. Samples need {sums}.{short}",
        "Look at every line that has a comment, then: stability start with this file.",
    )
