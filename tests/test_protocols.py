"""The ready-made protocols: whole, reasoned, possible with a maker's instruments."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from stability.model.age import parse_age
from stability.model.limit import Limit
from stability.model.protocol import Protocol
from stability.model.protocol_remarks import remarks
from stability.records.protocol_file import (
    find_protocol,
    protocol_names,
    read_protocol,
)

ROOT = Path(__file__).parents[1]
NAMES = sorted(path.stem for path in (ROOT / "protocols").glob("*.toml"))
ATTRIBUTES = {
    "pH", "separation", "odour", "colour", "appearance", "weight_loss",
    "viscosity", "spread", "flow_time", "consistency",
}  # fmt: skip
#: What every maker owns; whatever else measures stands in a group with other ways.
OWNED = {"pH meter", "balance", None}


def protocol(name: str) -> Protocol:
    """Return a ready-made protocol."""
    text, found, file = find_protocol(name)
    return read_protocol(text, found, file)


def limits(one: Protocol) -> Iterator[tuple[str, Limit]]:
    """Yield every limit with the attribute that it belongs to."""
    for name, attribute in one.attributes.items():
        for limit in (attribute.limit, *attribute.limit_at.values()):
            yield name, limit


def test_every_file_is_found_by_its_name() -> None:
    assert list(protocol_names()) == NAMES
    assert {"emulsion-combined", "new-formula-4-weeks", "real-time-36-months"} <= set(
        NAMES
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_protocol_says_what_it_is_for_and_what_it_rests_on(name: str) -> None:
    one = protocol(name)

    assert one.purpose.strip()
    assert one.suits
    assert one.sources
    assert one.t0.reason.strip()


@pytest.mark.parametrize("name", NAMES)
def test_every_condition_has_reason_source_and_meaning(name: str) -> None:
    for condition in protocol(name).conditions.values():
        assert condition.reason.strip(), condition.name
        assert condition.source.strip(), condition.name
        assert condition.if_outside_limit.strip(), condition.name


@pytest.mark.parametrize("name", NAMES)
def test_every_attribute_has_method_limit_reason_and_source(name: str) -> None:
    one = protocol(name)

    assert set(one.attributes) == ATTRIBUTES
    for attribute in one.attributes.values():
        assert attribute.method.strip(), attribute.name
    for attribute_name, limit in limits(one):
        assert limit.reason.strip(), attribute_name
        assert limit.source.strip(), attribute_name


@pytest.mark.parametrize("name", NAMES)
def test_no_limit_by_custom_claims_a_source(name: str) -> None:
    claimed = [
        attribute
        for attribute, limit in limits(protocol(name))
        if limit.reason_kind == "custom" and limit.source != "common practice"
    ]

    assert claimed == []


@pytest.mark.parametrize("name", NAMES)
def test_it_runs_with_ph_meter_balance_eyes_and_nose(name: str) -> None:
    one = protocol(name)
    alone = [one for one in one.attributes.values() if one.one_of is None]
    group = [one for one in one.attributes.values() if one.one_of == "thickness"]

    assert {attribute.instrument for attribute in alone} <= OWNED
    assert {one.name for one in group} == {
        "viscosity", "spread", "flow_time", "consistency",
    }  # fmt: skip
    assert [one for one in group if one.instrument is None]


@pytest.mark.parametrize("name", NAMES)
def test_no_remark_asks_for_what_is_missing(name: str) -> None:
    missing = re.compile(r"states no|without a source|no dark twin|no untreated twin")

    assert [one for one in remarks(protocol(name)) if missing.search(one)] == []


def test_the_combined_protocol_holds_accelerated_within_real_time() -> None:
    one = protocol("emulsion-combined")
    roles = {name: condition.role for name, condition in one.conditions.items()}

    assert roles == {
        "ROOM": "long-term",
        "T40": "accelerated",
        "T45": "stress",
        "COLD": "control",
        "FT": "stress",
        "WINDOW": "stress",
        "FOIL": "control",
    }
    assert one.conditions["ROOM"].between is not None
    assert one.conditions["ROOM"].checks[-1] == "36M"
    assert one.conditions["T40"].checks[-1] == "12w"
    assert one.conditions["FT"].untreated_twin == "ROOM"
    assert one.twins_of_light() == {"WINDOW": "FOIL"}
    assert one.conditions["FOIL"].checks == one.conditions["WINDOW"].checks


def test_real_time_is_read_at_the_usual_months() -> None:
    # ICH Q1A(R2) 2.2.7.3: every 3 months in the first year, every 6 in the second,
    # then yearly; 30 months added (common practice).
    checks = protocol("real-time-36-months").conditions["ROOM"].checks

    assert checks == ("3M", "6M", "9M", "12M", "18M", "24M", "30M", "36M")


def test_the_check_of_a_new_formula_ends_after_four_weeks() -> None:
    ends = {
        age.nominal_days
        for condition in protocol("new-formula-4-weeks").conditions.values()
        for check in condition.checks[-1:]
        if (age := parse_age(check)) is not None
    }

    assert ends == {28.0}


@pytest.mark.parametrize("name", ["new-formula-4-weeks", "real-time-36-months"])
def test_the_cold_control_is_there_whenever_room_is_read(name: str) -> None:
    conditions = protocol(name).conditions

    assert conditions["COLD"].checks == conditions["ROOM"].checks
