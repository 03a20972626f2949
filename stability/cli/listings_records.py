"""Listings of studies, entries, and what a check of the record found."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stability.cli.output import SHOWN_DIGITS, Listing, Row, short_anchor
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.workflow.records import Verification
    from stability.workflow.studies import HistoryLine, StudyLine

STUDIES = (
    Column("study", "study"),
    Column("product", "product"),
    Column("version", "version"),
    Column("protocol", "protocol"),
    Column("opened", "opened"),
    Column("samples", "samples", right=True),
    Column("state", "state"),
    Column("position", "entries", right=True),
    Column("digest", "digest"),
)
HISTORY = (
    Column("entry", "entry"),
    Column("done", ""),
    Column("when", "done"),
    Column("entered", ""),
    Column("person", "person"),
    Column("sample", "sample"),
    Column("kind", "kind"),
    Column("text", "what"),
    Column("state", "state", below=True),
    Column("stored", "stored", below=True),
)

FLAWS = (
    Column("where", "where"),
    Column("how", ""),
    Column("text", "what does not hold"),
)
WHAT_IT_CANNOT_PROVE = (
    "That the last entries were not cut off, and that the whole record was not written "
    "anew, shows only with --against a digest kept elsewhere. Whether what was typed "
    "was true, no record can show."
)


def studies_listing(lines: Iterable[StudyLine]) -> Listing:
    """Return the studies of the workspace as rows."""
    rows: list[Row] = [
        {
            "study": line.study,
            "product": line.product,
            "version": line.version,
            "protocol": line.protocol,
            "opened": line.opened[:10],
            "samples": line.samples,
            "state": line.state,
            "position": line.position,
            "digest": line.digest[:SHOWN_DIGITS],
        }
        for line in lines
    ]
    return Listing("studies", STUDIES, rows, "No study is open. See 'stability start'.")


def history_listing(lines: Iterable[HistoryLine]) -> Listing:
    """Return every entry of a study as a row."""
    rows: list[Row] = [
        {
            "entry": line.reference,
            "done": line.done,
            "when": line.done[:16].replace("T", " "),
            "entered": line.entered,
            "stored": _stored_later(line),
            "person": line.person,
            "sample": line.sample,
            "kind": line.kind,
            "text": line.text,
            "state": line.state,
        }
        for line in lines
    ]
    return Listing("entries", HISTORY, rows, "Nothing is recorded of it.")


def _stored_later(line: HistoryLine) -> str:
    """Say when an entry was stored, where it was not on the day itself."""
    if line.entered[:10] == line.done[:10]:
        return ""
    return f"stored {line.entered[:16].replace('T', ' ')} UTC"


def verification_listing(checked: Verification) -> Listing:
    """Return every flaw as a row, with where each chain stands."""
    rows: list[Row] = [
        {"where": flaw.where, "how": flaw.how, "text": str(flaw)}
        for flaw in checked.flaws
    ]
    stands = [f"record: {short_anchor(str(head))}" for head in checked.heads]
    if checked.head is not None:
        stands.append(f"workspace: {short_anchor(str(checked.head))}")
    held = [f"passes through {short_anchor(str(one))}" for one in checked.anchors_held]
    steps = [
        f"caution: {step.where} was stored at {step.entered}, after an entry of "
        f"{step.before}; the clock stepped back"
        for step in checked.clock_steps
    ]
    return Listing(
        "flaws",
        FLAWS,
        rows,
        "The record holds.",
        facts={
            "holds": checked.holds,
            "entries": checked.entries,
            "attachments": checked.attachments,
        },
        notes=(*stands, *held, *steps, WHAT_IT_CANNOT_PROVE),
    )
