"""A line of readings: names, settings, further readings, far from the last."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from stability.errors.samples import ReadingsError, UnknownNameError
from stability.model.attribute import Attribute, Setting
from stability.model.limit import Band, Limit
from stability.model.moment import Moment
from stability.model.observation import Observation, Reading
from stability.records.far_readings import far_question
from stability.records.intake import (
    checked_unit,
    find_attribute,
    read_setting,
    read_typed,
)
from stability.records.typed import BenchFacts, Typed

PH = Attribute(
    "pH",
    "measured",
    unit="pH",
    settings={
        "dilution": Setting("dilution", "fixed", "10 %"),
        "sample_temperature": Setting(
            "sample_temperature", "band", None, Decimal(18), Decimal(26)
        ),
        "electrode": Setting("electrode", "recorded"),
    },
)
SPREAD = Attribute("spread", "measured", unit="mm")
SEPARATION = Attribute(
    "separation", "scored", short="sep", scale=("none", "layer"), extra=("layer_mm",)
)
ODOUR = Attribute(
    "odour", "scored", scale=("as control", "changed"), compared_with="COLD"
)
LOSS = Attribute("weight_loss", "measured", unit="%", from_weights=True)
ATTRIBUTES = {one.name: one for one in (PH, SPREAD, SEPARATION, ODOUR, LOSS)}
FACTS = BenchFacts(
    settings={"pH": {"dilution": "10 %"}}, control={"": "HDC-007-T"}, blind=True
)


def by_name(*typed: str, facts: BenchFacts = FACTS) -> dict[str, Typed]:
    """Read a line and return what was understood by attribute and part."""
    return {
        one.part or one.attribute.name: one
        for one in read_typed(typed, ATTRIBUTES, facts)
    }


def test_a_whole_jar_is_one_line() -> None:
    found = by_name("w=78.42", "ph=5.47/5.49", "sp=60", "sep=0", "odo=0", "w2=73.10")

    assert list(found) == ["before", "pH", "spread", "separation", "odour", "after"]
    assert found["pH"].settings == {"dilution": "10 %"}
    assert found["before"].settings == {}


def test_only_what_is_compared_has_a_control_and_is_blind() -> None:
    found = by_name("pH=5.5", "odour=0")

    assert (found["odour"].control, found["odour"].blind) == ("HDC-007-T", True)
    assert (found["pH"].control, found["pH"].blind) == (None, False)


def test_a_control_of_the_attribute_comes_first() -> None:
    facts = replace(FACTS, control={"": "HDC-007-T", "odour": "HDC-008-R"})

    assert by_name("odour=0", facts=facts)["odour"].control == "HDC-008-R"


def test_settings_may_be_typed_among_the_readings() -> None:
    found = by_name("pH=5.5", "pH.sample_temperature=22.5", "electrode=E2")

    assert found["pH"].settings == {
        "dilution": "10 %",
        "sample_temperature": "22.5",
        "electrode": "E2",
    }
    assert found["pH"].remarks == ()


def test_another_setting_than_prescribed_is_a_remark() -> None:
    found = by_name("pH=5.5", "pH.dilution=neat", "pH.sample_temperature=29")

    assert found["pH"].remarks == (
        "pH: dilution neat instead of 10 %",
        "pH: sample_temperature 29 lies outside its band, 18 to 26",
    )


TORQUE = Setting("torque", "band", lowest=Decimal(10), highest=Decimal(100))
VISCOSITY = Attribute(
    "viscosity", "measured", unit="mPa·s", settings={"torque": TORQUE}
)


@pytest.mark.parametrize(
    ("typed", "stated", "told"),
    [("41.2", "41.2", 0), ("41.2 %", "41.2", 0), ("10%", "10", 0), ("9.9 %", "9.9", 1)],
)
def test_a_torque_is_typed_as_its_instrument_shows_it(
    typed: str, stated: str, told: int
) -> None:
    line = ("viscosity=8200", f"torque={typed}")
    (found,) = read_typed(line, {"viscosity": VISCOSITY}, FACTS)

    assert found.settings == {"torque": stated}
    assert len(found.remarks) == told
    said = "torque 9.9 lies outside its band, 10 to 100: the reading compares with no"
    assert all(said in one for one in found.remarks)


def test_another_unit_than_that_of_the_band_is_refused() -> None:
    with pytest.raises(ReadingsError, match="72 °F"):
        by_name("pH=5.5", "pH.sample_temperature=72 °F")


def test_a_further_reading_goes_with_its_attribute() -> None:
    assert by_name("sep=layer", "layer_mm=2")["separation"].extra == {"layer_mm": "2"}


def test_a_further_reading_without_its_attribute_is_refused() -> None:
    with pytest.raises(ReadingsError, match="layer_mm belongs to separation"):
        by_name("pH=5.5", "layer_mm=2")


def test_every_fault_of_a_line_is_told_at_once() -> None:
    with pytest.raises(ReadingsError) as caught:
        by_name("pH=56", "sep=9", "viscosity=3", "spread", "pH=5.5/5.6", "w=-1")

    assert len(caught.value.faults) == 5


def test_an_attribute_typed_twice_is_refused() -> None:
    with pytest.raises(ReadingsError, match="pH is typed twice"):
        by_name("pH=5.5", "ph=5.6")


def test_an_attribute_that_the_study_leaves_out_is_refused_with_the_reason() -> None:
    with pytest.raises(ReadingsError, match="left out of this study: no plate"):
        read_typed(["spread=60"], ATTRIBUTES, FACTS, {"spread": "no plate"})


def test_a_loss_is_worked_out_never_typed() -> None:
    with pytest.raises(ReadingsError, match="worked out from weights"):
        by_name("weight_loss=3")


def test_a_weight_that_was_not_taken_has_its_reason() -> None:
    facts = BenchFacts(because="balance away")

    found = by_name("w=not-measured", facts=facts)

    assert found["before"].not_measured == "balance away"


def test_what_was_not_measured_has_no_settings() -> None:
    facts = replace(FACTS, because="electrode dead")

    assert by_name("pH=not-measured", facts=facts)["pH"].settings == {}


@pytest.mark.parametrize("typed", ["pH.dilutoin=10 %", "pH.dilution=", "x.y=1", "pH"])
def test_a_setting_that_is_none_is_refused(typed: str) -> None:
    with pytest.raises((ReadingsError, UnknownNameError)):
        read_setting(typed, ATTRIBUTES)


def test_the_temperature_of_a_band_is_a_number() -> None:
    with pytest.raises(ReadingsError, match="22,5"):
        by_name("pH=5.5", "pH.sample_temperature=22,5")


def test_an_unknown_attribute_is_offered_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="separation"):
        find_attribute("separtion", ATTRIBUTES)


def test_a_unit_is_checked_and_never_converted() -> None:
    checked_unit("mPa.s", "mPa·s")

    with pytest.raises(ReadingsError, match=r"the unit Pa·s is not .*mPa·s"):
        checked_unit("Pa·s", "mPa·s")


def last(
    *values: str, attribute: str = "pH", settings: dict[str, str] | None = None
) -> Observation:
    """Return an earlier observation with these readings."""
    return Observation(
        position=5,
        sample="HDC-001-5",
        attribute=attribute,
        check="T0",
        readings=tuple(map(Reading, values)),
        done=Moment(date(2026, 3, 5)),
        entered=datetime(2026, 3, 5, tzinfo=UTC),
        person="Ana",
        settings=settings or {},
    )


def typed_as(attribute: Attribute, *values: str) -> Typed:
    """Return readings as understood."""
    return Typed(attribute, tuple(map(Reading, values)))


#: Common practice; each step passes or fails on one side of what counts as far.
@pytest.mark.parametrize(
    ("values", "asked"), [(("5.9", "5.00"), False), (("5.5", "6.01"), True)]
)
def test_a_reading_half_a_unit_away_is_asked_about(
    values: tuple[str, ...], asked: bool
) -> None:
    question = far_question(typed_as(PH, *values), last("5.50"), None)

    assert (question is not None) is asked


def test_the_question_names_both_readings_and_the_day() -> None:
    assert far_question(typed_as(PH, "6.5"), last("5.50"), None) == (
        "pH 6.5: far from the last reading, 5.50 on 2026-03-05"
    )


def test_what_the_protocol_calls_far_comes_first() -> None:
    exact = replace(PH, far=Decimal("0.1"))

    assert far_question(typed_as(exact, "5.61"), last("5.50"), None) is not None
    assert far_question(typed_as(exact, "5.60"), last("5.50"), None) is None


@pytest.mark.parametrize(("value", "asked"), [("70", False), ("71", True)])
def test_else_it_is_the_width_of_the_limit(value: str, asked: bool) -> None:
    limit = Limit(absolute=Band(Decimal(50), Decimal(60)))

    question = far_question(
        typed_as(SPREAD, value), last("60", attribute="spread"), limit
    )

    assert (question is not None) is asked


@pytest.mark.parametrize(("value", "asked"), [("90", False), ("91", True)])
def test_else_it_is_half_of_the_last_reading(value: str, asked: bool) -> None:
    question = far_question(
        typed_as(SPREAD, value), last("60", attribute="spread"), Limit()
    )

    assert (question is not None) is asked


@pytest.mark.parametrize(("value", "asked"), [("64", False), ("63.9", True)])
def test_a_fifth_of_a_weight_is_far(value: str, asked: bool) -> None:
    weight = Typed(LOSS, (Reading(value),), "before")

    question = far_question(weight, last("80", attribute="weight_loss"), None)

    assert (question is not None) is asked


def test_another_method_is_another_series() -> None:
    neat = replace(typed_as(PH, "6.5"), settings={"dilution": "neat"})

    assert far_question(neat, last("5.50", settings={"dilution": "10 %"}), None) is None


def test_words_are_never_far() -> None:
    assert far_question(typed_as(ODOUR, "changed"), last("as control"), None) is None


def test_without_a_last_reading_nothing_is_far() -> None:
    assert far_question(typed_as(PH, "9"), None, None) is None


@pytest.mark.parametrize("typed", ["xx=1", "sprad=1"])
def test_what_the_study_leaves_out_is_not_offered(typed: str) -> None:
    left_out = {"spread": "no plates"}
    with pytest.raises(ReadingsError) as caught:
        read_typed([typed], ATTRIBUTES, FACTS, left_out)

    assert str(caught.value).startswith("There is no attribute")
    assert "spread" not in str(caught.value)


def test_a_beginning_means_what_is_read_before_what_is_left_out() -> None:
    left_out = {"spread": "no plates"}

    assert find_attribute("s", ATTRIBUTES, left_out)[0] is SEPARATION
    assert find_attribute("spread", ATTRIBUTES, left_out)[0] is SPREAD
    with pytest.raises(ReadingsError, match="spread is left out of this study: no pl"):
        read_typed(["spread=60"], ATTRIBUTES, FACTS, left_out)


def test_weights_are_not_offered_where_their_loss_is_left_out() -> None:
    with pytest.raises(UnknownNameError) as caught:
        find_attribute("q", ATTRIBUTES, {"weight_loss": "no balance"})

    assert "w2" not in str(caught.value)
