"""A file of 10,000 readings stored, against a bare loop over the same rows.

Run it: `.venv/bin/python -m tests.benchmarks.log_file [ROWS]`. The bare loop reads the
rows with `csv`, dumps each as JSON, hashes it to the one before and inserts all with
`executemany`; it checks nothing. Ours finds sample, check and attribute, holds each
reading against what is possible and what was read last, links the entries twice and
brings the tables up to date. Telling what was stored is left out. Times are those of
this process alone, the quickest of several.
"""

from __future__ import annotations

import csv
import hashlib
import json
import random
import shutil
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

from stability.model.schedule import planned_checks
from stability.model.study_record import StudyRecord
from stability.records.database import open_database
from stability.records.store import load
from stability.workflow import bench
from stability.workflow.occasion import Occasion
from tests.benchmarks.processes import tell

#: What storing may take, over the bare loop.
BAR = 6.0
MEASURED, WORDED = 6, 4
_CHECKS = ["4w", "8w", "3M", "6M", "9M", "12M", "18M", "24M", "30M", "36M"]
PROTOCOL = (
    f"""
format = 1
title = "Ten checks"
version = "1"
[t0]
read_after = "24h"
read_before = "48h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = {json.dumps(_CHECKS)}
reason = "benchmark"
"""
    + "".join(
        f"""
[attributes.pH{number}]
method = "meter"
unit = "pH"
kind = "measured"
readings = 2
settings.dilution = "10 %"
limit.absolute = {{lowest = 5.0, highest = 5.9}}
limit.reason = "benchmark"
"""
        for number in range(MEASURED)
    )
    + "".join(
        f"""
[attributes.score{number}]
method = "by eye"
scale = ["as T0", "slightly changed", "changed"]
limit.highest = "slightly changed"
limit.reason = "benchmark"
"""
        for number in range(WORDED)
    )
)
STUDY = """
format = 1
code = "RWX"
time_zone = "UTC"
product = "Lotion"
version = "1"
protocol = "ten.toml"
as_sold = {formula = true, pack = true, scale = "laboratory"}
[request]
months = 12
[packs.JAR]
text = "jar"
[batches.A]
made = 2023-01-01
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "reopened"
count = 100
"""


def occasion(folder: Path, name: str) -> Occasion:
    """Return the occasion on which everything is stored."""
    now = datetime(2026, 11, 20, tzinfo=UTC)
    return Occasion(str(folder / name), now, "benchmark", "benchmark")


def make(folder: Path, rows: int) -> None:
    """Open the study and write the file."""
    (folder / "ten.toml").write_text(PROTOCOL, encoding="utf-8")
    (folder / "study.toml").write_text(STUDY, encoding="utf-8")
    at = occasion(folder, "opened.db")
    bench.start(at, folder / "study.toml")
    bench.place(at, [], study="RWX", to="ROOM", done="2023-01-03")
    with open_database(at.records).reading() as connection:
        record = load(connection, "RWX").record
    lines = ["sample,check,attribute,reading,done,settings"]
    lines += [line for _, line in zip(range(rows), readings(record), strict=False)]
    (folder / "rows.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def readings(record: StudyRecord) -> Iterator[str]:
    """Yield a row for each attribute of each check of each sample."""
    chance = random.Random(1)  # noqa: S311 - readings, no secret
    for sample in record.samples.values():
        for planned in planned_checks(record, sample):
            if planned.check == "T0":
                continue
            row = f"{sample.code},{planned.check}"
            for number in range(MEASURED):
                pair = "/".join(f"{chance.gauss(5.45, 0.03):.2f}" for _ in range(2))
                yield f"{row},pH{number},{pair},{planned.due},dilution=10 %"
            for number in range(WORDED):
                yield f"{row},score{number},{chance.randrange(2)},{planned.due},"


def bare(folder: Path) -> Callable[[], None]:
    """Return the bare loop."""

    def loop() -> None:
        (folder / "bare.db").unlink(missing_ok=True)
        connection = sqlite3.connect(folder / "bare.db")
        connection.execute(
            "create table entry (number integer, line text, digest text)"
        )
        digest = ""
        kept = []
        with (folder / "rows.csv").open(encoding="utf-8", newline="") as file:
            for number, row in enumerate(csv.DictReader(file)):
                line = json.dumps(row, sort_keys=True)
                digest = hashlib.sha256(f"{digest}\n{line}".encode()).hexdigest()
                kept.append((number, line, digest))
        connection.executemany("insert into entry values (?, ?, ?)", kept)
        connection.commit()
        connection.close()

    return loop


def ours(folder: Path) -> Callable[[], None]:
    """Return the storing of the file into a study without readings."""

    def store() -> None:
        bench.log_file(occasion(folder, "filled.db"), folder / "rows.csv")

    return store


def quickest(
    work: Callable[[], None], before: Callable[[], object], repeats: int = 5
) -> float:
    """Return the quickest of several runs [s]."""
    found = []
    for _ in range(repeats):
        before()
        begun = time.process_time()
        work()
        found.append(time.process_time() - begun)
    return min(found)


def main() -> None:
    """Store the file and print the ratio."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make(folder, rows)

        def afresh() -> None:
            shutil.copy(folder / "opened.db", folder / "filled.db")

        loop = quickest(bare(folder), lambda: None)
        stored = quickest(ours(folder), afresh)
        tell(
            f"{rows} rows: {stored:.3f} s, bare {loop:.3f} s, "
            f"ratio {stored / loop:.2f} (bar {BAR:g})"
        )


if __name__ == "__main__":
    main()
