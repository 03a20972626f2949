"""What a pH electrode should give, and what one gave in its buffers."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.ph_electrode import (
    NEUTRAL,
    BufferReading,
    agrees_again,
    brackets,
    buffer_ph,
    meant_buffer,
    nernst_slope,
    offset_mv,
    phthalate_ph,
    slope_percent,
)

TEMPERATURES = st.decimals(0, 60, places=1)
SLOPES = st.decimals(40, 120, places=1)
OFFSETS = st.decimals(-60, 60, places=1)
ACID = st.decimals(1, 6, places=2)
WIDTHS = st.decimals(1, 7, places=2)


def electrode(
    temperature: Decimal, percent: Decimal, offset: Decimal, *buffers: Decimal
) -> list[BufferReading]:
    """Return what an electrode of this slope and offset gives in buffers."""
    fall = nernst_slope(temperature) * percent / 100
    return [BufferReading(ph, offset - fall * (ph - NEUTRAL)) for ph in buffers]


@given(TEMPERATURES, SLOPES, OFFSETS, ACID, WIDTHS)
def test_slope_and_offset_of_an_electrode_are_found_again(
    temperature: Decimal, percent: Decimal, offset: Decimal, ph: Decimal, width: Decimal
) -> None:
    three = electrode(temperature, percent, offset, ph, ph + width, ph + 2 * width)

    for buffers in (three, three[:2], three[::2]):
        slope = slope_percent(buffers, temperature)
        assert slope == pytest.approx(percent, abs=Decimal("1e-15"))
        assert offset_mv(buffers) == pytest.approx(offset, abs=Decimal("1e-15"))


@given(TEMPERATURES, ACID, WIDTHS)
def test_a_slope_of_100_percent_gives_back_the_buffers(
    temperature: Decimal, ph: Decimal, width: Decimal
) -> None:
    ideal = electrode(temperature, Decimal(100), Decimal(0), ph, ph + width)

    back = [NEUTRAL - one.mv / nernst_slope(temperature) for one in ideal]

    assert slope_percent(ideal, temperature) == pytest.approx(Decimal(100))
    assert back == pytest.approx([ph, ph + width])


@given(TEMPERATURES, TEMPERATURES)
def test_the_ideal_slope_rises_with_the_temperature(one: Decimal, two: Decimal) -> None:
    assert (nernst_slope(one) < nernst_slope(two)) is (one < two)


@given(st.decimals(0, 200, places=1), st.decimals("0.1", 200, places=1))
def test_more_millivolts_between_two_buffers_are_a_steeper_slope(
    less: Decimal, more: Decimal
) -> None:
    def slope(millivolts: Decimal) -> Decimal:
        buffers = [
            BufferReading(Decimal(7), Decimal(0)),
            BufferReading(Decimal(4), millivolts),
        ]
        return slope_percent(buffers, Decimal(25))

    assert slope(less) < slope(less + more)


@pytest.mark.parametrize(
    "buffers",
    [
        [],
        [BufferReading(Decimal(7), Decimal(0))],
        [BufferReading(Decimal(7), Decimal(0)), BufferReading(Decimal(7), Decimal(9))],
    ],
)
def test_no_slope_comes_from_fewer_than_two_buffers(
    buffers: list[BufferReading],
) -> None:
    with pytest.raises(ValueError, match="a slope needs"):
        slope_percent(buffers, Decimal(25))


@given(TEMPERATURES)
def test_a_buffer_lies_between_its_neighbours_of_the_table(celsius: Decimal) -> None:
    below = celsius // 5 * 5
    ends = [
        buffer_ph("borate", below),
        buffer_ph("borate", min(below + 5, Decimal(60))),
    ]
    found = buffer_ph("borate", celsius)

    known = [one for one in ends if one is not None]
    assert found is not None
    assert min(known) <= found <= max(known)


@pytest.mark.parametrize(
    ("name", "celsius"), [("borate", "-0.1"), ("borate", "60.1"), ("carbonate", "36")]
)
def test_outside_the_table_nothing_is_said(name: str, celsius: str) -> None:
    assert buffer_ph(name, Decimal(celsius)) is None


@pytest.mark.parametrize("celsius", ["-0.1", "50.1"])
def test_outside_its_range_the_equation_is_not_used(celsius: str) -> None:
    with pytest.raises(ValueError, match="from 0 to 50"):
        phthalate_ph(Decimal(celsius))


@pytest.mark.parametrize(
    ("stated", "name"),
    [
        ("4.01", "phthalate"),
        ("4.00", "phthalate"),
        ("6.86", "phosphate"),
        ("9.18", "borate"),
        ("10.01", "carbonate"),
        ("1.68", "oxalate"),
        ("7.00", None),
        ("4.04", None),
    ],
)
def test_the_value_on_a_bottle_tells_its_buffer(stated: str, name: str | None) -> None:
    assert meant_buffer(Decimal(stated)) == name


@pytest.mark.parametrize(
    ("ph", "between"),
    [("4.01", True), ("5.5", True), ("7.00", True), ("4.00", False), ("7.1", False)],
)
def test_a_reading_is_bracketed_by_its_buffers(ph: str, between: bool) -> None:
    buffers = [Decimal("7.00"), Decimal("4.01")]

    assert brackets(buffers, Decimal(ph)) is between


@pytest.mark.parametrize(
    ("read", "agrees"),
    [("4.03", True), ("3.99", True), ("4.04", False), ("3.98", False)],
)
def test_a_buffer_read_again_may_lie_a_fiftieth_away(read: str, agrees: bool) -> None:
    assert agrees_again(Decimal("4.01"), Decimal(read)) is agrees
