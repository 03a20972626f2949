"""`plan` for three batches, two packs and six conditions, without imports.

Run it: `.venv/bin/python -m tests.benchmarks.plan`; the bar is one second for
everything that `plan` works out, prospects among them, after its imports.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime

from stability.model.grams import needed_of_batch
from stability.model.plan import StudyPlan
from stability.planning.plan import plan_study
from stability.planning.prospects import prospects_of
from stability.records.protocol_file import find_protocol
from stability.workflow.drafts import PlanOptions, plan
from stability.workflow.occasion import Occasion
from tests.benchmarks.processes import tell

#: The most that one plan may take [s].
BAR = 1.0
PROTOCOL = "emulsion-combined"
OPTIONS = PlanOptions(
    batches=("A=400", "B=400", "C=400"),
    packs=("JAR=50", "PUMP=30"),
    omit=(
        "FOIL=one sill only",
        "viscosity=no viscometer",
        "flow_time=too thick for a cup",
        "consistency=spread is read",
    ),
    months=12,
)


def quickest(work: Callable[[], object], repeats: int = 5) -> float:
    """Return the shortest of several runs [s]."""
    runs = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        runs.append(time.perf_counter() - begun)
    return min(runs)


def main() -> None:
    """Plan and print the time beside its bar."""
    at = Occasion("stability.db", datetime(2026, 3, 2, 9, 0, tzinfo=UTC), "benchmark")
    find_protocol(PROTOCOL)
    first = plan(at, PROTOCOL, OPTIONS)
    made: StudyPlan = first.plan
    study, protocol = made.study, made.protocol
    whole = quickest(lambda: plan(at, PROTOCOL, OPTIONS))
    shared = quickest(lambda: plan_study(study, protocol))
    chances = quickest(lambda: prospects_of(study, protocol))
    grams = sum(needed_of_batch(study, protocol, name) for name in study.batches)
    tell(
        f"{len(study.batches)} batches, {len(study.packs)} packs, {grams} g, "
        f"{len(made.days)} check days",
        f"plan: {whole:.2f} s (bar {BAR:g} s); grams, dates and hours {shared:.3f} s, "
        f"prospects {chances:.2f} s",
    )


if __name__ == "__main__":
    main()
