"""The force in a centrifuge."""

from __future__ import annotations

import math

import pytest

from stability.statistics.centrifuge import relative_centrifugal_force


# Worked by hand from 1.118e-5 r n^2, to the printed digit.
@pytest.mark.parametrize(
    ("rpm", "radius_cm", "force"),
    [(3000, 10, 1006.2), (3000, 8, 805.0), (3750, 10, 1572.2), (3000, 15, 1509.3)],
)
def test_the_force_follows_speed_and_radius(
    rpm: float, radius_cm: float, force: float
) -> None:
    assert relative_centrifugal_force(rpm, radius_cm) == pytest.approx(force, abs=0.05)


@pytest.mark.parametrize("rpm", [500, 3000, 12000])
def test_the_rounded_constant_is_that_of_circular_motion(rpm: float) -> None:
    # Centripetal acceleration over standard gravity, 9.80665 m/s²; the constant has
    # four digits, so that half of its last one is 4.5e-4 of it.
    real = (2 * math.pi * rpm / 60) ** 2 * 0.12 / 9.80665

    assert relative_centrifugal_force(rpm, 12) == pytest.approx(real, rel=4.5e-4)


@pytest.mark.parametrize(("rpm", "radius_cm"), [(0, 10), (3000, 0), (-1, 10)])
def test_no_speed_or_no_radius_gives_no_force(rpm: float, radius_cm: float) -> None:
    with pytest.raises(ValueError, match="give no force"):
        relative_centrifugal_force(rpm, radius_cm)
