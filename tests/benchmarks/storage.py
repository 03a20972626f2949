"""A logger's file of half a million readings, taken in and evaluated.

Run it: `.venv/bin/python -m tests.benchmarks.storage [READINGS]`. The file has a time,
a temperature and a humidity a minute. Taken in is: read from disk, recognised, checked,
kept whole in a new workspace, and its excursions told. Evaluated is: fetched from the
workspace, read again, and figures, excursions, drawing and the remarks of a study whose
jars stood there. Times are the quickest of several, of this process, imports left out;
beside them what bare `pandas.read_csv` takes of the same file, and the peak of memory.
"""

from __future__ import annotations

import io
import math
import random
import resource
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pandas as pd
import typer

from stability.evaluation.evaluate import evaluate
from stability.model.logger_form import DeclaredForm
from stability.model.place import fold_place
from stability.model.surroundings import Surroundings
from stability.records.attachment import fetch
from stability.records.database import open_database
from stability.records.journal import entries
from stability.records.places import place_subjects
from stability.workflow import storage, storing
from stability.workflow.occasion import Occasion
from tests.benchmarks.processes import tell
from tests.evaluation.builders import Bench, bulk, sample

#: What taking in and evaluating may take, over `read_csv`.
BAR = 6.0
#: Peak of memory that must not be passed [MB].
MEMORY = 500
START = datetime(2025, 1, 10, 12, tzinfo=UTC)
AS_OF = date(2025, 12, 31)


def logger_file(readings: int) -> bytes:
    """Return the file of a room logger with a reading a minute."""
    scatter = random.Random(8)  # noqa: S311 -- made-up readings
    rows = ["time,temperature,humidity"]
    for place in range(readings):
        moment = START + timedelta(minutes=place)
        celsius = 40 + 1.2 * math.sin(place / 229) + scatter.gauss(0, 0.3)
        rows.append(f"{moment:%Y-%m-%d %H:%M:%S},{celsius:.1f},{45 + celsius / 9:.1f}")
    return "\n".join([*rows, ""]).encode()


def quickest(work: Callable[[], object], times: int = 3) -> float:
    """Return the time of the quickest run [s]."""
    found = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        found.append(time.perf_counter() - begun)
    return min(found)


def evaluated(at: Occasion, bench: Bench) -> object:
    """Return the evaluation of a study whose jars stood in the place."""
    with open_database(at.records).reading() as connection:
        (subject,) = place_subjects(connection)
        place = fold_place(entries(connection, subject))
        files = {
            one.sha256: fetch(connection, one.sha256).content for one in place.logs()
        }
    around = Surroundings(places={place.code: place}, files=files)
    return evaluate(bench.record(str(AS_OF)), AS_OF, around)


def main(readings: int = 500_000) -> None:
    """Measure, print, and end with 1 where a bar is passed."""
    content = logger_file(readings)
    bench = Bench([bulk(), *(sample(f"J{n}", "T40") for n in range(12))])
    for number in range(12):
        bench.place(f"J{number}", "T40", place="OVEN")
        bench.read(f"J{number}", "pH", "4w", "5.5", "5.5", done="2025-02-07")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "oven.csv")
        path.write_bytes(content)
        made = iter(range(100))

        def taken_in() -> Occasion:
            records = str(Path(folder, f"{next(made)}.db"))
            at = Occasion(
                records, datetime(2026, 2, 1, tzinfo=UTC), "bench", zone="UTC"
            )
            storage.add(at, "OVEN", "", suffix="7KQ4", temperature="40", tolerance="2")
            storing.log(at, "OVEN", path, DeclaredForm())
            return at

        at = taken_in()
        bare = quickest(lambda: pd.read_csv(io.BytesIO(content)), 5)
        taking = quickest(taken_in)
        evaluating = quickest(lambda: evaluated(at, bench))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    tell(f"{readings} readings, {len(content) / 1e6:.0f} MB")
    tell(f"read_csv           {bare:.3f} s")
    tell(f"taken in           {taking:.3f} s  {taking / bare:.1f} times")
    tell(f"evaluated          {evaluating:.3f} s  {evaluating / bare:.1f} times")
    ratio = (taking + evaluating) / bare
    tell(f"together           {ratio:.1f} times, at most {BAR}")
    tell(f"peak of memory     {peak:.0f} MB, below {MEMORY}")
    raise typer.Exit(1 if ratio > BAR or peak >= MEMORY else 0)


if __name__ == "__main__":
    typer.run(main)
