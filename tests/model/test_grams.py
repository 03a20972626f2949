"""What rows of samples take of their batches."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stability.model.grams import (
    grams_each,
    grams_of_row,
    needed_of_batch,
    samples_of_row,
)
from stability.model.study import SampleRow
from tests.planning.worked_examples import (
    FACE_CREAM_SUMS,
    face_cream,
    face_cream_study,
)

A = ("A",)


@pytest.mark.parametrize(
    ("row", "samples", "grams"),
    [
        (SampleRow(A, "reopened", 2, "JAR", "ROOM"), 2, 100),
        (SampleRow(A, "fresh per check", 2, "JAR", "ROOM"), 16, 800),
        (SampleRow(A, "reopened", 3, "VIAL10", "FT", untreated_twins=1), 4, 40),
        (SampleRow(A, "fresh per check", 3, "VIAL10", "FT", untreated_twins=1), 8, 80),
        (SampleRow(A, "fresh per check", 1, "JAR", "T40", checks=("4w",)), 1, 50),
        (SampleRow(A, "T0", 2, kind="tube", grams=Decimal(10)), 2, 20),
        (SampleRow(A, "retained", 1, "PUMP"), 1, 30),
        (SampleRow(A, "T0", kind="bulk"), 1, 0),
    ],
)
def test_a_row_takes_its_samples_and_their_twins(
    row: SampleRow, samples: int, grams: int
) -> None:
    assert samples_of_row(row, face_cream()) == samples
    assert grams_of_row(row, face_cream_study(), face_cream()) == grams


def test_stated_grams_come_before_the_fill_of_the_pack() -> None:
    row = SampleRow(A, "retained", 1, "PUMP", grams=Decimal(12))

    assert grams_each(row, face_cream_study()) == 12


def test_a_batch_gives_what_all_its_rows_take() -> None:
    """Source: worked example."""
    found = {
        name: needed_of_batch(face_cream_study(), face_cream(), name) for name in "ABC"
    }

    assert found == FACE_CREAM_SUMS
