"""Whole processes timed, and their peak memory."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
#: Runs the command line in a process of its own and tells its peak memory.
COMMAND = """
import resource, sys
from stability.cli.main import run
code = run(sys.argv[1:])
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
sys.stderr.write(f"\\npeak {peak}\\n")
sys.exit(2 if code == 2 else 0)
"""


@dataclass(frozen=True, slots=True)
class Timed:
    """The quickest of several runs of a process."""

    #: Wall time of the whole process [s].
    seconds: float
    #: Peak resident memory [MB]; None where the process does not tell.
    megabytes: float | None
    #: What it printed.
    printed: str = ""


def python(
    script: str, arguments: Sequence[str], folder: Path, repeats: int = 5
) -> Timed:
    """Run a script in fresh interpreters and return the quickest run."""
    runs = [_once(script, arguments, folder) for _ in range(repeats)]
    return min(runs, key=lambda one: one.seconds)


def stability(arguments: Sequence[str], folder: Path, repeats: int = 5) -> Timed:
    """Run one command of ours in fresh interpreters and return the quickest run."""
    return python(COMMAND, arguments, folder, repeats)


def _once(script: str, arguments: Sequence[str], folder: Path) -> Timed:
    begun = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    seconds = time.perf_counter() - begun
    if done.returncode:
        raise RuntimeError(done.stderr)
    *_, last = done.stderr.splitlines() or [""]
    peak = float(last.split()[1]) / 1024 if last.startswith("peak ") else None
    return Timed(seconds, peak, done.stdout)


def tell(*lines: str) -> None:
    """Print lines as they come."""
    for line in lines:
        sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def against(what: str, ours: Timed, bare: Timed, bar: float) -> None:
    """Print a ratio beside its bar."""
    tell(
        f"{what}: {ours.seconds:.2f} s, bare {bare.seconds:.2f} s, "
        f"ratio {ours.seconds / bare.seconds:.2f} (bar {bar:g})"
    )
