"""`verify`, `log` and `backup` in a workspace of a million entries.

Run it: `.venv/bin/python -m tests.benchmarks.verify [ENTRIES]`. `verify` is held
against reading the same rows with bare sqlite3 and hashing both links of each; `log`
of one reading against the same in a workspace that holds the one study alone.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from itertools import islice, product
from pathlib import Path

from tests.benchmarks.due import PROTOCOL, STUDY
from tests.benchmarks.processes import Timed, against, python, stability, tell

#: Entries of one study: 60 samples read often, as a large study has them.
OF_A_STUDY = 5000
BARE = """
import hashlib, resource, sqlite3, sys
rows = sqlite3.connect(sys.argv[1]).execute(
    "select subject, line, digest, seal from entry order by number")
last, seal, wrong = {}, "", 0
for subject, line, digest, sealed in rows:
    linked = f"{last.get(subject, '')}\\n{line}"
    wrong += hashlib.sha256(linked.encode()).hexdigest() != digest
    wrong += hashlib.sha256(f"{seal}\\n{digest}".encode()).hexdigest() != sealed
    last[subject], seal = digest, sealed
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
sys.stderr.write(f"\\npeak {peak}\\n")
sys.exit(wrong)
"""


def open_study(folder: Path, code: str) -> None:
    """Open one study of 60 samples in the folder's workspace."""
    from stability.cli.surroundings import occasion
    from stability.workflow import bench

    (folder / "eight.toml").write_text(PROTOCOL, encoding="utf-8")
    file = folder / f"{code}.toml"
    file.write_text(STUDY.format(code=code, month=1), encoding="utf-8")
    bench.start(occasion(str(folder / "stability.db"), "benchmark"), file)


def fill(path: Path, code: str, count: int) -> None:
    """Add readings to a study in one transaction."""
    from stability.model import content
    from stability.model.entry import Draft
    from stability.model.observation import Reading
    from stability.records import derived, journal
    from stability.records.database import open_database
    from stability.records.store import record_of

    subject = f"study:{code}"
    with open_database(path).writing() as connection:
        record = record_of(journal.entries(connection, subject)).record
        samples = list(record.samples)
        drafts = [
            Draft(
                subject, content.OBSERVED, "Ana Reyes", "2026-02-02",
                "2026-02-02T10:00:00Z",
                content.observed(
                    samples[place % len(samples)], "pH", None,
                    [Reading(f"5.{place % 90 + 10}")], unit="pH",
                    extra={"run": str(place)},
                ),
            )
            for place in range(count)
        ]  # fmt: skip
        journal.append(connection, drafts)
        record = record_of(journal.entries(connection, subject)).record
        derived.refresh(connection, record)


def codes() -> Iterator[str]:
    """Yield study codes of four letters."""
    return map("".join, product("CDFGHJKMNPQRTVWXY", repeat=4))


def first_sample(path: Path, code: str) -> str:
    """Return the code of a study's first sample."""
    from stability.records import store
    from stability.records.database import open_database

    with open_database(path).reading() as connection:
        return next(iter(store.load(connection, code).record.samples))


def log_once(folder: Path, sample: str, runs: int = 7) -> Timed:
    """Time `log` of one reading, each into a fresh copy of the workspace."""
    whole, kept = folder / "stability.db", folder / "kept.db"
    shutil.copy(whole, kept)
    found = []
    for _ in range(runs):
        shutil.copy(kept, whole)
        arguments = ["log", sample, "pH=5.50", "--on", "2026-01-03"]
        found.append(stability(arguments, folder, repeats=1))
    kept.unlink()
    return min(found, key=lambda one: one.seconds)


def main() -> None:
    """Make the workspaces and print the ratios."""
    from stability.cli.surroundings import occasion
    from stability.workflow.awaited import catch_up

    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    with tempfile.TemporaryDirectory() as name:
        large, small = Path(name, "large"), Path(name, "small")
        for folder in (large, small):
            folder.mkdir()
            open_study(folder, "HDC")
        begun = time.perf_counter()
        for code in islice(codes(), wanted // OF_A_STUDY):
            open_study(large, code)
            fill(large / "stability.db", code, OF_A_STUDY)
        catch_up(occasion(str(large / "stability.db"), "benchmark"), ["study:HDC"])
        size = (large / "stability.db").stat().st_size / 1e6
        tell(f"{wanted} entries, {size:.0f} MB", f"{time.perf_counter() - begun:.0f} s")
        bare = python(BARE, [str(large / "stability.db")], large, repeats=3)
        ours = stability(["verify"], large, repeats=3)
        against("verify", ours, bare, 3)
        tell(f"peak memory: {ours.megabytes:.0f} MB, bare {bare.megabytes:.0f} MB")
        copied = stability(["backup", "--out", "kept.db"], large, repeats=1)
        (large / "kept.db").unlink()
        tell(f"backup, verified: {copied.seconds:.2f} s")
        sample = first_sample(small / "stability.db", "HDC")
        against("log", log_once(large, sample), log_once(small, sample), 1.5)


if __name__ == "__main__":
    main()
