"""Cautions by what is due. Common practice throughout."""

from __future__ import annotations

from dataclasses import replace

from stability.model.bench_cautions import (
    CENTRIFUGE,
    HEAT,
    LABORATORY,
    NOT_ON_SKIN,
    STAYS_CLOSED,
    THAW,
    cautions_for,
)
from stability.model.study import Sample
from tests.evaluation.builders import protocol, sample


def cautions(*samples: Sample, laboratory: bool = False) -> tuple[str, ...]:
    """Return the cautions for samples."""
    return cautions_for(protocol(), samples, laboratory=laboratory)


def test_what_protects_people_is_always_told() -> None:
    told = cautions(sample("A", "ROOM"))

    assert told[:2] == (NOT_ON_SKIN, STAYS_CLOSED)
    assert not {HEAT, THAW, CENTRIFUGE, LABORATORY} & set(told)


def test_heat_frost_and_the_laboratory_bring_their_own() -> None:
    assert HEAT in cautions(sample("A", "T40"))
    assert THAW in cautions(sample("A", "FT"))
    assert LABORATORY in cautions(sample("A", "ROOM"), laboratory=True)


def test_a_tube_brings_the_centrifuge() -> None:
    tube = replace(sample("A", None), kind="tube")

    assert CENTRIFUGE in cautions(tube)


def test_cautions_of_the_protocol_come_last() -> None:
    own = replace(protocol(), cautions=("Keep out of the light.",))

    told = cautions_for(own, [sample("A", "ROOM")], laboratory=False)

    assert told[-1] == "Keep out of the light."
