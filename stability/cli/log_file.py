"""What `log --from` prints: entries that were stored, or what would be."""

from __future__ import annotations

from pathlib import Path

from stability.cli.options import Format
from stability.cli.output import ASSESSMENT, Listing, print_listing, tell, visible
from stability.cli.surroundings import confirmation
from stability.cli.table import Column
from stability.cli.told import tell_judged
from stability.workflow import bench
from stability.workflow.file_forms import FileForms, ForeseenFile
from stability.workflow.occasion import Occasion

FORESEEN = (
    Column("where", "where"),
    Column("done", "done"),
    Column("text", "would be stored"),
    Column("mark", "mark", below=True),
    Column("stands_as", "stored as"),
    Column("remarks", "remarks", below=True),
)
NOTHING = "Nothing would be stored."


def store_file(at: Occasion, file: Path, forms: FileForms, *, yes: bool) -> None:
    """Store the rows of a file and tell what was stored."""
    logged = bench.log_file(
        at, file, forms, accept_far=yes, confirm=None if yes else confirmation()
    )
    tell_judged(at, (*logged.rows, *logged.receipts))
    tell(*(visible(one) for one in logged.remarks))


def show_file(at: Occasion, file: Path, forms: FileForms, form: Format) -> None:
    """Print what would be stored of a file; nothing is."""
    print_listing(foreseen_listing(bench.foresee_file(at, file, forms)), form)


def foreseen_listing(foreseen: ForeseenFile) -> Listing:
    """Return the rows of a file with what would become of them."""
    rows = [
        {
            "where": one.where,
            "done": one.done,
            "text": "" if one.stands_as else one.text,
            "mark": one.mark,
            "stands_as": one.stands_as,
            "remarks": "; ".join(one.remarks),
        }
        for one in foreseen.rows
    ]
    asked = [f"To be confirmed: {one}" for one in foreseen.questions]
    return Listing(
        "rows",
        FORESEEN,
        rows,
        NOTHING,
        facts={
            "file": foreseen.file,
            "rows": len(rows),
            "new": sum(one.stands_as is None for one in foreseen.rows),
        },
        notes=(
            *foreseen.remarks,
            *asked,
            f"Nothing was stored. SHA-256 of the file: {foreseen.sha256}",
            ASSESSMENT,
        ),
    )
