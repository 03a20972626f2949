"""Amendments in print: reason, changes, both judgements."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

from stability.model.limit import Limit
from stability.model.study import Request
from stability.report.study_json import study_json
from tests.evaluation.builders import Bench, band, bulk, protocol, sample, study
from tests.report.printed import read_back


def amended(*, read_at_room: bool = False) -> Bench:
    """Return a study whose lower limit of pH was raised after the first reading."""
    limit = Limit(absolute=band("5.3", "5.9"), reason="preservative")
    ph = protocol().attributes["pH"]
    made = Bench(
        [bulk(), sample("HDC-ROOM", "ROOM")],
        protocol=protocol(attributes={"pH": ph}),
        study=study(request=Request(12)),
    )
    made.read("BULK-A", "pH", "T0", "5.20", done="2025-01-09")
    if read_at_room:
        made.place("HDC-ROOM", "ROOM")
        made.read("HDC-ROOM", "pH", "4w", "5.20", done="2025-01-19")
    made.amend(
        protocol(attributes={"pH": replace(ph, limit=limit)}),
        "2025-01-20",
        "the assessor asks for 5.3",
    )
    return made


def test_the_report_prints_both_judgements(tmp_path: Path) -> None:
    read = read_back(amended().evaluate("2025-02-01"), tmp_path / "r.pdf")
    printed = read.flowing

    assert "Amended on 2025-01-20 by Mara" in printed
    assert "Because: the assessor asks for 5.3" in printed
    assert "outside (5.3 to 5.9)" in printed
    assert "The plan was amended on 2025-01-20" in printed


def test_lines_of_a_figure_that_are_not_the_limit_of_the_readings_are_told(
    tmp_path: Path,
) -> None:
    bench = amended(read_at_room=True)
    printed = read_back(bench.evaluate("2025-02-01"), tmp_path / "r.pdf").flowing

    assert (
        "the lines of the figure are the limit as amended (5.3 to 5.9). Readings are "
        "marked by the limit of their day (5.0 to 5.9)."
    ) in printed


def test_the_json_holds_both_judgements() -> None:
    held = json.loads(study_json(amended().evaluate("2025-02-01")))["amendments"][0]

    assert held["because"] == "the assessor asks for 5.3"
    assert held["judged_otherwise"][0]["mark_by_amended_limit"] == "outside"
