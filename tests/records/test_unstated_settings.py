"""Settings that a method leaves open, told where nobody has stated them yet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.workflow import bench
from stability.workflow.occasion import Occasion
from tests.records.metered_study import METERED
from tests.records.small_study import write_files

WITH_SPINDLE = METERED.replace(
    'settings.instrument = "fixed at T0"',
    'settings.spindle = "fixed at T0"\nsettings.speed_rpm = "fixed at T0"\n'
    'settings.torque = "recorded"\nsettings.load = "200 g"',
)
BULK = "HDC-001-5"


@pytest.fixture
def told(tmp_path: Path) -> Callable[..., tuple[str, ...]]:
    """Return what is told of a line that is logged in a fresh workspace."""
    first = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
    at = Occasion(str(tmp_path / "s.db"), first, "ana", zone="Europe/Dublin")
    bench.start(at, write_files(tmp_path, protocol=WITH_SPINDLE))

    def log(sample: str, *readings: str, **how: object) -> tuple[str, ...]:
        now = replace(at, now=datetime(2026, 3, 20, 12, tzinfo=UTC))
        written = bench.log(now, sample, readings, **how)  # type: ignore[arg-type]
        return tuple(one for each in written for one in each.remarks if "stated" in one)

    return log


def test_a_spindle_that_nobody_stated_is_asked_for_at_once(
    told: Callable[..., tuple[str, ...]],
) -> None:
    (remark,) = told(BULK, "pH=5.5/5.5", "viscosity=8200", done="2026-03-03")

    assert remark.startswith("viscosity: no spindle, speed_rpm stated")
    assert "later readings may not be comparable" in remark
    assert "stability correct HDC/3 READING --set 'viscosity.spindle=…'" in remark
    assert "torque" not in remark  # recorded only
    assert "load" not in remark  # the protocol states it


def test_what_was_stated_once_in_the_batch_is_known_afterwards(
    told: Callable[..., tuple[str, ...]],
) -> None:
    both = ["viscosity.spindle=R4", "viscosity.speed_rpm=20"]

    assert told(BULK, "viscosity=8200", settings=both, done="2026-03-03") == ()
    assert told(BULK, "viscosity=8210", repeat="again", done="2026-03-03") == ()


def test_only_what_is_still_open_is_asked_for(
    told: Callable[..., tuple[str, ...]],
) -> None:
    one = ["viscosity.spindle=R4"]
    (remark,) = told(BULK, "viscosity=8200", settings=one, done="2026-03-03")

    assert remark.startswith("viscosity: no speed_rpm stated")


def test_what_was_not_measured_needs_no_setting(
    told: Callable[..., tuple[str, ...]],
) -> None:
    said = told(BULK, "viscosity=not-measured", because="meter lent", done="2026-03-03")

    assert said == ()
