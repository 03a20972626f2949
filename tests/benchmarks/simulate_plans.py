"""Print the planned chance of support beside that of simulated studies.

Run it: `.venv/bin/python -m tests.benchmarks.simulate_plans [--runs 2000]`.

Studies are drawn as the plan assumes and evaluated by the functions of a real
evaluation: lines, cautions, crossings, months shown, caps. Each line holds the planned
chance, the simulated one and the simulation error (one standard deviation). A plan may
be too careful, because a reading outside, a bound that falls short and a caution are
taken as independent; it must not promise more than simulation gives.
"""

from __future__ import annotations

import argparse
import sys
import time
from itertools import product

from stability.model.prospects import PlanAssumptions
from tests.benchmarks.processes import tell
from tests.planning.simulated_plans import Beside, beside, plan, stated

#: Limit, scatter, whether it is a share.
LIMITS = (("change", 0.05, False), ("absolute", 0.05, False), ("share", 0.04, True))
CHECKS = ("12M", "18M", "24M")
ROOM_USED = (0.0, 0.5, 2 / 3)
#: Batches, containers a check, spread between batches.
SIZES = ((1, 1, 0.1), (3, 1, 0.0), (3, 1, 0.1), (3, 2, 0.1))


def main() -> int:
    """Print every plan; 1 where one promises more than simulation gives."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=20260101)
    given = parser.parse_args()
    began, broken = time.perf_counter(), 0
    tell("planned  simulated  error  plan")
    for limit, size in product(LIMITS, SIZES):
        for check, used in product(CHECKS, ROOM_USED):
            found = _one(limit, size, check, used, given)
            flag = "  <-- PROMISES TOO MUCH" if promises_too_much(found) else ""
            broken += bool(flag)
            tell(
                f"{found.planned:7.3f}  {found.simulated:9.3f}  {found.error:.3f}  "
                f"{limit[0]} limit, scatter {limit[1]:g}, {size[0]} batches, {size[1]} "
                f"a check, spread {size[2]:g}, 24 months at {check}, {used:.0%} of the "
                f"room used{flag}"
            )
    tell(f"\n{broken} plans promise too much; {time.perf_counter() - began:.0f} s")
    return 1 if broken else 0


def _one(
    limit: tuple[str, float, bool],
    size: tuple[int, int, float],
    check: str,
    used: float,
    given: argparse.Namespace,
) -> Beside:
    name, scatter, is_share = limit
    batches, containers, spread = size
    assumptions = PlanAssumptions(
        scatter={"pH": stated(scatter, is_share=is_share)},
        room_used=(used,),
        batch_spread=spread,
    )
    return beside(
        plan(limit=name, batches=batches, containers=containers),
        assumptions,
        check,
        runs=given.runs,
        seed=given.seed,
    )


def promises_too_much(found: Beside) -> bool:
    """Say whether a plan promises more than simulation gives, beyond its error."""
    return found.planned > found.simulated + 3.5 * found.error + 0.01


if __name__ == "__main__":
    sys.exit(main())
