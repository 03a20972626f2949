"""An answer of `enter` at a pseudo-terminal against a tenth of a second.

Run it: `.venv/bin/python -m tests.benchmarks.enter [READINGS]`; a study of 4,000
readings is usual, of which the making takes most of the time. Each answer is timed from
the key to the next prompt, with its storing, its marks and its place in its history.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from statistics import median

from tests.benchmarks.processes import tell
from tests.cli.terminals import Terminal

#: Longest time from an answer to the next question after the start [s].
BOUND = 0.1
PLACED = date(2024, 1, 5)
#: Weeks of age at which samples are read, the last of them at the terminal [weeks].
WEEKS = range(0, 64, 8)
#: Readings that one check of one sample takes [-].
ANSWERS = 5
PROTOCOL = """
format = 1
title = "Four-weekly checks"
version = "1"
[t0]
read_after = "24h"
read_before = "96h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = [{checks}]
reason = "benchmark"
{attributes}
"""
ATTRIBUTE = """
[attributes.measure_{number}]
unit = "mm"
method = "ruler"
limit.change = {{lowest = -50, highest = 50}}
limit.reason = "benchmark"
"""
STUDY = """
format = 1
code = "TNC"
time_zone = "UTC"
product = "Bench cream"
version = "1"
protocol = "weekly.toml"
as_sold = {{formula = true, pack = true, scale = "laboratory"}}
[request]
months = 12
[packs.JAR]
text = "jar"
[batches.A]
made = 2024-01-01
[batches.B]
made = 2024-01-01
[batches.C]
made = 2024-01-01
[[samples]]
batch = ["A", "B", "C"]
pack = "JAR"
condition = "ROOM"
use = "reopened"
count = {samples}
"""


def make(folder: Path, samples: int) -> tuple[str, date]:
    """Open a study read at all checks but the last; return a sample and that day."""
    from stability.cli.surroundings import occasion
    from stability.model.code import allot_codes
    from stability.workflow import bench

    ages = ", ".join(f'"{week}w"' for week in WEEKS[1:])
    attributes = "".join(ATTRIBUTE.format(number=one) for one in range(ANSWERS))
    protocol = PROTOCOL.format(checks=ages, attributes=attributes)
    (folder / "weekly.toml").write_text(protocol, encoding="utf-8")
    study = STUDY.format(samples=samples // 3)
    (folder / "study.toml").write_text(study, encoding="utf-8")
    at = occasion(str(folder / "stability.db"), "benchmark")
    bench.start(at, folder / "study.toml")
    codes = allot_codes("TNC", samples // 3 * 3)
    bench.place(at, codes, done=PLACED.isoformat())
    (folder / "rows.csv").write_text("\n".join(_rows(codes)), encoding="utf-8")
    bench.log_file(at, folder / "rows.csv", accept_far=True)
    return codes[0], PLACED + timedelta(weeks=WEEKS[-1])


def _rows(codes: tuple[str, ...]) -> Iterator[str]:
    yield "sample,check,done,attribute,reading"
    for week in WEEKS[:-1]:
        day = PLACED + timedelta(weeks=week) if week else PLACED - timedelta(days=2)
        check = f"{week}w" if week else "T0"
        for code in codes:
            for one in range(ANSWERS):
                yield f"{code},{check},{day},measure_{one},{60 + (week + one) % 3}"


def answer_all(folder: Path, code: str, day: date) -> list[float]:
    """Answer one check at a terminal; return the time of each answer [s]."""
    begun = time.perf_counter()
    terminal = Terminal(["enter", "TNC", "--on", day.isoformat()], folder)
    terminal.wait_for()
    tell(f"first question after {time.perf_counter() - begun:.2f} s")
    taken = []
    for line in [code, *["61"] * ANSWERS]:
        begun = time.perf_counter()
        terminal.type(line)
        taken.append(time.perf_counter() - begun)
    terminal.press("stop\n")
    terminal.finish()
    return taken


def main() -> None:
    """Make the study, answer one check, print the times."""
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 4_000
    samples = max(3, wanted // (len(WEEKS) - 1) // ANSWERS)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        code, day = make(folder, samples)
        taken = answer_all(folder, code, day)
    tell(f"{wanted} readings of {samples} samples; answers: {len(taken)}")
    worst = max(taken)
    verdict = "holds" if worst <= BOUND else "TOO SLOW"
    tell(f"median {median(taken):.3f} s, worst {worst:.3f} s of {BOUND} s: {verdict}")


if __name__ == "__main__":
    main()
