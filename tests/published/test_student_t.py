"""Student's t, exact; printed to three decimals in all standard tables.

Student, "The probable error of a mean," Biometrika 6(1):1-25, 1908. Computed, two
programs.
"""

from __future__ import annotations

import pytest

from stability.statistics.quantiles import (
    t_one_sided,
    t_quantile,
    t_two_sided,
    t_two_sided_p,
)

TABLE = {
    1: (3.0777, 6.3138, 12.7062, 31.8205),
    2: (1.8856, 2.9200, 4.3027, 6.9646),
    3: (1.6377, 2.3534, 3.1824, 4.5407),
    4: (1.5332, 2.1318, 2.7764, 3.7469),
    5: (1.4759, 2.0150, 2.5706, 3.3649),
    8: (1.3968, 1.8595, 2.3060, 2.8965),
    10: (1.3722, 1.8125, 2.2281, 2.7638),
    16: (1.3368, 1.7459, 2.1199, 2.5835),
    20: (1.3253, 1.7247, 2.0860, 2.5280),
    30: (1.3104, 1.6973, 2.0423, 2.4573),
    78: (1.2925, 1.6646, 1.9908, 2.3751),
}


@pytest.mark.parametrize("df", TABLE)
def test_quantiles(df: int) -> None:
    computed = [t_quantile(q, df) for q in (0.90, 0.95, 0.975, 0.99)]

    assert computed == pytest.approx(TABLE[df], abs=5.1e-5)


@pytest.mark.parametrize("df", TABLE)
def test_one_sided_and_two_sided_multipliers_are_not_exchanged(df: int) -> None:
    assert t_one_sided(0.95, df) == pytest.approx(TABLE[df][1], abs=5.1e-5)
    assert t_two_sided(0.95, df) == pytest.approx(TABLE[df][2], abs=5.1e-5)
    assert t_two_sided_p(TABLE[df][2], df) == pytest.approx(0.05, abs=1e-5)
