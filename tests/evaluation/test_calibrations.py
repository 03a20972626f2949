"""Whether what was read rests on a calibrated instrument; nothing is changed by it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.evaluation.findings import Evaluation
from stability.model.instrument import InstrumentRecord
from tests.evaluation.builders import Bench, judged_at
from tests.evaluation.instruments import bench, evaluated, instrument, read

GOOD = instrument("PH1-9XR2", "pH meter", ("2025-02-07", True), ("2025-04-10", True))
FAILS = instrument("PH1-9XR2", "pH meter", ("2025-02-07", True), ("2025-04-20", False))


def jar() -> tuple[Bench, int, int]:
    """Return a bench with a pH of 4w and one of 3M, both read with PH1."""
    made = bench()
    first = read(made, "2025-02-07", "5.50", "PH1-9XR2", "4w")
    second = read(made, "2025-04-10", "5.45", "PH1", "3M")
    return made, first, second


def told(evaluation: Evaluation, position: int) -> list[tuple[str, str, str]]:
    """Return the remarks on the instrument of one observation."""
    codes = {"calibration", "doubtful", "recorded setting", "retired instrument"}
    remarks = judged_at(evaluation, position).remarks
    return [(one.code, one.weight, one.text) for one in remarks if one.code in codes]


def test_with_a_valid_calibration_nothing_is_remarked() -> None:
    made, first, _ = jar()
    evaluation = evaluated(made, "2025-05-01", GOOD)

    assert told(evaluation, first) == []
    assert evaluation.record.of("doubtful", "not calibrated") == ()
    (use,) = evaluation.instruments.uses
    assert use.text == "PH1-9XR2: 2 observations, all with a valid calibration."
    assert [str(one.done) for one in use.calibrations] == ["2025-02-07", "2025-04-10"]


def test_without_a_valid_calibration_a_reading_carries_a_caution() -> None:
    made, _, second = jar()
    lapsed = instrument("PH1-9XR2", "pH meter", ("2025-02-07", True))
    evaluation = evaluated(made, "2025-05-01", lapsed)

    text = (
        "no valid calibration of PH1 on that day (last 2025-02-07, valid on that day "
        "only)"
    )
    assert ("calibration", "remark", text) in told(evaluation, second)
    (row,) = evaluation.record.of("not calibrated")
    assert (row.text, row.position, row.weight) == (text, second, "remark")
    assert evaluation.instruments.uses[0].lacking == (second,)


def test_a_failed_calibration_makes_readings_doubtful_and_not_corrected() -> None:
    made, first, second = jar()
    evaluation = evaluated(made, "2025-05-01", FAILS)

    doubt = (
        "doubtful: PH1 failed its calibration on 2025-04-20; readings since the last "
        "good one on 2025-02-07 are doubtful, not corrected"
    )
    for position in (first, second):
        assert ("doubtful", "deviation", doubt) in told(evaluation, position)
        assert judged_at(evaluation, position).is_doubtful
    rows = evaluation.record.of("doubtful")
    assert [(one.position, one.attribute) for one in rows] == [
        (first, "pH"), (second, "pH"),
    ]  # fmt: skip
    use = evaluation.instruments.uses[0]
    assert use.doubtful == (first, second)
    assert use.text == (
        "PH1-9XR2: 2 observations, 2 doubtful, not corrected, 1 without a valid "
        "calibration."
    )


def test_a_failure_without_any_good_calibration_says_so() -> None:
    made, first, _ = jar()
    never = instrument("PH1-9XR2", "pH meter", ("2025-04-20", False))

    texts = [text for _, _, text in told(evaluated(made, "2025-05-01", never), first)]
    assert texts[0] == (
        "doubtful: PH1 failed its calibration on 2025-04-20 and no good one before "
        "this reading is on record; not corrected"
    )
    assert "no calibration of PH1 on record by that day" in texts


@given(st.sampled_from([GOOD, FAILS]), st.booleans())
@settings(max_examples=4, deadline=None)
def test_neither_values_nor_marks_nor_lines_depend_on_an_instrument(
    meter: InstrumentRecord, known: bool
) -> None:
    made, *_ = jar()
    plain = evaluated(made, "2025-05-01")
    other = evaluated(made, "2025-05-01", *([meter] if known else []))

    def numbers(evaluation: Evaluation) -> object:
        return (
            [(one.mark, one.value, one.takes_part) for one in evaluation.judged],
            evaluation.measured,
            evaluation.shown,
            evaluation.shelf_life,
            evaluation.outside,
        )

    assert str(numbers(plain)) == str(numbers(other))


def test_a_reading_after_the_instrument_left_carries_a_caution_and_counts() -> None:
    made, first, second = jar()
    left = instrument("PH1-9XR2", "pH meter", ("2025-02-07", True),
                      ("2025-04-10", True), left="2025-03-23")  # fmt: skip
    evaluation = evaluated(made, "2025-05-01", left)

    text = "PH1 was retired on 2025-03-23, before this reading (loan returned)"
    assert told(evaluation, first) == []
    assert ("retired instrument", "remark", text) in told(evaluation, second)
    (row,) = evaluation.record.of("retired instrument")
    assert (row.text, row.position) == (text, second)
    use = evaluation.instruments.uses[0]
    assert use.retired == (second,)
    assert use.text == "PH1-9XR2: 2 observations, 1 after it was retired."
    assert judged_at(evaluation, second).takes_part


def test_a_reading_beyond_the_buffers_is_remarked_on() -> None:
    made = bench()
    beyond = read(made, "2025-02-07", "7.20", "PH1", "4w")
    evaluation = evaluated(made, "2025-03-01", GOOD)

    assert told(evaluation, beyond) == [
        (
            "calibration", "remark",
            "outside the buffers 4.01 to 7.00 of the calibration of PH1 on 2025-02-07",
        )
    ]  # fmt: skip


def test_another_instrument_than_before_is_a_remark_and_no_new_series() -> None:
    made = bench()
    read(made, "2025-02-07", "5.50", "PH1-9XR2", "4w")
    other = read(made, "2025-04-10", "5.45", "PH2-7KQ4", "3M")
    second = instrument("PH2-7KQ4", "pH meter", ("2025-04-10", True))
    evaluation = evaluated(made, "2025-05-01", GOOD, second)

    text = "instrument PH2-7KQ4, before PH1-9XR2"
    assert told(evaluation, other) == [("recorded setting", "remark", text)]
    assert len(evaluation.measured) == 1
    assert len(evaluation.instruments.uses) == 2


def test_a_study_that_names_none_gets_one_caution_and_no_remarks() -> None:
    made = bench()
    read(made, "2025-02-07", "5.50", None, "4w")
    read(made, "2025-04-10", "5.45", None, "3M")
    made.read("HDC-001-A", "weight_loss", "4w", "90", done="2025-02-07", part="before")
    made.read("HDC-001-A", "odour", "4w", "as control", done="2025-02-07")
    evaluation = evaluated(made, "2025-05-01", GOOD)

    (line,) = evaluation.instruments.lines
    assert line == (
        "No instrument is named for pH and weight loss; whether it was calibrated is "
        "not on record."
    )
    assert evaluation.record.of("doubtful", "not calibrated") == ()
    assert all(
        one.code != "calibration" for s in evaluation.judged for one in s.remarks
    )


def test_readings_without_among_others_with_an_instrument_are_counted() -> None:
    made = bench()
    read(made, "2025-02-07", "5.50", "PH1", "4w")
    read(made, "2025-04-10", "5.45", None, "3M")
    found = evaluated(made, "2025-05-01", GOOD).instruments

    assert found.unnamed == (("pH", 1, 2),)
    assert "pH (1 of 2 observations)" in found.caution


def test_an_instrument_that_nobody_registered_is_told() -> None:
    made = bench()
    first = read(made, "2025-02-07", "5.50", "PH7", "4w")
    second = read(made, "2025-04-10", "5.45", "PH7", "3M")
    evaluation = evaluated(made, "2025-05-01", GOOD)

    text = "no calibration known: PH7 is not a registered instrument"
    assert told(evaluation, first) == [("calibration", "remark", text)]
    (row,) = evaluation.record.of("not calibrated")
    assert row.text == f"{text}: 2 observations, entries {first} and {second}"
    assert (row.sample, row.check, row.attribute) == (None, None, "pH")
    assert evaluation.instruments.uses == ()


def test_a_short_name_of_two_instruments_tells_neither() -> None:
    made = bench()
    short = read(made, "2025-02-07", "5.50", "PH1", "4w")
    other = instrument("PH1-7KQ4", "pH meter", ("2025-02-07", True))
    evaluation = evaluated(made, "2025-05-01", other, GOOD)

    ((_, _, text),) = told(evaluation, short)
    assert text == "no calibration known: PH1 may be PH1-7KQ4 or PH1-9XR2"
    assert evaluation.instruments.uses == ()


@pytest.mark.parametrize(
    ("stated", "unnamed", "uses"),
    [("rotational, model R", (("viscosity", 1, 1),), 0), ("V1", (), 1)],
)
def test_a_fixed_setting_may_name_an_instrument_or_only_describe_it(
    stated: str, unnamed: tuple[tuple[str, int, int], ...], uses: int
) -> None:
    made = bench()
    position = made.read("HDC-001-A", "viscosity", "4w", "2.0", done="2025-02-07",
                         settings={"instrument": stated})  # fmt: skip
    meter = instrument("V1-CCCC", "viscometer", ("2025-02-01", True), valid_for="1M")
    evaluation = evaluated(made, "2025-05-01", meter)

    assert told(evaluation, position) == []
    assert evaluation.instruments.unnamed == unnamed
    assert len(evaluation.instruments.uses) == uses


def test_superseded_and_unread_observations_rest_on_no_instrument() -> None:
    made, first, second = jar()
    made.invalidate(first, "wrong jar", "2025-02-08")
    made.correct(second, "5.46", "5.46", done="2025-04-11")
    evaluation = evaluated(made, "2025-05-01", FAILS)

    (use,) = evaluation.instruments.uses
    assert use.observations == 1
    assert len(evaluation.record.of("doubtful")) == 1
    (lacking,) = evaluation.record.of("not calibrated")
    assert lacking.position not in {first, second}


def test_amended_studies_keep_their_doubts() -> None:
    made, first, _ = jar()
    tighter = replace(made.protocol, version="2")
    made.amend(tighter, "2025-02-10")
    evaluation = evaluated(made, "2025-05-01", FAILS)

    assert judged_at(evaluation, first).is_doubtful
    assert len(evaluation.record.of("doubtful")) == 2
