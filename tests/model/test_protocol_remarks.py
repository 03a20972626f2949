"""What a maker should know about a protocol before using it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from stability.model.age import Age
from stability.model.attribute import Attribute, Setting
from stability.model.condition import Condition, CycleStep
from stability.model.limit import Band, Limit
from stability.model.protocol import Analysis, Protocol, Provisional, T0Rule
from stability.model.protocol_remarks import remarks

SOUND = Limit(
    absolute=Band(Decimal(5), Decimal(6)),
    reason="the preservative works there",
    reason_kind="active or preservative",
    source="maker's own trials",
)
ROOM = Condition(
    "ROOM",
    "long-term",
    between=(Decimal(15), Decimal(27)),
    checks=("4w", "3M", "6M", "12M"),
    reason="the shelf",
)
QUIET = Protocol(
    name="x",
    title="x",
    version="1",
    t0=T0Rule(Age(48, "h"), Age(96, "h")),
    conditions={"ROOM": ROOM},
    attributes={"pH": Attribute("pH", "measured", unit="pH", limit=SOUND)},
    analysis=Analysis(evaluate_at=("12M",)),
)


def with_conditions(*conditions: Condition) -> Protocol:
    """Return the quiet protocol with further conditions."""
    return replace(QUIET, conditions={one.name: one for one in (ROOM, *conditions)})


def test_nothing_is_said_where_nothing_is_to_be_said() -> None:
    assert remarks(QUIET) == ()


def test_what_it_needs_is_named() -> None:
    assert remarks(replace(QUIET, needs=("pH meter", "balance"))) == (
        "It needs: pH meter, balance.",
    )


def test_a_torque_without_a_band_is_told() -> None:
    viscosity = replace(
        QUIET.attributes["pH"], name="viscosity",
        settings={"torque": Setting("torque", "recorded")},
    )  # fmt: skip
    (told,) = remarks(replace(QUIET, attributes={"viscosity": viscosity}))
    within = Setting("torque", "band", lowest=Decimal(10), highest=Decimal(100))
    banded = replace(viscosity, settings={"torque": within})

    assert told.startswith("viscosity has no band for its torque")
    assert told.endswith("write settings.torque = {between = [10, 100]}.")
    assert remarks(replace(QUIET, attributes={"viscosity": banded})) == ()


def test_a_group_is_named_with_its_instruments() -> None:
    first = replace(
        QUIET.attributes["pH"], name="viscosity", one_of="thickness",
        instrument="viscometer",
    )  # fmt: skip
    second = replace(first, name="spread", instrument=None)
    attributes = {"viscosity": first, "spread": second}

    assert remarks(replace(QUIET, attributes=attributes)) == (
        (
            "For thickness one of these is enough: viscosity (viscometer), spread. "
            "A study omits the others, each with its reason."
        ),
    )


def test_limits_that_rest_on_custom_are_counted_those_by_condition_too() -> None:
    custom = replace(SOUND, reason_kind="custom")
    recorded = Limit(recorded_only=True)
    attribute = replace(
        QUIET.attributes["pH"], limit_at={"T40": custom, "T45": recorded}
    )

    assert remarks(replace(QUIET, attributes={"pH": attribute})) == (
        (
            "1 of 2 limits rest on custom alone: pH. Put your own bounds and reasons "
            "in their place."
        ),
    )


def test_limits_without_a_source_are_named() -> None:
    attribute = replace(QUIET.attributes["pH"], limit=replace(SOUND, source=" "))

    assert remarks(replace(QUIET, attributes={"pH": attribute})) == (
        "Limits without a source: pH.",
    )


def test_a_protocol_that_can_carry_no_shelf_life_says_so() -> None:
    control = replace(ROOM, role="control")

    assert remarks(replace(QUIET, conditions={"ROOM": control})) == (
        "No condition is long-term: nothing here can carry a shelf life.",
    )


def test_too_few_checks_for_an_estimate_are_counted_with_t0() -> None:
    short = replace(ROOM, checks=("4w", "3M", "12M"))

    assert remarks(replace(QUIET, conditions={"ROOM": short})) == (
        (
            "ROOM has 4 checks with T0: too few for an estimate that carries a "
            "request; only the months shown count."
        ),
    )


def test_a_protocol_that_names_no_evaluation_says_so() -> None:
    assert remarks(replace(QUIET, analysis=Analysis())) == (
        (
            "No check is named at which a request is evaluated: every evaluation is "
            "interim."
        ),
    )


def test_a_provisional_rule_is_called_what_it_is() -> None:
    rule = Provisional(12, "T40", "12w", "3M", "custom", "common practice")
    analysis = replace(QUIET.analysis, provisional=rule)

    assert remarks(replace(QUIET, analysis=analysis)) == (
        (
            "It may grant 12 months provisionally, by a custom of the trade: an "
            "estimate, not evidence."
        ),
    )


def test_missing_comparisons_are_named() -> None:
    step = CycleStep(Decimal(-18), Decimal(4), Age(24, "h"))
    window = Condition("WINDOW", "stress", light="window", checks=("2w", "4w"),
                       reason="shop")  # fmt: skip
    cycled = Condition("FT", "stress", cycles=1, steps=(step,), reason="winter",
                       read_after_cycles=(1,))  # fmt: skip
    foil = Condition("FOIL", "control", light="foil", checks=("2w",), reason="dark")

    assert remarks(with_conditions(window, cycled)) == (
        "WINDOW has light and no dark twin to compare with.",
        "FT is cycled and has no untreated twin to compare with.",
    )
    paired = replace(window, dark_twin="FOIL")
    assert remarks(with_conditions(paired, foil)) == (
        "FOIL is not read at 4w, when WINDOW is.",
    )


def test_a_temperature_without_tolerance_and_a_missing_reason_are_named() -> None:
    hot = Condition("T40", "accelerated", temperature=Decimal(40), checks=("4w",))

    assert remarks(with_conditions(hot)) == (
        "T40 states no tolerance for its temperature.",
        "T40 states no reason.",
    )
