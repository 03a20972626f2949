"""Verbs that draw: what is refused before anything is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.reports import FigureEmptyError, FigureExistsError
from stability.workflow.figures import draw_drift, draw_shelf_life
from tests.report.outlooks import long_study


def test_a_file_that_stands_there_is_kept_unless_it_may_be_replaced(
    tmp_path: Path,
) -> None:
    evaluation = long_study("A")
    target = tmp_path / "life.svg"
    target.write_bytes(b"mine")

    with pytest.raises(FigureExistsError):
        draw_shelf_life(evaluation, target)
    assert target.read_bytes() == b"mine"

    draw_shelf_life(evaluation, target, overwrite=True)
    assert "<!-- asked for: 24 months -->" in target.read_text(encoding="utf-8")


def test_nothing_to_draw_writes_nothing(tmp_path: Path) -> None:
    evaluation = long_study("A", months=())

    with pytest.raises(FigureEmptyError, match="shelf life"):
        draw_shelf_life(evaluation, tmp_path / "life.pdf")
    with pytest.raises(FigureEmptyError, match="drift"):
        draw_drift(evaluation, [], tmp_path / "drift.pdf")

    assert list(tmp_path.iterdir()) == []
