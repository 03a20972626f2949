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
from stability.model.salt import SALT_TOLERANCE, salt_humidity
from stability.records.protocol_file import (
    find_protocol,
    protocol_names,
    read_protocol,
)
from stability.statistics.surroundings import ULTRAVIOLET_DOSE, VISIBLE_DOSE

ROOT = Path(__file__).parents[1]
NAMES = sorted(path.stem for path in (ROOT / "protocols").glob("*.toml"))
#: What an emulsion is read for, with nothing but common instruments.
ATTRIBUTES = {
    "pH", "separation", "odour", "colour", "appearance", "weight_loss",
    "viscosity", "spread", "flow_time", "consistency",
}  # fmt: skip
#: What a laboratory says of microbes, of every product with water that is to be sold.
CERTIFIED = {"count", "specified_organisms", "challenge"}
#: What every maker owns or buys for little; whatever else measures stands in a group
#: with other ways.
OWNED = {"pH meter", "balance", "measuring cylinder", None}
#: The kinds of product and of question for which there is to be a protocol.
WANTED = {
    "emulsion-combined", "water-in-oil-combined", "gel-serum", "surfactant-cleanser",
    "balm-anhydrous", "powder", "solid-bar", "low-pH-exfoliant",
    "light-sensitive-active", "pack-compatibility", "transport", "in-use",
    "new-formula-4-weeks", "real-time-36-months",
}  # fmt: skip
#: Protocols that are run beside one of the product, or show no shelf life.
BESIDE_ANOTHER = {"pack-compatibility", "new-formula-4-weeks"}
#: Attributes without meaning for a kind of product (common practice).
MEANINGLESS = {
    "water-in-oil emulsion": {"pH", "foam", "clarity"},
    "anhydrous balm": {"pH", "foam", "clarity", "viscosity", "separation", "challenge"},
    "loose powder": {
        "pH", "foam", "clarity", "viscosity", "spread", "flow_time", "separation",
        "sweating", "challenge", "centrifuge",
    },
    "solid bar": {
        "viscosity", "spread", "flow_time", "separation", "clarity", "centrifuge",
    },
    "gel": {"emulsion_type", "graininess", "foam"},
}  # fmt: skip
#: Words in a product type of which all contain water, or in a protocol for any product.
WATERY = (
    "emulsion", "gel", "serum", "lotion", "cleanser", "shampoo", "toner", "exfoliant",
    "product in its final pack",
)  # fmt: skip
#: Product types that frost does not part: no freeze-thaw (common practice).
NOT_FROZEN = {"anhydrous balm", "loose powder", "solid bar"}


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
    assert set(NAMES) >= WANTED


@pytest.mark.parametrize("name", NAMES)
def test_a_protocol_says_what_it_is_for_and_what_it_rests_on(name: str) -> None:
    one = protocol(name)

    assert one.purpose.strip()
    assert one.suits
    assert one.sources
    assert one.t0.reason.strip()


@pytest.mark.parametrize("name", NAMES)
def test_every_condition_has_reason_kind_source_and_meaning(name: str) -> None:
    for condition in protocol(name).conditions.values():
        assert condition.reason.strip(), condition.name
        assert condition.reason_kind is not None, condition.name
        assert condition.checks_reason.strip(), condition.name
        assert condition.source.strip(), condition.name
        assert condition.if_outside_limit.strip(), condition.name


@pytest.mark.parametrize("name", NAMES)
def test_every_attribute_has_method_limit_reason_and_source(name: str) -> None:
    one = protocol(name)
    text = find_protocol(name)[0]

    for attribute in one.attributes.values():
        assert attribute.method.strip(), attribute.name
    for attribute_name, limit in limits(one):
        assert limit.reason.strip(), attribute_name
        assert limit.source.strip(), attribute_name
    # The kind is written, not left to the default.
    written = len(re.findall(r"^reason_kind = ", text, re.MULTILINE))
    assert written == len(one.conditions) + len(list(limits(one)))


@pytest.mark.parametrize("name", NAMES)
def test_a_product_with_water_is_told_to_need_a_preservation_test(name: str) -> None:
    """A pass for separation and pH says nothing of microbes (common practice)."""
    one = protocol(name)
    poured = [kind for kind in one.suits if not kind.endswith("bar")]
    wet = [kind for kind in poured if any(word in kind for word in WATERY)]
    told = [each for each in one.cautions if "preservation efficacy test" in each]

    assert not wet or told


@pytest.mark.parametrize("name", NAMES)
def test_a_life_of_a_product_with_water_asks_for_certificates_of_microbes(
    name: str,
) -> None:
    """At the start, and on aged product; a study may omit them with its reason."""
    one = protocol(name)
    roles = {each.role for each in one.conditions.values()}
    poured = [kind for kind in one.suits if not kind.endswith("bar")]
    wet = any(word in kind for kind in poured for word in WATERY)
    # What looks at the pack alone stands beside the protocol of the product.
    if "long-term" not in roles or not wet or name in BESIDE_ANOTHER:
        return

    asked = {each: one.attributes[each] for each in CERTIFIED}
    assert {each.provided_by for each in asked.values()} == {"certificate"}
    assert asked["challenge"].limit.required == "criteria A"
    for each in ("count", "specified_organisms"):
        start, *aged = asked[each].when
        assert start == "T0"
        assert "12M" in aged


def test_kinds_with_water_are_those_that_protocols_name() -> None:
    suits = {kind for name in NAMES for kind in protocol(name).suits}

    assert all(any(word in kind for kind in suits) for word in WATERY)


@pytest.mark.parametrize("name", NAMES)
def test_what_has_no_meaning_for_the_product_is_left_out(name: str) -> None:
    one = protocol(name)

    for kind in set(one.suits) & set(MEANINGLESS):
        assert set(one.attributes).isdisjoint(MEANINGLESS[kind]), kind
    if NOT_FROZEN & set(one.suits):
        steps = [step for each in one.conditions.values() for step in each.steps]
        assert all(step.at > 0 for step in steps)
    if "anhydrous balm" in one.suits:
        # A tin's weight tells of its lid.
        assert not one.attributes["weight_loss"].bears_request


def test_kinds_that_have_no_meaning_are_those_that_protocols_name() -> None:
    suits = {kind for name in NAMES for kind in protocol(name).suits}

    assert suits >= {*MEANINGLESS, *NOT_FROZEN}


@pytest.mark.parametrize("name", NAMES)
def test_what_is_seen_at_the_bench_says_how_long_it_takes(name: str) -> None:
    for attribute in protocol(name).attributes.values():
        at_bench = attribute.provided_by == "bench"
        assert (attribute.minutes is not None) == at_bench, attribute.name


@pytest.mark.parametrize("name", NAMES)
def test_grams_are_those_of_usual_practice(name: str) -> None:
    # pH at 10 % 2 g, count 10 g, challenge five times 20 g, centrifuge two tubes,
    # viscosity 16 g given back (common practice).
    taken = {"count": 10, "challenge": 100, "centrifuge": 20, "viscosity": None}
    for attribute in protocol(name).attributes.values():
        if attribute.name in taken:
            assert attribute.takes_g == taken[attribute.name], attribute.name
        if attribute.name == "viscosity":
            assert attribute.needs_g == 16
        if attribute.name == "pH" and attribute.settings["dilution"].value == "10 %":
            assert attribute.takes_g == 2


@pytest.mark.parametrize("name", NAMES)
def test_a_torque_has_the_band_in_which_viscosities_compare(name: str) -> None:
    # 10 to 100 % (common practice: instructions of viscometer makers).
    viscosity = protocol(name).attributes.get("viscosity")
    if viscosity is None:
        return
    torque = viscosity.settings["torque"]

    assert torque.band == "10 to 100"
    assert torque.reason.strip()
    assert torque.source.strip()
    assert viscosity.told_with_reading == ("torque",)


@pytest.mark.parametrize("name", NAMES)
def test_no_light_standard_is_named_where_a_dose_is_only_meant(name: str) -> None:
    # A report prints the protocol whole, whether or not a dose was measured.
    assert "Q1B" not in find_protocol(name)[0]


def test_a_dose_that_is_meant_is_measured_beside_a_dark_twin() -> None:
    # ICH Q1B, II.C: 1.2 million lx·h and 200 W·h/m².
    one = protocol("light-sensitive-active")
    lamp = one.conditions["LAMP"]

    assert lamp.light_dose_lx_h == VISIBLE_DOSE
    assert lamp.light_dose_uv == ULTRAVIOLET_DOSE
    assert one.conditions[lamp.dark_twin or ""].checks == lamp.checks
    for dose in ("light_dose", "ultraviolet_dose"):
        assert one.attributes[dose].conditions == ("LAMP",)
        assert one.attributes[dose].limit.recorded_only


@pytest.mark.parametrize("name", NAMES)
def test_humidity_over_a_salt_is_what_the_salt_gives(name: str) -> None:
    for condition in protocol(name).conditions.values():
        if condition.humidity is None or condition.temperature is None:
            continue
        assert condition.humidity_salt is not None
        real = salt_humidity(condition.humidity_salt, float(condition.temperature))
        assert abs(real - float(condition.humidity)) < SALT_TOLERANCE
        assert f"expected {real:.1f} ± 2 % RH" in condition.words()


def test_the_share_of_free_acid_is_that_of_its_pka() -> None:
    # Henderson-Hasselbalch, pKa of glycolic acid 3.83 (CRC Handbook, from memory).
    limit = protocol("low-pH-exfoliant").attributes["pH"].limit
    band = limit.absolute
    assert band is not None
    assert band.lowest is not None
    assert band.highest is not None

    for bound in (band.lowest, band.highest):
        free = 100 / (1 + 10 ** (float(bound) - 3.83))
        assert f"{free:.0f} %" in limit.reason
        assert str(bound.normalize()) in limit.reason


def test_in_use_has_its_own_clock_and_carries_no_unopened_life() -> None:
    one = protocol("in-use")

    assert one.conditions["USE"].age_from == "first opening"
    assert "age counts from first opening" in one.conditions["USE"].words()
    assert one.conditions["SHUT"].checks == one.conditions["USE"].checks
    assert not [each for each in one.conditions.values() if each.role == "long-term"]


def test_transport_shakes_and_cycles_beside_what_stayed_at_home() -> None:
    one = protocol("transport")
    cycled = [each for each in one.conditions.values() if each.cycles]

    assert one.conditions["SHAKE"].vibration
    assert {each.untreated_twin for each in cycled} == {"HOME"}
    assert one.conditions["HOME"].role == "control"


def test_a_centrifuge_is_read_with_speed_radius_and_time() -> None:
    centrifuges = [
        attribute
        for name in NAMES
        for attribute in protocol(name).attributes.values()
        if attribute.on == "tube"
    ]

    assert centrifuges
    for attribute in centrifuges:
        assert {"rpm", "radius_cm", "minutes"} == set(attribute.settings)
        assert not attribute.bears_request


@pytest.mark.parametrize("name", NAMES)
def test_no_limit_by_custom_claims_a_source(name: str) -> None:
    claimed = [
        attribute
        for attribute, limit in limits(protocol(name))
        if limit.reason_kind == "custom" and limit.source != "common practice"
    ]

    assert claimed == []


@pytest.mark.parametrize("name", NAMES)
def test_it_runs_with_common_instruments_eyes_and_nose(name: str) -> None:
    one = protocol(name)
    alone = [each for each in one.attributes.values() if each.one_of is None]
    groups: dict[str, list[str | None]] = {}
    for each in one.attributes.values():
        if each.one_of is not None:
            groups.setdefault(each.one_of, []).append(each.instrument)

    assert {attribute.instrument for attribute in alone} <= OWNED
    for group, instruments in groups.items():
        assert None in instruments, group
        assert len(instruments) > 1, group


@pytest.mark.parametrize(
    "name", ["emulsion-combined", "new-formula-4-weeks", "real-time-36-months"]
)
def test_an_emulsion_is_read_for_what_common_instruments_tell(name: str) -> None:
    one = protocol(name)

    only_screens = name == "new-formula-4-weeks"
    assert set(one.attributes) == ATTRIBUTES | (set() if only_screens else CERTIFIED)
    assert {
        each.name for each in one.attributes.values() if each.one_of == "thickness"
    } == {"viscosity", "spread", "flow_time", "consistency"}


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
