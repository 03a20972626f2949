"""How batches were made, beside the pH that drifts from there."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from stability.model.study import Batch
from stability.report.making_table import formula_text, process_text
from tests.evaluation.builders import MADE, study
from tests.evaluation.lived import lived
from tests.report.printed import printed, read_back

MAKING = {
    "fill_temperature": "38 °C",
    "pH_adjusted": "0.4 g of lactic acid, 5.9 to 5.5",
}


def test_making_and_formula_stand_before_the_readings_of_ph(tmp_path: Path) -> None:
    batch = Batch("A", MADE, pH_at_make=Decimal("5.91"), process=MAKING)
    bench = lived(batches=("A",))
    bench.study = study(
        batches=("A",), formula={"Aqua": Decimal("88.2"), "Oil": Decimal("11.8")}
    )
    bench.study.batches["A"] = batch  # type: ignore[index]  # a dictionary here
    found = read_back(bench.evaluate("2026-02-01"), tmp_path / "made.pdf")
    readings = " ".join(found.chapter("Readings").split())
    place = readings.index("Process, additions")
    assert place < readings.index("T0, bulk, batch A; limit")
    assert "A 2025-01-06 5.91 5.50 fill temperature: 38 °C; pH adjusted" in readings
    assert "Formula: Aqua 88.2 %; Oil 11.8 %" in readings
    assert found.flowing.count("Aqua 88.2 %") == 1
    assert "Formula: beside the readings of pH, page " in found.chapter("Samples")


def test_where_no_ph_is_read_making_stays_with_the_samples() -> None:
    report = printed("balm_tin")
    pages = report.chapter("Readings")
    assert pages.count("\nReadings\n") == 1
    assert "pH at make" not in pages.partition("\nReadings\n")[2]
    assert "Formula: Butyrospermum" in report.chapter("Samples")
    assert "pour temperature: 58 °C" in " ".join(report.chapter("Samples").split())


def test_nothing_recorded_prints_nothing(tmp_path: Path) -> None:
    found = read_back(lived().evaluate("2026-02-01"), tmp_path / "bare.pdf")
    assert "pH at make" not in found.chapter("Readings").partition("\nReadings\n")[2]


def test_words_are_told_as_typed() -> None:
    assert process_text(Batch("A", MADE, process=MAKING)) == (
        "fill temperature: 38 °C; pH adjusted: 0.4 g of lactic acid, 5.9 to 5.5"
    )
    assert process_text(Batch("A", MADE)) == formula_text(study()) == ""
