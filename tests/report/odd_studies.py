"""Studies that no form was drawn for, each told in a few lines."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.model.study import Pack
from tests.benchmarks.wide_study import wide_study
from tests.evaluation.builders import Bench, bulk, sample, study

#: Names that a table has to hold, each of up to 200 characters.
NAMES = {
    "one word": "w" * 200,
    "many words": "Very long name without end " * 7,
    "right to left": "כרם יום עדין לפנים " * 10,
    "joined letters": "كريم النهار اللطيف للوجه " * 7,
    "ideographs": "保湿日霜安定性試験" * 22,
    "pictures": "🧴🌿✨ cream " * 15,
}


def named(name: str) -> Evaluation:
    """Return a study whose product, maker, batch, pack, observer and words bear it."""
    bench = Bench(
        (bulk(name), sample("HDC-1", "ROOM", batch=name), sample("HDC-2", "T40")),
        study=study(
            (name, "A"), product=name, maker=name, packs={"JAR": Pack("JAR", name)}
        ),
    )
    bench.read(f"BULK-{name}", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.place("HDC-2", "T40")
    bench.read("HDC-1", "pH", "4w", "4.1", "4.1", done="2025-02-07")
    seen = (f"{name}:changed", "Bo:changed")
    bench.read("HDC-1", "odour", "4w", *seen, done="2025-02-07")
    bench.miss("4w", "HDC-2", because=name, done="2025-02-07")
    return bench.evaluate("2025-03-01")


def one_check() -> Evaluation:
    """Return one batch looked at once."""
    bench = Bench((bulk(), sample("HDC-1", "ROOM", checks=("4w",))))
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.read("HDC-1", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    return bench.evaluate("2025-03-01")


def nothing_measured() -> Evaluation:
    """Return a study in which no sample was as much as placed."""
    return Bench((bulk(), sample("HDC-1", "ROOM"))).evaluate("2025-01-07")


def everything_missing() -> Evaluation:
    """Return a study whose checks all went by."""
    bench = Bench((bulk(), sample("HDC-1", "ROOM"), sample("HDC-2", "T40")))
    bench.place("HDC-1", "ROOM")
    bench.place("HDC-2", "T40")
    return bench.evaluate("2026-06-01")


def everything_failed() -> Evaluation:
    """Return a study in which every reading lies outside its limit."""
    bench = Bench((bulk(), sample("HDC-1", "ROOM"), sample("HDC-2", "T40")))
    bench.read("BULK-A", "pH", "T0", "4.1", "4.2", done="2025-01-09")
    for code, condition in (("HDC-1", "ROOM"), ("HDC-2", "T40")):
        bench.place(code, condition)
        bench.read(code, "pH", "4w", "4.0", "4.1", done="2025-02-07")
        words = ("Ana:changed", "Bo:changed")
        bench.read(code, "odour", "4w", *words, done="2025-02-07")
    return bench.evaluate("2025-02-20")


def note_of_many_pages() -> Evaluation:
    """Return a study with a reason longer than a page, beside a failed reading."""
    bench = Bench((bulk(), sample("HDC-1", "ROOM"), sample("HDC-2", "T40")))
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.place("HDC-2", "T40")
    why = " ".join(f"word{number:04}" for number in range(1200))
    bench.miss("4w", "HDC-1", because=why, done="2025-02-07")
    bench.read("HDC-2", "pH", "4w", "4.1", "4.1", done="2025-02-07", because=why)
    return bench.evaluate("2025-03-01")


def twelve_by_six_by_eight() -> Evaluation:
    """Return 12 batches in 6 packs under 8 conditions, looked at six times."""
    return evaluate(wide_study(attributes=1, made=6), date(2025, 7, 1))


ODD: dict[str, Callable[[], Evaluation]] = {
    **{name: partial(named, words[:200]) for name, words in NAMES.items()},
    "one check": one_check,
    "nothing measured": nothing_measured,
    "everything missing": everything_missing,
    "everything failed": everything_failed,
    "note of many pages": note_of_many_pages,
    "12 × 6 × 8": twelve_by_six_by_eight,
}
