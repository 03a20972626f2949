"""Every observation judged against the limit that held."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from stability.model.attribute import Attribute, Setting
from stability.model.limit import Limit
from stability.model.protocol import Protocol
from stability.model.study import Sample
from tests.evaluation.builders import (
    Bench,
    band,
    bulk,
    judged_at,
    measured,
    protocol,
    sample,
)


def bench(using: Protocol | None = None, **changes: object) -> Bench:
    """Return a bench with bulk and one jar at 40 °C, placed."""
    made = Bench(
        [bulk(), sample("HDC-001-A", "T40", **changes)], protocol=using or protocol()
    )
    made.place("HDC-001-A", "T40")
    return made


def with_attribute(attribute: Attribute) -> Protocol:
    """Return the protocol with one attribute only."""
    return protocol(attributes={attribute.name: attribute})


def test_an_age_from_the_first_opening_says_so() -> None:
    base = protocol()
    opened = replace(base.conditions["T45"], name="USE", age_from="first opening")
    using = replace(base, conditions={**base.conditions, "USE": opened})
    samples = [
        bulk(),
        sample("HDC-001-A", "USE", use="in use", checks=("4w",)),
        sample("HDC-002-C", "T45", checks=("4w",)),
    ]
    made = Bench(samples, protocol=using)
    start = made.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-08")
    made.place("HDC-001-A", "USE")
    made.place("HDC-002-C", "T45")
    used = made.read("HDC-001-A", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    shut = made.read("HDC-002-C", "pH", "4w", "5.4", "5.4", done="2025-02-07")

    evaluation = made.evaluate("2025-02-08")
    assert judged_at(evaluation, used).age_text == "28 d from opening"
    assert judged_at(evaluation, shut).age_text == "28 d"
    assert judged_at(evaluation, start).age_text == "T0"


NO_FORCE = (
    "force in the centrifuge not known: speed and rotor radius are not both recorded"
)
VISCOSITY = Attribute(
    "viscosity",
    "measured",
    unit="mPa·s",
    settings={
        "spindle": Setting("spindle", "fixed"),
        "torque": Setting("torque", "band", lowest=Decimal(10), highest=Decimal(100)),
        "meter": Setting("meter", "recorded"),
    },
    limit=Limit(percent_of_initial=band("80", "120")),
)


def test_the_mean_of_the_readings_is_judged_and_both_are_kept() -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", "4w", "4.99", "5.01", done="2025-02-07")

    seen = judged_at(made.evaluate("2025-02-08"), position)

    assert seen.mark == "inside"
    assert seen.value == 5
    assert seen.readings_text == "4.99 / 5.01"
    assert seen.value_text == "5.00"
    assert seen.limit_text == "5.0 to 5.9"


@pytest.mark.parametrize(
    ("value", "mark"),
    [("5.0", "inside"), ("4.999", "outside"), ("5.9", "inside"), ("5.9001", "outside")],
)
def test_limits_are_inclusive_and_nothing_is_rounded_inside(
    value: str, mark: str
) -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", "4w", value, done="2025-02-07")

    assert judged_at(made.evaluate("2025-02-08"), position).mark == mark


def test_age_counts_from_placing_and_is_told_in_days_and_months() -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-09")

    seen = judged_at(made.evaluate("2025-02-09"), position)

    assert seen.age_days == 30
    assert seen.age_months == pytest.approx(30 / 30.4375)
    assert seen.age_text == "30 d"


def test_a_late_check_is_a_remark_inside_its_window_and_a_deviation_beyond() -> None:
    made = bench()
    late = made.read("HDC-001-A", "pH", "4w", "5.4", "5.4", done="2025-02-09")
    later = made.read("HDC-001-A", "pH", "8w", "5.4", "5.4", done="2025-03-20")
    evaluation = made.evaluate("2025-03-20")

    assert [one.text for one in judged_at(evaluation, late).remarks] == [
        "late (2 days)"
    ]
    assert judged_at(evaluation, late).deviations == ()
    (beyond,) = judged_at(evaluation, later).deviations
    assert beyond.text == ("late (13 days), beyond the window 2025-03-04 to 2025-03-10")
    assert judged_at(evaluation, later).takes_part


def test_an_early_check_says_so() -> None:
    made = bench()
    early = made.read("HDC-001-A", "pH", "4w", "5.4", "5.4", done="2025-02-06")

    (remark,) = judged_at(made.evaluate("2025-02-06"), early).remarks

    assert (remark.code, remark.weight, remark.text) == (
        "early",
        "remark",
        "early (1 day)",
    )


def test_a_reading_at_make_is_kept_and_refused_as_initial() -> None:
    made = bench(with_attribute(VISCOSITY))
    at_make = made.read("BULK-A", "viscosity", "T0", "11000", done="2025-01-07")
    made.read("BULK-A", "viscosity", "T0", "10000", done="2025-01-08")
    later = made.read("HDC-001-A", "viscosity", "4w", "8500", done="2025-02-07")
    evaluation = made.evaluate("2025-02-07")

    kept = judged_at(evaluation, at_make)
    assert kept.purpose == "at make"
    assert not kept.takes_part
    assert kept.readings_text == "11000"
    initial = judged_at(evaluation, later).initial
    assert initial is not None
    assert initial.value == 10_000
    assert judged_at(evaluation, later).mark == "inside"


def test_only_an_at_make_reading_leaves_no_initial() -> None:
    made = bench(with_attribute(VISCOSITY))
    made.read("BULK-A", "viscosity", "T0", "11000", done="2025-01-07")
    later = made.read("HDC-001-A", "viscosity", "4w", "10900", done="2025-02-07")

    seen = judged_at(made.evaluate("2025-02-07"), later)

    assert seen.mark == "no initial"
    assert not seen.passes


def test_the_initial_is_of_the_container_else_of_batch_and_pack_else_of_the_batch() -> (
    None
):
    jar = sample("HDC-001-A", "T40", checks=("T0", "4w"))
    other = sample("HDC-002-B", "T40")
    pump = sample("HDC-003-C", "T40", pack="PUMP")
    made = Bench([bulk(), jar, other, pump], protocol=with_attribute(VISCOSITY))
    made.read("BULK-A", "viscosity", "T0", "9000", done="2025-01-08")
    made.read("HDC-001-A", "viscosity", "T0", "10000", done="2025-01-08")
    for code in ("HDC-001-A", "HDC-002-B", "HDC-003-C"):
        made.place(code, "T40")
    positions = [
        made.read(code, "viscosity", "4w", "9000", done="2025-02-07")
        for code in ("HDC-001-A", "HDC-002-B", "HDC-003-C")
    ]
    evaluation = made.evaluate("2025-02-07")

    used = [judged_at(evaluation, position).initial for position in positions]
    assert [(str(one.basis), int(one.value or 0)) for one in used if one] == [
        ("same container", 10_000),
        ("same batch and pack", 10_000),
        ("same batch", 9_500),
    ]


def test_another_spindle_is_a_deviation_and_has_no_initial() -> None:
    made = bench(with_attribute(VISCOSITY))
    made.read(
        "BULK-A", "viscosity", "T0", "10000", done="2025-01-08",
        settings={"spindle": "R4"},
    )  # fmt: skip
    same = made.read(
        "HDC-001-A", "viscosity", "2w", "9900", done="2025-01-24",
        settings={"spindle": "r 4"},
    )  # fmt: skip
    other = made.read(
        "HDC-001-A", "viscosity", "4w", "9900", done="2025-02-07",
        settings={"spindle": "R5"},
    )  # fmt: skip
    evaluation = made.evaluate("2025-02-07")

    assert judged_at(evaluation, same).mark == "inside"
    assert judged_at(evaluation, same).deviations == ()
    assert judged_at(evaluation, other).mark == "no initial"
    assert [one.code for one in judged_at(evaluation, other).deviations] == ["setting"]
    assert len(evaluation.measured) == 2


def test_a_setting_outside_its_band_is_marked_and_stays_in_the_series() -> None:
    made = bench(with_attribute(VISCOSITY))
    made.read("BULK-A", "viscosity", "T0", "10000", done="2025-01-08")
    inside = made.read(
        "HDC-001-A", "viscosity", "2w", "9900", done="2025-01-24",
        settings={"torque": "10 %"},
    )  # fmt: skip
    below = made.read(
        "HDC-001-A", "viscosity", "4w", "9900", done="2025-02-07",
        settings={"torque": "9.9 %"},
    )  # fmt: skip
    evaluation = made.evaluate("2025-02-07")

    assert judged_at(evaluation, inside).deviations == ()
    (deviation,) = judged_at(evaluation, below).deviations
    assert deviation.text == "torque 9.9 % outside 10 to 100"
    assert len(measured(evaluation, "viscosity").points) == 3


def test_a_torque_outside_its_band_lets_nothing_pass_and_hides_no_fail() -> None:
    # Viscosity compares between 10 and 100 % torque only (common practice:
    # instructions of viscometer makers).
    made = bench(with_attribute(VISCOSITY))
    made.read("BULK-A", "viscosity", "T0", "10000", done="2025-01-08")
    low = made.read(
        "HDC-001-A", "viscosity", "2w", "9900", done="2025-01-24",
        settings={"torque": "5"},
    )  # fmt: skip
    thin = made.read(
        "HDC-001-A", "viscosity", "4w", "700", done="2025-02-07",
        settings={"torque": "5"},
    )  # fmt: skip
    evaluation = made.evaluate("2025-02-07")

    found = judged_at(evaluation, low)
    assert (found.mark, found.passes, found.takes_part) == ("undecided", False, True)
    assert found.detail == "at torque 5 it compares with no other reading"
    assert judged_at(evaluation, thin).is_outside


def test_a_temperature_outside_its_band_is_marked_and_judged() -> None:
    warm = Setting("sample_temperature", "band", lowest=Decimal(0), highest=Decimal(5))
    cold = replace(VISCOSITY, settings={"sample_temperature": warm})
    made = bench(with_attribute(cold))
    made.read("BULK-A", "viscosity", "T0", "10000", done="2025-01-08")
    position = made.read(
        "HDC-001-A", "viscosity", "4w", "9900", done="2025-02-07",
        settings={"sample_temperature": "5.1"},
    )  # fmt: skip
    found = judged_at(made.evaluate("2025-02-07"), position)

    (deviation,) = found.deviations
    assert deviation.text == "sample temperature 5.1 outside 0 to 5"
    assert found.mark == "inside"


@pytest.mark.parametrize("typed", ["NaN", "", "high"])
def test_a_band_setting_that_is_no_number_is_a_deviation(typed: str) -> None:
    made = bench(with_attribute(VISCOSITY))
    position = made.read(
        "HDC-001-A", "viscosity", "4w", "9900", done="2025-02-07",
        settings={"torque": typed},
    )  # fmt: skip

    (deviation,) = judged_at(made.evaluate("2025-02-07"), position).deviations

    assert "is no number" in deviation.text


def test_another_electrode_is_a_remark_only() -> None:
    made = bench(with_attribute(VISCOSITY))
    made.read(
        "BULK-A", "viscosity", "T0", "10000", done="2025-01-08",
        settings={"meter": "V1"},
    )  # fmt: skip
    position = made.read(
        "HDC-001-A", "viscosity", "4w", "9900", done="2025-02-07",
        settings={"meter": "V2"},
    )  # fmt: skip

    seen = judged_at(made.evaluate("2025-02-07"), position)

    assert [(one.weight, one.text) for one in seen.remarks] == [
        ("remark", "meter V2, before V1")
    ]
    assert seen.mark == "inside"


def test_correcting_shows_both_and_only_the_new_one_takes_part() -> None:
    made = bench()
    wrong = made.read("HDC-001-A", "pH", "4w", "53.0", done="2025-02-07")
    right = made.correct(wrong, "5.30", done="2025-02-08")
    evaluation = made.evaluate("2025-02-08")

    old, new = judged_at(evaluation, wrong), judged_at(evaluation, right)
    assert (old.readings_text, old.takes_part, old.left_out) == (
        "53.0",
        False,
        f"superseded by HDC/{right}",
    )
    assert (new.mark, new.takes_part) == ("inside", True)
    assert new.remarks[-1].text == f"corrects entry {wrong}: mistyped"
    assert evaluation.outside == ()


def test_a_reading_set_aside_stays_readable_and_takes_no_part() -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", "4w", "4.2", done="2025-02-07")
    made.invalidate(position, "electrode broken", done="2025-02-08")
    evaluation = made.evaluate("2025-02-08")

    seen = judged_at(evaluation, position)
    assert not seen.takes_part
    assert seen.mark == "outside"
    assert "electrode broken" in seen.left_out
    assert evaluation.outside == ()


def test_a_missing_reading_stays_missing_and_never_passes() -> None:
    made = bench()
    position = made.read(
        "HDC-001-A", "pH", "4w", done="2025-02-07", not_measured="electrode dead"
    )
    evaluation = made.evaluate("2025-02-07")

    seen = judged_at(evaluation, position)
    assert (seen.mark, seen.detail) == ("not measured", "electrode dead")
    assert not seen.passes
    assert not seen.is_read


def test_a_repeat_stands_beside_the_first_and_not_instead_of_it() -> None:
    made = bench()
    first = made.read("HDC-001-A", "pH", "4w", "4.90", "4.90", done="2025-02-07")
    second = made.read(
        "HDC-001-A", "pH", "4w", "5.10", "5.10", done="2025-02-07",
        repeats=first, because="doubted",
    )  # fmt: skip
    evaluation = made.evaluate("2025-02-07")

    assert judged_at(evaluation, first).is_outside
    assert judged_at(evaluation, second).takes_part
    # The mean of both, 5.00, would be inside: an average hides no value outside.
    assert measured(evaluation, "pH").points[-1].value == Fraction("4.90")
    assert measured(evaluation, "pH").state == "outside"


def test_an_extra_reading_is_judged_and_belongs_to_no_check() -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", None, "4.90", done="2025-02-20")

    seen = judged_at(made.evaluate("2025-02-20"), position)

    assert (seen.purpose, seen.check, seen.planned) == ("extra", None, None)
    assert seen.is_outside
    assert seen.age_days == 41


@pytest.mark.parametrize(
    ("settings", "text"),
    [
        # 1.118e-5 r n², by hand.
        (
            {"rpm": "3000", "radius_cm": "10", "minutes": "30"},
            "1006 g (3000 rpm, radius 10 cm, 30 min)",
        ),
        ({"rpm": "3750", "radius_cm": "10 cm"}, "1572 g (3750 rpm, radius 10 cm)"),
        (
            {"rpm": "3000"},
            NO_FORCE,
        ),
        (
            {},
            NO_FORCE,
        ),
        (
            {"rpm": "0", "radius_cm": "10"},
            NO_FORCE,
        ),
    ],
)
def test_a_centrifuge_is_told_with_its_force(
    settings: dict[str, str], text: str
) -> None:
    centrifuge = Attribute(
        "centrifuge",
        "scored",
        scale=("none", "layer"),
        on="tube",
        when=("T0",),
        settings={one: Setting(one, "recorded") for one in ("rpm", "radius_cm")},
        limit=Limit(highest="none"),
    )
    tube = Sample("TUBE-A", "A", None, None, "tube", "T0", ("T0",))
    made = Bench([bulk(), tube], protocol=with_attribute(centrifuge))
    read = made.read(
        "TUBE-A", "centrifuge", "T0", "none", done="2025-01-08", settings=settings
    )

    remarks = judged_at(made.evaluate("2025-01-10"), read).remarks
    assert [one.text for one in remarks] == [text]


def test_fewer_readings_or_observers_than_meant_is_a_remark() -> None:
    made = bench()
    one = made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-07")
    nose = made.read(
        "HDC-001-A", "odour", "4w", "Ana:as control", done="2025-02-07",
        control="HDC-009-X",
    )  # fmt: skip
    evaluation = made.evaluate("2025-02-07")

    assert [one.text for one in judged_at(evaluation, one).remarks] == [
        "1 reading instead of 2"
    ]
    assert [one.text for one in judged_at(evaluation, nose).remarks] == [
        "1 observer instead of 2"
    ]


def test_the_limit_of_the_condition_holds_there_and_the_general_one_at_t0() -> None:
    attribute = replace(
        protocol().attributes["pH"], limit_at={"T40": Limit(recorded_only=True)}
    )
    made = bench(with_attribute(attribute))
    start = made.read("BULK-A", "pH", "T0", "4.0", done="2025-01-08")
    later = made.read("HDC-001-A", "pH", "4w", "4.0", done="2025-02-07")
    evaluation = made.evaluate("2025-02-07")

    assert judged_at(evaluation, start).mark == "outside"
    assert judged_at(evaluation, later).mark == "recorded only"


def test_time_in_another_condition_is_a_deviation_from_then_on() -> None:
    made = bench()
    before = made.read("HDC-001-A", "pH", "2w", "5.4", "5.4", done="2025-01-24")
    made.place("HDC-001-A", "ROOM", "2025-01-28", how="swapped", because="mixed up")
    made.place("HDC-001-A", "T40", "2025-02-06", how="swapped", because="put back")
    after = made.read("HDC-001-A", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    evaluation = made.evaluate("2025-02-07")

    assert judged_at(evaluation, before).deviations == ()
    (deviation,) = judged_at(evaluation, after).deviations
    assert deviation.text == "exposure swapped: 9 days in ROOM from 2025-01-28"
    assert judged_at(evaluation, after).takes_part


def test_a_move_within_its_condition_is_no_deviation() -> None:
    made = bench()
    made.place("HDC-001-A", "T40", "2025-01-28", how="moved", place="OVEN2")
    after = made.read("HDC-001-A", "pH", "4w", "5.4", "5.4", done="2025-02-07")

    seen = judged_at(made.evaluate("2025-02-07"), after)

    assert seen.deviations == ()
    assert seen.age_days == 28


def test_a_sample_that_was_never_placed_takes_no_part() -> None:
    made = Bench([bulk(), sample("HDC-001-A", "T40")])
    position = made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-07")

    seen = judged_at(made.evaluate("2025-02-07"), position)

    assert (seen.takes_part, seen.age_days, seen.age_text) == (
        False,
        None,
        "not placed",
    )


def test_exact_decimals_decide_where_binary_floats_would_slip() -> None:
    rule = Limit(change=band("-0.1"))
    attribute = replace(protocol().attributes["pH"], limit=rule)
    made = bench(with_attribute(attribute))
    made.read("BULK-A", "pH", "T0", "5.4", done="2025-01-08")
    position = made.read("HDC-001-A", "pH", "4w", "5.3", done="2025-02-07")

    seen = judged_at(made.evaluate("2025-02-07"), position)

    # 5.3 - 5.4 < -0.1 in binary floats.
    assert 5.3 - 5.4 < -0.1
    assert seen.value == Fraction(53, 10)
    assert seen.mark == "inside"
