"""Check days of the example studies, as they stood on the morning of a day."""

from __future__ import annotations

import csv
import shutil
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from stability.model.code import allot_codes
from stability.model.sheet_day import SheetDay
from stability.workflow.occasion import Occasion
from stability.workflow.sheets import sheet_day

FOLDERS = Path(__file__).parents[2] / "example_studies"
#: Example study -> a day on which much is due.
BUSY = {
    "day_cream": "2025-04-10",
    "balm_tin": "2025-06-10",
    "plain_lotion": "2024-08-15",
}


def morning_of(name: str, day: str, folder: Path) -> SheetDay:
    """Return the check day of an example study, of which nothing is read yet.

    Parameters
    ----------
    name
        Of the example.
    day
        The check day.
    folder
        Where a copy with the entries before that day is made.
    """
    copy = folder / name
    shutil.copytree(FOLDERS / name, copy)
    with (copy / "events.csv").open(encoding="utf-8", newline="") as file:
        head, *rows = list(csv.reader(file))
    done = head.index("done")
    before = [row for row in rows if row[done][:10] < day]
    with (copy / "events.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([head, *before])
    now = datetime.fromisoformat(day).replace(hour=9, tzinfo=UTC)
    return sheet_day(Occasion("none.db", now, "ines"), str(copy), day)


def with_samples(day: SheetDay, count: int) -> SheetDay:
    """Return a day with so many samples, each like the last one of the day."""
    like = day.samples[-1]
    codes = allot_codes(day.study.code, count)
    samples = tuple(
        replace(
            like,
            sample=replace(like.sample, code=code),
            planned=replace(like.planned, sample=code),
        )
        for code in codes
    )
    return replace(day, samples=samples)
