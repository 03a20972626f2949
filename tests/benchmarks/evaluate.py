"""An evaluation of a large study against a bare loop of least-squares fits.

Run it: `.venv/bin/python -m tests.benchmarks.evaluate [STUDIES]`. The study has 3
batches × 2 packs × 6 conditions × 8 attributes × 10 checks: 288 series of 11 points,
2,904 observations. The bare loop fits the same series with `statsmodels.OLS` from
arrays and reads nothing, by the library's usual way and by the decomposition that the
evaluation uses, or reads what a table of drift prints of each: estimates, standard
errors, intervals, p. Imports are left out. Times are those of this process alone, the
quickest of several. Then so many studies with readings of their own, 1,000 where
nothing is said, are evaluated one after another, with time and peak memory on the way.
"""

from __future__ import annotations

import random
import resource
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import partial

import numpy as np
import typer
from statsmodels.regression.linear_model import OLS

from stability.evaluation.evaluate import evaluate
from stability.evaluation.series import MeasuredSeries
from stability.model.attribute import Attribute
from stability.model.condition import Condition, Role
from stability.model.limit import Limit
from stability.model.observation import Reading
from stability.model.study_record import StudyRecord
from tests.benchmarks.processes import tell
from tests.evaluation.builders import PLACED, Bench, band, bulk, protocol, sample, study

ROLES: tuple[Role, ...] = (
    "long-term",
    "intermediate",
    "accelerated",
    "stress",
    "control",
    "stress",
)
DAYS = range(28, 28 * 11, 28)
AS_OF = date(2025, 12, 31)
#: What the evaluation may take, over the bare loop.
BAR = 3.0


def large_study(attributes: int = 8) -> StudyRecord:
    """Return the record of a study of 3 batches, 2 packs, 6 conditions, 10 checks."""
    checks = tuple(f"{days // 7}w" for days in DAYS)
    conditions = {
        f"C{place}": Condition(
            f"C{place}", role, temperature=Decimal(25), checks=checks
        )
        for place, role in enumerate(ROLES)
    }
    names = [f"attribute {place}" for place in range(attributes)]
    limit = Limit(absolute=band("4", "6"))
    read = {
        name: Attribute(name, "measured", resolution=Decimal("0.01"), limit=limit)
        for name in names
    }
    jars = [
        sample(f"{batch}-{pack}-{name}", name, batch=batch, pack=pack, checks=checks)
        for batch in "ABC"
        for pack in ("JAR", "PUMP")
        for name in conditions
    ]
    made = Bench(
        [*(bulk(batch) for batch in "ABC"), *jars],
        protocol=protocol(conditions=conditions, attributes=read),
        study=study("ABC"),
    )
    for batch in "ABC":
        for name in names:
            made.read(f"BULK-{batch}", name, "T0", "5.00", done="2025-01-09")
    for jar in jars:
        made.place(jar.code, jar.condition or "")
    scatter = random.Random(1)  # noqa: S311 - readings, no secret
    for days, check in zip(DAYS, checks, strict=True):
        done = (PLACED + timedelta(days=days)).isoformat()
        for jar in jars:
            for name in names:
                value = 5 - 0.0005 * days + scatter.gauss(0, 0.02)
                made.read(jar.code, name, check, f"{value:.2f}", done=done)
    return made.record()


def quickest(work: Callable[[], object], repeats: int = 5) -> float:
    """Return the quickest of several runs [s]."""
    found = []
    for _ in range(repeats):
        begun = time.process_time()
        work()
        found.append(time.process_time() - begun)
    return min(found)


def bare(
    series: tuple[MeasuredSeries, ...], *, method: str = "pinv", read: bool = False
) -> Callable[[], None]:
    """Return a loop that fits the same series with the library alone."""
    arrays = [
        (
            np.array([point.age_months for point in one.points]),
            np.array([float(point.value or 0) for point in one.points]),
        )
        for one in series
    ]

    def fit() -> None:
        for ages, values in arrays:
            design = np.column_stack((np.ones_like(ages), ages))
            found = OLS(values, design).fit(method=method)
            if read:
                (found.params, found.bse, found.conf_int(), found.pvalues)

    return fit


def with_other_readings(record: StudyRecord, seed: int) -> StudyRecord:
    """Return such a study with readings of its own."""
    scatter = random.Random(seed)  # noqa: S311 - readings, no secret
    return replace(
        record,
        observations=tuple(
            replace(
                seen,
                readings=(Reading(f"{float(seen.readings[0].value) + move:.2f}"),),
            )
            for seen in record.observations
            for move in (scatter.gauss(0, 0.02),)
        ),
    )


def many(count: int) -> None:
    """Evaluate many studies one after another; print time and memory on the way."""
    record = large_study()
    spent, told = 0.0, []
    with typer.progressbar(
        range(1, count + 1),
        label="studies",
        file=sys.stderr,
        hidden=not sys.stderr.isatty(),
    ) as numbers:
        for number in numbers:
            one = with_other_readings(record, number)
            begun = time.process_time()
            evaluate(one, AS_OF)
            spent += time.process_time() - begun
            if number in {10, 100, 1_000, 10_000, count}:
                peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
                told.append(
                    f"{number} studies: {spent:.1f} s, {1e3 * spent / number:.0f} ms "
                    f"each, peak {peak:.0f} MB"
                )
    tell(*told)


def main(arguments: Iterable[str]) -> None:
    """Print the ratios and the growth."""
    record = large_study()
    evaluation = evaluate(record, AS_OF)
    ours = quickest(partial(evaluate, record, AS_OF))
    tell(
        f"{len(evaluation.judged)} observations, {len(evaluation.measured)} series, "
        f"{evaluation.trend.made} out-of-trend tests: {ours:.3f} s"
    )
    for words, method, read in (
        ("fitted only", "pinv", False),
        ("fitted only, by QR", "qr", False),
        ("with its table", "pinv", True),
    ):
        library = quickest(bare(evaluation.measured, method=method, read=read))
        ratio = f"ratio {ours / library:.2f} (bar {BAR:g})"
        tell(f"bare loop, {words}: {library:.3f} s, {ratio}")
    for attributes in (2, 4, 8, 16):
        grown = large_study(attributes)
        seconds = quickest(partial(evaluate, grown, AS_OF), 3)
        count = len(grown.observations)
        tell(f"{count} observations: {1e6 * seconds / count:.0f} µs each")
    many(next(map(int, arguments), 1_000))


if __name__ == "__main__":
    main(sys.argv[1:])
