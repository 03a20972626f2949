"""An instrument as its entries tell it: what holds on a day, and what is doubtful."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model import content
from stability.model.age import Age, parse_age
from stability.model.entry import Draft, Entry, chain
from stability.model.instrument import InstrumentRecord, fold_instrument
from stability.model.instrument_content import (
    CALIBRATED,
    REGISTERED,
    RETIRED,
    RULES,
    retired,
    rules_changed,
)
from stability.model.instrument_content import calibrated as calibration
from stability.model.instrument_content import registered as registration
from stability.model.limit import Band
from stability.model.moment import Moment, parse_moment
from stability.model.surroundings import Surroundings

SUBJECT = "instrument:PH1-9XR2"
DUBLIN = ZoneInfo("Europe/Dublin")
#: When it was made, and whether it passed.
Made = tuple[str, bool]


def entries(made: Sequence[Made], valid_for: str = "1d") -> tuple[Entry, ...]:
    """Return the entries of a pH meter and its calibrations."""
    rules = registration(
        "PH1", "pH meter", "glass electrode", valid_for,
        slope=Band(Decimal("90.0"), Decimal("105.0")), offset=Decimal(30),
        reread=Decimal("0.02"), usual=["offset"],
    )  # fmt: skip
    drafts = [draft(REGISTERED, rules, "2026-01-02")]
    drafts += [
        draft(CALIBRATED, calibration("stated", passed=good, because="seen"), done)
        for done, good in made
    ]
    return chain(drafts)


def draft(kind: str, held: Mapping[str, Any], done: str) -> Draft:
    """Return what Ana did, stored at noon of its day."""
    return Draft(SUBJECT, kind, "Ana", done, f"{done[:10]}T12:00:00Z", held)


def meter(*made: Made, valid_for: str = "1d") -> InstrumentRecord:
    """Return a pH meter with its calibrations."""
    return fold_instrument(entries(made, valid_for))


def at(text: str) -> Moment:
    """Return a moment as typed in Dublin."""
    moment = parse_moment(text, DUBLIN)
    assert moment is not None
    return moment


def test_a_registration_is_read_back_as_it_was_stated() -> None:
    found = meter()

    assert (found.code, found.name, found.kind) == ("PH1-9XR2", "PH1", "pH meter")
    assert found.text == "glass electrode"
    assert str(found.rules.valid_for) == "1d"
    assert found.rules.acceptance.slope == Band(Decimal("90.0"), Decimal("105.0"))
    assert (found.rules.acceptance.offset, found.rules.acceptance.reread) == (
        Decimal(30),
        Decimal("0.02"),
    )
    assert found.rules.acceptance.tolerance is None
    assert found.rules.usual == ("offset",)
    assert (found.registered, found.person) == (at("2026-01-02"), "Ana")
    assert (found.head.subject, found.head.position) == (SUBJECT, 1)


def test_a_calibration_keeps_what_was_typed_and_what_it_gave() -> None:
    held = calibration(
        "buffers", passed=False, faults=["slope 81.7 %"],
        buffers=[("7.01", "15"), ("4.01", "160")], temperature="25.0",
        slope_percent="81.7", offset_mv="15.5", reread=("4.01", "4.05"),
        because="old electrode",
    )  # fmt: skip
    first = entries([])
    (made,) = fold_instrument(
        chain([draft(REGISTERED, first[0].content, "2026-01-02"),
               draft(CALIBRATED, held, "2026-03-02T09:15:00+00:00")])
    ).calibrations  # fmt: skip

    assert (made.position, made.result, made.faults) == (2, "failed", ("slope 81.7 %",))
    assert made.buffers == (("7.01", "15"), ("4.01", "160"))
    assert made.range_ph == (Decimal("7.01"), Decimal("4.01"))
    assert (made.temperature, made.slope_percent, made.offset_mv) == (
        "25.0", "81.7", "15.5",
    )  # fmt: skip
    assert made.reread == ("4.01", "4.05")
    assert (made.standards, made.unit, made.because) == ((), None, "old electrode")
    assert made.done == at("2026-03-02T09:15")


@pytest.mark.parametrize(
    ("valid_for", "made", "read", "standing"),
    [
        ("1d", "2026-03-02", "2026-03-01", "never"),
        ("1d", "2026-03-02", "2026-03-02", "valid"),
        ("1d", "2026-03-02", "2026-03-03", "lapsed"),
        ("1d", "2026-03-02T09:00", "2026-03-02T08:59", "never"),
        ("1d", "2026-03-02T09:00", "2026-03-02T17:00", "valid"),
        ("1d", "2026-03-02T09:00", "2026-03-02", "valid"),
        ("1w", "2026-03-02", "2026-03-08", "valid"),
        ("1w", "2026-03-02", "2026-03-09", "lapsed"),
        ("1M", "2026-01-31", "2026-02-27", "valid"),
        ("1M", "2026-01-31", "2026-02-28", "lapsed"),
        ("1y", "2026-01-31", "2027-01-30", "valid"),
        ("12h", "2026-03-02T20:00", "2026-03-03T08:00", "valid"),
        ("12h", "2026-03-02T20:00", "2026-03-03T08:01", "lapsed"),
        ("12h", "2026-03-02", "2026-03-02", "valid"),
        ("12h", "2026-03-02", "2026-03-03", "lapsed"),
    ],
)
def test_a_calibration_holds_for_its_time(
    valid_for: str, made: str, read: str, standing: str
) -> None:
    found = meter((made, True), valid_for=valid_for).at(at(read))

    assert found.standing == standing
    assert found.failed is None
    assert (found.last is None) is (standing == "never")


GOOD, BAD, GOOD_AGAIN = (
    ("2026-03-02", True),
    ("2026-03-09", False),
    ("2026-03-10", True),
)


@pytest.mark.parametrize(
    ("read", "standing", "last_good", "doubtful"),
    [
        ("2026-03-01", "never", None, False),
        ("2026-03-02", "valid", "2026-03-02", True),
        ("2026-03-05", "lapsed", "2026-03-02", True),
        ("2026-03-09", "failed", "2026-03-02", True),
        ("2026-03-10", "valid", "2026-03-10", False),
        ("2026-03-20", "lapsed", "2026-03-10", False),
    ],
)
def test_a_failure_makes_readings_doubtful_back_to_the_last_good_one(
    read: str, standing: str, last_good: str | None, doubtful: bool
) -> None:
    found = meter(GOOD, BAD, GOOD_AGAIN).at(at(read))

    good = None if found.last_good is None else str(found.last_good.done)
    assert (found.standing, good) == (standing, last_good)
    assert (found.failed is not None) is doubtful
    assert found.failed is None or str(found.failed.done) == "2026-03-09"


def test_a_failure_without_a_good_one_before_it_makes_all_readings_doubtful() -> None:
    found = meter(BAD).at(at("2026-02-02"))

    assert found.standing == "never"
    assert found.failed is not None
    assert found.last_good is None


def test_the_time_tells_readings_before_and_after_a_failure_apart() -> None:
    found = meter(
        ("2026-03-02T09:00", True), ("2026-03-02T12:00", False),
        ("2026-03-02T12:30", True),
    )  # fmt: skip

    doubts = [found.at(at(f"2026-03-02T{hour}")).failed for hour in ("11:59", "12:31")]
    assert [one is None for one in doubts] == [False, True]


def test_known_to_the_day_a_calibration_comes_before_the_readings_of_that_day() -> None:
    found = meter(("2026-03-02", False), ("2026-03-02", True)).at(at("2026-03-02"))

    assert (found.standing, found.failed) == ("valid", None)


def test_calibrations_count_in_the_order_of_making_not_of_entering() -> None:
    found = meter(BAD, GOOD_AGAIN, GOOD).at(at("2026-03-05"))

    assert found.last_good is not None
    assert str(found.last_good.done) == "2026-03-02"
    assert found.failed is not None


def test_within_a_day_calibrations_count_by_their_time() -> None:
    found = meter(("2026-03-02T12:00", True), ("2026-03-02T09:00", False))

    assert found.at(at("2026-03-02T13:00")).standing == "valid"
    assert found.at(at("2026-03-02T10:00")).standing == "failed"


def test_a_calibration_known_to_the_day_is_first_of_its_day_in_every_zone() -> None:
    east = meter(("2026-03-02", False), ("2026-03-02T08:00+09:00", True))

    assert [one.passed for one in east.standing()] == [False, True]
    assert east.at(at("2026-03-02T12:00+09:00")).standing == "valid"


def test_what_was_set_aside_makes_nothing_doubtful_and_stays_readable() -> None:
    made = entries([GOOD, BAD])
    held = content.invalidated(3, "typed 16 for 160")
    last = Draft(SUBJECT, content.INVALIDATED, "Ben", "2026-03-11",
                 "2026-03-11T12:00:00Z", held)  # fmt: skip
    head = {SUBJECT: meter(GOOD, BAD).head}
    found = fold_instrument((*made, *chain([last], head)))

    assert found.at(at("2026-03-05")).failed is None
    aside = found.calibrations[1].invalidated
    assert aside is not None
    assert (aside.because, aside.person, aside.position) == (
        "typed 16 for 160", "Ben", 4,
    )  # fmt: skip
    assert found.head.position == 4


def test_entries_that_tell_of_no_instrument_are_refused() -> None:
    with pytest.raises(ValueError, match="begins with its registration"):
        fold_instrument(entries([GOOD])[1:])
    with pytest.raises(ValueError, match="begins with its registration"):
        fold_instrument(())
    strange = [draft(REGISTERED, entries([])[0].content, "2026-01-02"),
               draft("calibrated/2", {}, "2026-01-03")]  # fmt: skip
    with pytest.raises(ValueError, match="unknown kind calibrated/2"):
        fold_instrument(chain(strange))


DAYS = st.dates(date(2026, 1, 3), date(2026, 3, 31)).map(str)


@given(st.lists(st.tuples(DAYS, st.booleans()), max_size=8), DAYS)
def test_a_reading_is_doubtful_exactly_if_a_failure_has_no_good_one_between(
    made: list[Made], read: str
) -> None:
    found = meter(*made).at(at(read))

    ordered = sorted(made, key=lambda one: one[0])
    before = [good for day, good in ordered if day <= read]
    after = [good for day, good in ordered if day > read]
    expected = bool(before and not before[-1]) or bool(after and not after[0])
    assert (found.failed is not None) is expected


def test_a_name_as_stated_finds_its_instruments() -> None:
    known = meter()
    other = fold_instrument(
        chain([Draft("instrument:PH1-AAAA", REGISTERED, "Ben", "2026-01-02",
                     "2026-01-02T12:00:00Z", entries([])[0].content)])
    )  # fmt: skip
    one = Surroundings({known.code: known})
    both = Surroundings({known.code: known, other.code: other})

    assert one.named("ph1") == (known,)
    assert one.named(" PH1-9xr2") == (known,)
    assert one.named("PH2") == one.named("rotational, model R") == ()
    assert both.named("PH1") == (known, other)
    assert both.named("PH1-AAAA") == (other,)


def changed(since: str, valid_for: str) -> Draft:
    """Return rules that hold from a day on, stored on it."""
    rules = replace(meter().rules, valid_for=parse_age(valid_for) or Age(0, "d"))
    return draft(RULES, rules_changed(rules, since, "procedure 7"), since)


def told(*drafts: Draft) -> InstrumentRecord:
    """Return a pH meter of which some things are told after its registration."""
    first = draft(REGISTERED, entries([])[0].content, "2026-01-02")
    return fold_instrument(chain([first, *drafts]))


def test_how_long_a_calibration_holds_is_asked_of_the_rules_of_the_reading() -> None:
    made = draft(CALIBRATED, calibration("stated", passed=True), "2026-03-02")
    found = told(made, changed("2026-03-05", "7d"))

    read = [found.at(at(f"2026-03-0{day}")) for day in (3, 4, 5, 8, 9)]
    assert [one.standing for one in read] == [
        "lapsed", "lapsed", "valid", "valid", "lapsed",
    ]  # fmt: skip
    assert [str(one.valid_for) for one in read] == ["1d", "1d", "7d", "7d", "7d"]


@pytest.mark.parametrize(
    ("left", "read", "after"),
    [
        ("2026-03-23", "2026-03-22", False),
        ("2026-03-23", "2026-03-23", False),
        ("2026-03-23", "2026-03-24", True),
        ("2026-03-23T12:00", "2026-03-23T11:59", False),
        ("2026-03-23T12:00", "2026-03-23T12:01", True),
        ("2026-03-23T12:00", "2026-03-23", False),
    ],
)
def test_what_is_read_after_it_left_is_told_apart(
    left: str, read: str, after: bool
) -> None:
    found = told(draft(RETIRED, retired("loan returned"), str(at(left))))

    assert (found.at(at(read)).retired is not None) is after
    assert found.retired is not None
    assert (found.retired.because, found.retired.person) == ("loan returned", "Ana")


def test_a_retirement_set_aside_is_none_and_stays_readable() -> None:
    found = told(
        draft(RETIRED, retired("sold"), "2026-03-23"),
        draft(content.INVALIDATED, content.invalidated(2, "the other"), "2026-03-24"),
    )

    assert found.retired is None
    assert found.at(at("2026-04-01")).retired is None
    assert len(found.retirements) == 1
