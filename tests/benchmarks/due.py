"""`due` over many studies against a process that only imports typer and sqlalchemy.

Run it: `.venv/bin/python -m tests.benchmarks.due [STUDIES]`; 1,000 studies of 60
samples and 8 checks are usual, of which the making takes most of the time. It is timed
as every command leaves the records, and again while a few studies lag behind, as they
do while somebody sits at `enter`.
"""

from __future__ import annotations

import sys
import tempfile
from itertools import islice, product
from pathlib import Path

from tests.benchmarks.processes import against, python, stability, tell

PROTOCOL = """
format = 1
title = "Eight checks"
version = "1"
[t0]
read_after = "24h"
read_before = "48h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "8w", "3M", "6M", "9M", "12M", "18M", "24M"]
reason = "benchmark"
[attributes.pH]
method = "meter"
unit = "pH"
kind = "measured"
limit.absolute = {lowest = 5.0, highest = 5.9}
limit.reason = "benchmark"
"""
STUDY = """
format = 1
code = "{code}"
time_zone = "UTC"
product = "Lotion {code}"
version = "1"
protocol = "eight.toml"
as_sold = {{formula = true, pack = true, scale = "laboratory"}}
[request]
months = 12
[packs.JAR]
text = "jar"
[batches.A]
made = 2026-0{month}-01
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "reopened"
count = 60
"""
BARE = "import typer, sqlalchemy"
#: Studies that lag behind at the second time [-].
LAGGING = 5


def make(folder: Path, studies: int) -> None:
    """Open so many studies in one process, and leave them as commands do."""
    from stability.cli.surroundings import occasion
    from stability.workflow import bench
    from stability.workflow.awaited import catch_up

    (folder / "eight.toml").write_text(PROTOCOL, encoding="utf-8")
    at = occasion(str(folder / "stability.db"), "benchmark")
    letters = "CDFGHJKMNPQRTVWXY"
    codes = map("".join, product(letters, repeat=4))
    for number, code in enumerate(islice(codes, studies)):
        file = folder / "study.toml"
        text = STUDY.format(code=code, month=number % 9 + 1)
        file.write_text(text, encoding="utf-8")
        bench.start(at, file)
    catch_up(at, ["study:CCCC"])


def let_lag(folder: Path, studies: int) -> None:
    """Add an entry to some studies without working out what it leaves open."""
    from stability.cli.surroundings import occasion
    from stability.workflow import bench

    at = occasion(str(folder / "stability.db"), "benchmark")
    for code in islice(map("".join, product("CDFGHJKMNPQRTVWXY", repeat=4)), studies):
        bench.place(at, [], study=code, to="ROOM")
        bench.note(at, code, "all jars placed")


def main() -> None:
    """Make the studies and print the ratio."""
    studies = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make(folder, studies)
        tell(f"{studies} studies of 60 samples and 8 checks")
        bare = python(BARE, (), folder)
        due = stability(["due", "--as-of", "2026-11-25"], folder)
        against("due", due, bare, 2)
        let_lag(folder, LAGGING)
        due = stability(["due", "--as-of", "2026-11-25"], folder)
        against(f"due, {LAGGING} lagging", due, bare, 2)
        against("--help", stability(["--help"], folder), bare, 1)


if __name__ == "__main__":
    main()
