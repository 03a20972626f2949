"""The few observations on which a mark at the bench rests give the mark of them all."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from stability.evaluation.fates import exposures_of
from stability.evaluation.histories import histories_of
from stability.evaluation.index import index_of
from stability.evaluation.judging import judge_all
from stability.records import journal
from stability.records.database import open_database
from stability.records.store import record_of
from stability.workflow import bench
from stability.workflow.beside import beside, judged_beside
from stability.workflow.occasion import Occasion
from stability.workflow.written import Written
from tests.records.small_study import (
    BULK_A,
    BULK_B,
    FT_A,
    ROOM_A,
    ROOM_B,
    T40_2W,
    T40_4W,
    TWIN_A,
)

At = Callable[[str], Occasion]
DAY = date(2026, 6, 30)


def read_everything(at: At) -> Occasion:
    """Read both batches at T0 and at several checks; return the last occasion."""
    bench.day(at("2026-03-05"), "HDC", settings=["pH.dilution=10 %"])
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60", "sep=0"])
    bench.log(at("2026-03-12"), BULK_B, ["pH=5.30/5.32", "spread=66", "sep=0"])
    for code, made in (
        (ROOM_A, "2026-03-05"), (T40_2W, "2026-03-05"), (T40_4W, "2026-03-05"),
        (FT_A, "2026-03-05"), (TWIN_A, "2026-03-05"), (ROOM_B, "2026-03-12"),
    ):  # fmt: skip
        bench.log(at(made), code, ["w=82.00"])
        bench.place(at("2026-03-13"), [code])
    for day, codes in (
        ("2026-03-27", (ROOM_A, T40_2W, ROOM_B)),
        ("2026-04-10", (ROOM_A, T40_4W, ROOM_B)),
        ("2026-06-13", (ROOM_A, ROOM_B)),
    ):
        for number, code in enumerate(codes):
            value = 5.40 - number / 100
            readings = [f"pH={value:.2f}/{value:.2f}", "sep=1", "w=81.90", "w2=77.00"]
            bench.log(at(day), code, readings, accept_far=True)
            bench.log(at(day), code, [f"spread={70 - number}", "swollen=no"])
    return at("2026-06-30")


def test_each_mark_and_each_history_is_that_of_the_whole_study(at: At) -> None:
    occasion = read_everything(at)
    with open_database(occasion.records).reading() as connection:
        record = record_of(journal.entries(connection, "study:HDC")).record
    whole = index_of(record, DAY)
    marks = {
        one.observation.position: one for one in judge_all(whole, exposures_of(whole))
    }
    every = tuple(marks.values())

    compared = 0
    for position, judged in marks.items():
        seen = judged.observation
        sample = record.samples[seen.sample]
        attribute = record.protocol.attributes[seen.attribute]
        near = beside(occasion, record, sample, attribute)
        stored = Written("study:HDC", position, "", "observed", "")
        now = judged_beside(near, stored)
        (own,) = [one for one in now.judged if one.observation.position == position]
        assert own == judged
        assert histories_of(near.index, now.judged, [position]) == histories_of(
            whole, every, [position]
        )
        compared += 1
    assert compared == 60


def test_it_holds_what_it_rests_on_and_little_else(at: At) -> None:
    occasion = read_everything(at)
    with open_database(occasion.records).reading() as connection:
        record = record_of(journal.entries(connection, "study:HDC")).record
    spread = record.protocol.attributes["spread"]

    near = beside(occasion, record, record.samples[ROOM_A], spread)

    assert {seen.sample for seen in near.index.record.observations} == {BULK_A, ROOM_A}
    assert len(near.index.record.observations) < len(record.observations) / 2
