"""Kill the program at random moments while it logs and imports, and look at the record.

Run it: `.venv/bin/python -m tests.benchmarks.kills [KILLS] [postgresql]`; 1,000 are
usual. After every kill each acknowledged entry is there, none is half there, the chain
verifies, and the derived tables are what a rebuild gives. A kill does not test the
disk: that every connection syncs is asserted in `tests/records/test_database.py`.
"""

from __future__ import annotations

import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from random import Random

from stability.workflow import backups, bench, records, studies
from stability.workflow.occasion import Occasion
from tests.benchmarks.processes import tell
from tests.conftest import running_server, server_programs
from tests.records.small_study import BULK_A, STUDY, write_files

#: Entries by which each archive goes on from the one before it.
STEP = 12
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
#: Gives a fresh copy of the first workspace.
Fresh = Callable[[], Occasion]


@dataclass(frozen=True, slots=True)
class Killed:
    """What was seen over all kills."""

    #: How many processes were killed.
    kills: int
    #: How many commands were acknowledged before.
    acknowledged: int
    #: How many kills met a record between two acknowledged states.
    unacknowledged: int


def prepare(folder: Path, archives: int = 12) -> Occasion:
    """Make a workspace with study HDC, and archives of study TRK that grow."""
    at = Occasion(str(folder / "first.db"), NOW, "ana", zone="Europe/Dublin")
    bench.start(at, write_files(folder / "files"))
    other = replace(at, records=str(folder / "other.db"))
    text = STUDY.replace('"HDC"', '"TRK"').replace("Heather day", "Thistle")
    bench.start(other, write_files(folder / "others", text))
    for number in range(archives):
        for place in range(STEP):
            bench.note(other, "TRK", f"note {number} {place}")
        records.export(other, "TRK", folder / f"archive-{number}")
    # What a first command imports is imported here, before any child is started.
    bench.log(other, "TRK-003-Q", ["pH=5.5/5.5"], check="extra")
    records.import_(replace(at, records=str(folder / "third.db")), folder / "archive-0")
    return at


def log_on(at: Occasion, _folder: Path, tell_parent: Callable[[int], None]) -> None:
    """Log readings until killed; each command acknowledges two entries."""
    for place in count():
        readings = [f"pH=5.{place % 80 + 10}/5.5", f"spread={place % 30 + 80}"]
        again = "read again" if place else None
        bench.log(at, BULK_A, readings, check="extra", repeat=again, accept_far=True)
        tell_parent(place + 1)


def import_on(at: Occasion, folder: Path, tell_parent: Callable[[int], None]) -> None:
    """Import one archive after the other; each is one command."""
    for number in range(len(list(folder.glob("archive-*")))):
        records.import_(at, folder / f"archive-{number}")
        tell_parent(number + 1)
    time.sleep(60)


Work = Callable[[Occasion, Path, Callable[[int], None]], None]


def killed(work: Work, at: Occasion, folder: Path, delay_s: float) -> int:
    """Let a child work, kill it after a while; return the commands it acknowledged."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reader)
            told = os.fdopen(writer, "w")
            work(at, folder, lambda done: print(done, file=told, flush=True))
        except Exception:  # noqa: BLE001  (a child says what went wrong and ends)
            traceback.print_exc()
        finally:
            os._exit(1)
    os.close(writer)
    time.sleep(delay_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reader, "rb") as received:
        whole = received.read().rpartition(b"\n")[0].split()
    assert os.WIFSIGNALED(status), "the child ended by itself"
    return int(whole[-1]) if whole else 0


def commands_kept(at: Occasion, before: int, of_each: int, first: int) -> int:
    """Return how many whole commands a record holds, which must verify."""
    found = records.verify(at, rebuild=True)
    assert found.holds, [str(one) for one in found.flaws]
    new = found.entries - before
    if new == 0:
        return 0
    assert (new - first) % of_each == 0, f"{new} entries: a command is half there"
    return (new - first) // of_each


def kill_often(kills: int, fresh: Fresh, folder: Path, seed: int = 20260302) -> Killed:
    """Kill by turns while logging and importing; look at the record after each."""
    random = Random(seed)  # noqa: S311  (moments to kill at)
    acknowledged = between = 0
    longest: dict[Work, float] = {log_on: 0.1, import_on: 0.2}
    for number in range(kills):
        work: Work = import_on if number % 2 else log_on
        at = fresh()
        before = records.verify(at).entries
        told = killed(work, at, folder, random.uniform(0.0, longest[work]))
        # Of an archive, the first command brings the opening besides.
        of_each, first = (STEP, 1) if work is import_on else (2, 0)
        kept = commands_kept(at, before, of_each, first)
        assert told <= kept <= told + 1, f"{told} acknowledged, {kept} kept"
        bench.note(at, "HDC", "the next command goes on")
        assert len(studies.history(at, "HDC")) > 1
        acknowledged += told
        between += kept - told
        # A busy machine commits later: about half of the kills are to meet a commit.
        longest[work] = min(longest[work] * (1.05 if not kept else 0.97), 5.0)
    return Killed(kills, acknowledged, between)


def copies(folder: Path, first: Occasion) -> Iterator[Occasion]:
    """Yield the same copied file again and again."""
    while True:
        path = folder / "killed.db"
        for one in folder.glob("killed.db*"):
            one.unlink()
        shutil.copy(first.records, path)
        yield replace(first, records=str(path))


def schemas(address: str, first: Occasion) -> Iterator[Occasion]:
    """Yield a copy in a schema of its own on a server, one after the other."""
    import psycopg

    for number in count():
        with psycopg.connect(address, autocommit=True) as connection:
            if number:
                connection.execute(f"DROP SCHEMA k{number - 1} CASCADE".encode())
            connection.execute(f"CREATE SCHEMA k{number}".encode())
        there = f"{address}&options=-csearch_path%3Dk{number}"
        backups.backup(first, there)
        yield replace(first, records=there)


def main() -> None:
    """Kill as often as asked and print what was seen."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name)
        first = prepare(folder)
        programs = server_programs()
        if "postgresql" in sys.argv and programs is not None:
            address = stack.enter_context(running_server(programs))
            made = schemas(address, first)
        else:
            made = copies(folder, first)
        begun = time.perf_counter()
        seen = kill_often(kills, lambda: next(made), folder)
        tell(
            f"{seen.kills} kills in {time.perf_counter() - begun:.0f} s: "
            f"{seen.acknowledged} commands acknowledged, all kept; "
            f"{seen.unacknowledged} kept before they were acknowledged; "
            "no command half there; every record verified"
        )


if __name__ == "__main__":
    main()
