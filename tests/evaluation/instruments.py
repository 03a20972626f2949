"""Instruments in code: a pH meter and a balance with calibrations of some days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.model.attribute import Setting
from stability.model.entry import Draft, chain
from stability.model.instrument import InstrumentRecord, fold_instrument
from stability.model.instrument_content import (
    CALIBRATED,
    REGISTERED,
    RETIRED,
    calibrated,
    registered,
    retired,
)
from stability.model.limit import Band
from stability.model.protocol import Protocol
from stability.model.surroundings import Surroundings
from tests.evaluation.builders import Bench, bulk, protocol, sample

BUFFERS = [("7.00", "-15"), ("4.01", "160")]


def instrument(
    code: str,
    kind: str,
    *made: tuple[str, bool],
    valid_for: str = "1d",
    left: str | None = None,
) -> InstrumentRecord:
    """Return an instrument: calibrations by day, passed or not; when it left."""
    name = code.partition("-")[0]
    rules = registered(name, kind, "", valid_for,
                       slope=Band(Decimal("90.0"), Decimal("105.0")))  # fmt: skip
    contents = [(REGISTERED, "2025-01-02", rules)]
    for day, passed in made:
        faults = [] if passed else ["slope 81.7 % is not 90.0 to 105.0 %"]
        held = calibrated("buffers", passed=passed, faults=faults, temperature="22",
                          buffers=BUFFERS, slope_percent="98.6")  # fmt: skip
        contents.append((CALIBRATED, day, held))
    if left is not None:
        contents.append((RETIRED, left, retired("loan returned")))
    return fold_instrument(
        chain(
            Draft(
                f"instrument:{code}", what, "Mara", day, f"{day[:10]}T12:00:00Z", held
            )
            for what, day, held in contents
        )
    )


def around(*instruments: InstrumentRecord) -> Surroundings:
    """Return surroundings with some instruments."""
    return Surroundings({one.code: one for one in instruments})


def metered() -> Protocol:
    """Return the small protocol in which instruments are named."""
    made = protocol()
    attributes = dict(made.attributes)
    attributes["pH"] = replace(attributes["pH"], instrument="pH meter")
    attributes["weight_loss"] = replace(attributes["weight_loss"], instrument="balance")
    settings = {"instrument": Setting("instrument", "fixed")}
    attributes["viscosity"] = replace(
        attributes["pH"], name="viscosity", unit="mPa·s", instrument="viscometer",
        settings=settings, readings=1, limit=attributes["weight_loss"].limit,
    )  # fmt: skip
    return replace(made, attributes=attributes)


def bench() -> Bench:
    """Return a bench with bulk and a placed jar, at which instruments are named."""
    made = Bench([bulk(), sample("HDC-001-A", "ROOM")], protocol=metered())
    made.place("HDC-001-A", "ROOM")
    return made


def read(
    made: Bench, day: str, value: str, named: str | None, check: str | None
) -> int:
    """Log a pH of the jar with a named instrument."""
    settings = {"dilution": "10 %"} | ({"instrument": named} if named else {})
    return made.read(
        "HDC-001-A", "pH", check, value, value, done=day, settings=settings
    )


def evaluated(made: Bench, day: str, *instruments: InstrumentRecord) -> Evaluation:
    """Return the evaluation with some instruments known."""
    return evaluate(made.record(day), date.fromisoformat(day), around(*instruments))
