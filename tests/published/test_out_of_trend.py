"""Out of trend on tablets in bottles.

J. Shao and S.-C. Chow, Biometrics 50(3):753-763, 1994, batches 1 and 3. Prediction
limits computed, two programs.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stability.model.estimate import OutOfTrend
from stability.statistics.out_of_trend import out_of_trend

Series = Callable[[str, str, str, str], dict[str, tuple[list[float], list[float]]]]


@pytest.mark.parametrize(
    ("batch", "predicted", "limits", "observed", "is_out"),
    [
        ("1", 97.76, (92.168909, 103.351091), 96.5, False),
        ("3", 97.24, (95.334780, 99.145220), 101.0, True),
    ],
)
def test_newest_point_against_the_earlier_line(  # noqa: PLR0917, one table row
    series: Series,
    batch: str,
    predicted: float,
    limits: tuple[float, float],
    observed: float,
    is_out: bool,
) -> None:
    table = series("shao_chow_tablets_bottle.csv", "batch", "months", "assay")
    ages, values = table[batch]
    result = out_of_trend(ages[:-1], values[:-1], ages[-1], values[-1])
    assert isinstance(result, OutOfTrend)

    assert result.value == observed
    assert result.predicted == pytest.approx(predicted, abs=1e-6)
    assert result.alert_limits == pytest.approx(limits, abs=1e-6)
    assert result.is_out is is_out
