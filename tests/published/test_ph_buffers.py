"""Buffers and electrode slopes of known answer.

JIS Z 8802, Methods for determination of pH, table of standard buffers. Hetzer, Durst,
Robinson & Bates, J. Res. Natl. Bur. Stand. 81A:21, 1977, doi 10.6028/jres.081A.005:
phthalate. CODATA 2018: constants of the Nernst slope, computed in two programs. USP
<791> pH: slope 90.0 to 105.0 %; worked calibrations from a class sheet
(studylib.net, document 25392327), percentages recomputed.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from stability.model.ph_electrode import (
    BUFFERS,
    BufferReading,
    buffer_ph,
    nernst_slope,
    phthalate_ph,
    slope_percent,
)

Rows = Callable[[str], list[dict[str, str]]]

NERNST = {
    0: "54.199", 10: "56.183", 15: "57.175", 20: "58.167", 25: "59.159", 30: "60.151",
    35: "61.144", 37: "61.540", 40: "62.136", 50: "64.120",
}  # fmt: skip
PHTHALATE = (
    "4.010", "4.004", "4.000", "4.000", "4.001", "4.006", "4.012", "4.021", "4.031",
    "4.043", "4.057",
)  # fmt: skip


@pytest.mark.parametrize(("celsius", "slope"), tuple(NERNST.items()))
def test_the_slope_of_an_ideal_electrode(celsius: int, slope: str) -> None:
    assert round(nernst_slope(Decimal(celsius)), 3) == Decimal(slope)


def test_the_standard_buffers_at_every_temperature_of_the_table(rows: Rows) -> None:
    table = rows("ph_buffers_jis_z8802.csv")

    assert len(table) == 13
    for row in table:
        for name in BUFFERS:
            printed = Decimal(row[name]) if row[name] else None
            assert buffer_ph(name, Decimal(row["temp_c"])) == printed, (name, row)


@pytest.mark.parametrize(("place", "ph"), tuple(enumerate(PHTHALATE)))
def test_phthalate_by_its_equation(place: int, ph: str) -> None:
    celsius = Decimal(5 * place)
    tabulated = buffer_ph("phthalate", celsius)

    assert round(phthalate_ph(celsius), 3) == Decimal(ph)
    assert tabulated is not None
    assert abs(phthalate_ph(celsius) - tabulated) <= Decimal("0.015")


@pytest.mark.parametrize(
    ("at_7", "at_4", "percent", "passes"),
    [("-15", "160", "98.6", True), ("15", "160", "81.7", False)],
)
def test_worked_calibrations(at_7: str, at_4: str, percent: str, passes: bool) -> None:
    buffers = [
        BufferReading(Decimal("7.01"), Decimal(at_7)),
        BufferReading(Decimal("4.01"), Decimal(at_4)),
    ]

    slope = slope_percent(buffers, Decimal(25))

    assert round(slope, 1) == Decimal(percent)
    assert (Decimal("90.0") <= slope <= Decimal("105.0")) is passes
