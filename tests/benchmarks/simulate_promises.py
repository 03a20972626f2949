"""Print what the statistics promise beside what simulation measures.

Run it: `.venv/bin/python -m tests.benchmarks.simulate_promises [--runs 2000]`.

Each line holds the nominal share, the measured share and the simulation error (one
standard deviation). Where the promise fails by nature no nominal share is given.
"""

from __future__ import annotations

import argparse
import sys
import time

from stability.statistics import broken_promises, promises
from tests.benchmarks.processes import tell

THEMES = {
    "The default estimate": promises.batch_by_batch,
    "Limits relative to initial": promises.relative_limits,
    "Errors of the day": promises.day_effects,
    "Reopened containers": promises.reopened_containers,
    "Coarse readings": promises.rounding,
    "A steady product": promises.steady_product,
    "Out of trend": promises.trend_alerts,
    "Weight loss": broken_promises.weight_loss,
    "Where the promise fails: assumptions": broken_promises.assumptions,
    "Where the promise fails: repeated looks": broken_promises.repeated_looks,
    "Where the promise fails: pooling after a test": broken_promises.pooling,
}


def main() -> int:
    """Print every theme; 1 where a promise does not hold."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=20260101)
    given = parser.parse_args()
    began, broken = time.perf_counter(), 0
    tell("nominal  measured  error  what")
    for title, theme in THEMES.items():
        tell(f"\n{title}")
        for one in theme(given.runs, given.seed):
            nominal = "   none" if one.nominal is None else f"{one.nominal:7.3f}"
            flag = "  <-- DOES NOT HOLD" if one.holds is False else ""
            broken += one.holds is False
            tell(f"{nominal}  {one.measured:8.3f}  {one.error:.3f}  {one.name}{flag}")
    tell(f"\n{broken} promises do not hold; {time.perf_counter() - began:.0f} s")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
