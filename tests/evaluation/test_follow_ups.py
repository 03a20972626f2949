"""Follow-ups open by themselves, close by an answer, and hide nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from stability.evaluation.findings import Evaluation
from stability.evaluation.follow_up_findings import FollowUp
from stability.evaluation.follow_ups import asked_by, told_by
from stability.model.moment import Moment
from stability.model.observation import Retirement
from tests.evaluation.builders import (
    PLACED,
    ROOM_CHECKS,
    Bench,
    bulk,
    judged_at,
    measured,
    sample,
)

#: Both bounds of the limit of pH, passed.
BOTH = "below 5.0; above 5.9"
JAR, HOT = "HDC-001-A", "HDC-002-B"
DAYS = {"4w": "2025-02-07", "3M": "2025-04-10", "6M": "2025-07-10", "9M": "2025-10-10",
        "12M": "2026-01-10"}  # fmt: skip


def bench() -> Bench:
    """Return a study with one jar at room and one in the warm, T0 read."""
    made = Bench([bulk(), sample(JAR, "ROOM"), sample(HOT, "T40")])
    made.read("BULK-A", "pH", "T0", "5.50", "5.50", done="2025-01-09")
    for code, condition in ((JAR, "ROOM"), (HOT, "T40")):
        made.place(code, condition, done=PLACED.isoformat())
    return made


def asked(evaluation: Evaluation) -> list[tuple[int, str]]:
    """Return position and state of every follow-up."""
    return [(one.position, one.state) for one in evaluation.follow_ups]


def test_only_what_lies_outside_asks() -> None:
    made = bench()
    made.read(JAR, "pH", "4w", "5.40", "5.41", done=DAYS["4w"])
    low = made.read(HOT, "pH", "4w", "4.90", "4.91", done=DAYS["4w"])
    found = made.evaluate("2025-02-08")

    (one,) = found.follow_ups
    assert (one.position, one.sample, one.condition) == (low, HOT, "T40")
    assert one.text == "pH 4.905 at 4w: below 5.0"
    assert one.words == "follow-up open"
    assert one.answer is None


def test_an_answer_closes_it_and_a_later_one_stands_before() -> None:
    made = bench()
    low = made.read(HOT, "pH", "4w", "4.90", "4.91", done=DAYS["4w"])
    one_day = made.answer(
        low, "not explained", "2025-02-08", "meter away", calibration="no"
    )
    later = made.answer(low, "confirmed", "2025-02-10", "meter two", calibration="yes")
    found = made.evaluate("2025-02-11")

    (one,) = found.follow_ups
    assert [said.position for said in one.answers] == [one_day, later]
    assert one.answer is one.answers[1]
    assert one.words == f"follow-up: confirmed (entry {later}): meter two"
    rest = "not looked at: right sample, temperature, weight, control, repeat reading"
    asked_first = f"of entry {low}, outside its limit: "
    after = f"superseded by entry {later}"
    assert [remark.text for remark in found.record.of("follow-up")] == [
        f"{asked_first}not explained: meter away (calibration: no; {rest}); {after}",
        f"{asked_first}confirmed: meter two (calibration: yes; {rest})",
    ]


def test_an_answer_sets_nothing_aside() -> None:
    made = bench()
    low = made.read(HOT, "pH", "4w", "4.90", "4.91", done=DAYS["4w"])
    made.answer(low, "measuring fault found", "2025-02-08", "buffer", calibration="no")
    found = made.evaluate("2025-02-09")

    assert judged_at(found, low).is_outside
    assert found.anything_outside
    aside = made.invalidate(low, "buffer of the wrong pH", "2025-02-10")
    after = made.evaluate("2025-02-11")
    assert not after.anything_outside
    (one,) = after.follow_ups
    assert one.state == "answered"
    assert one.since == f"set aside by HDC/{aside}: buffer of the wrong pH"


def test_a_correction_that_lies_outside_asks_anew() -> None:
    made = bench()
    low = made.read(HOT, "pH", "4w", "4.10", "4.10", done=DAYS["4w"])
    made.answer(low, "not explained", "2025-02-08", right_sample="yes")
    again = made.correct(low, "4.90", "4.90", done=DAYS["4w"])
    found = made.evaluate("2025-02-09")

    assert asked(found) == [(low, "answered"), (again, "open")]
    assert found.follow_ups[0].since == f"corrected by HDC/{again}"


def test_a_corrected_reading_inside_asks_nothing_more() -> None:
    made = bench()
    low = made.read(HOT, "pH", "4w", "4.10", "4.10", done=DAYS["4w"])
    made.correct(low, "5.40", "5.40", done=DAYS["4w"])

    assert made.evaluate("2025-02-09").follow_ups == ()


def test_a_failed_sample_asks_and_a_broken_one_does_not() -> None:
    made = bench()
    made.retire(JAR, "broken", "2025-02-07")
    gone = made.retire(HOT, "mouldy", "2025-02-07", "grey dots")
    found = made.evaluate("2025-02-08")

    (one,) = found.follow_ups
    assert (one.position, one.attribute, one.sample) == (gone, "sample", HOT)
    assert one.text == "sample mouldy at 28 d (grey dots)"
    made.answer(gone, "confirmed", "2025-02-08", right_sample="yes")
    assert asked(made.evaluate("2025-02-09")) == [(gone, "answered")]


def test_the_study_asks_the_same_without_being_fitted() -> None:
    made = bench()
    made.read(HOT, "pH", "4w", "4.90", "4.91", done=DAYS["4w"])
    made.retire(JAR, "leaking", "2025-03-01")

    found = asked_by(made.record("2025-03-02"), date(2025, 3, 2))

    assert found == made.evaluate("2025-03-02").follow_ups
    assert len(found) == 2


# Repeats: never instead of the first, never averaged with it (FDA, Investigating
# Out-of-Specification Test Results, 2022: averaging must not hide a single result
# outside; the same from memory for the number of retests)


@pytest.fixture
def repeated() -> tuple[Bench, int, int]:
    """Return a study whose first reading at 4w is outside and its repeat inside."""
    made = bench()
    first = made.read(JAR, "pH", "4w", "4.80", "4.80", done=DAYS["4w"])
    second = made.read(
        JAR, "pH", "4w", "5.40", "5.40", done=DAYS["4w"], repeats=first,
        because="doubted",
    )  # fmt: skip
    return made, first, second


def without_repeat() -> Bench:
    """Return the same study without the repeat."""
    made = bench()
    made.read(JAR, "pH", "4w", "4.80", "4.80", done=DAYS["4w"])
    return made


def go_on(made: Bench) -> Bench:
    """Read all later checks at room inside."""
    for check, value in (
        ("3M", "5.42"),
        ("6M", "5.40"),
        ("9M", "5.39"),
        ("12M", "5.36"),
    ):
        made.read(JAR, "pH", check, value, value, done=DAYS[check])
    return made


def test_a_repeat_inside_leaves_the_first_outside(
    repeated: tuple[Bench, int, int],
) -> None:
    made, first, second = repeated
    found = made.evaluate("2025-02-08")

    assert judged_at(found, first).mark == "outside"
    assert judged_at(found, second).mark == "inside"
    (one,) = found.follow_ups
    assert one.position == first
    assert one.repeats == (f"repeat, entry {second}: 5.40, inside",)
    assert one.is_open
    (cell,) = [x for x in found.summary if (x.attribute, x.condition) == ("pH", "ROOM")]
    assert (cell.state, cell.outside, cell.read) == ("outside", 1, 2)
    assert found.outside[0].findings[0].observations[0].position == first


def test_a_repeat_inside_shortens_and_lengthens_no_life(
    repeated: tuple[Bench, int, int],
) -> None:
    with_it, without = go_on(repeated[0]), go_on(without_repeat())
    ours, theirs = with_it.evaluate("2026-01-11"), without.evaluate("2026-01-11")

    assert (ours.months_shown, ours.months_shown_text) == (
        theirs.months_shown, theirs.months_shown_text
    )  # fmt: skip
    assert ours.months_shown == 0
    assert ours.shelf_life is not None
    assert theirs.shelf_life is not None
    assert ours.shelf_life.supported.months == theirs.shelf_life.supported.months
    assert ours.shelf_life.request.outcome == theirs.shelf_life.request.outcome
    assert ours.shelf_life.supported.months == 0
    first = measured(ours, "pH").points[1]
    assert (first.check, first.value, first.outside) == ("4w", Fraction("4.80"), True)
    assert measured(ours, "pH").drift == measured(theirs, "pH").drift


def test_a_first_reading_inside_does_not_hide_a_repeat_outside() -> None:
    made = bench()
    first = made.read(JAR, "pH", "4w", "5.40", "5.40", done=DAYS["4w"])
    second = made.read(
        JAR, "pH", "4w", "4.80", "4.80", done=DAYS["4w"], repeats=first, because="odd"
    )
    found = go_on(made).evaluate("2026-01-11")

    assert asked(found) == [(second, "open")]
    assert found.months_shown == 0
    assert measured(found, "pH").points[1].value == Fraction("4.80")


def test_a_repeat_outside_is_part_of_the_follow_up_of_the_first() -> None:
    made = bench()
    first = made.read(JAR, "pH", "4w", "4.80", "4.80", done=DAYS["4w"])
    again = made.read(
        JAR, "pH", "4w", "4.70", "4.70", done=DAYS["4w"], repeats=first, because="x"
    )
    corrected = made.correct(first, "4.85", "4.85", done=DAYS["4w"])
    (one,) = made.evaluate("2025-02-08").follow_ups

    assert one.position == corrected
    assert one.repeats == (f"repeat, entry {again}: 4.70, outside",)


def test_repeats_that_all_lie_inside_are_averaged() -> None:
    made = bench()
    first = made.read(JAR, "pH", "4w", "5.40", "5.40", done=DAYS["4w"])
    made.read(
        JAR, "pH", "4w", "5.20", "5.20", done=DAYS["4w"], repeats=first, because="x"
    )
    found = made.evaluate("2025-02-08")

    assert measured(found, "pH").points[1].value == Fraction("5.30")
    assert found.follow_ups == ()


def test_another_container_outside_lets_its_neighbour_count() -> None:
    made = Bench([bulk(), *(sample(f"HDC-00{n}-A", "ROOM", use="fresh per check",
                                   checks=("4w",)) for n in (1, 2))])  # fmt: skip
    made.read("BULK-A", "pH", "T0", "5.50", done="2025-01-09")
    for code, value in (("HDC-001-A", "4.80"), ("HDC-002-A", "5.40")):
        made.place(code, "ROOM")
        made.read(code, "pH", "4w", value, done=DAYS["4w"])
    point = measured(made.evaluate("2025-02-08"), "pH").points[1]

    # Containers differ; a repeat of one container does not. Their mean is no pass.
    assert point.value == Fraction("5.10")
    assert point.outside


# Readings of one observation: their mean is judged, what it hides is told


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        (("5.96", "5.80"), "1 of 2 readings above 5.9, their mean inside"),
        (("4.95", "5.93", "5.50"), f"2 of 3 readings {BOTH}, their mean inside"),
        (("5.90", "5.00"), None),
        (("5.96", "5.95"), None),
        (("5.40",), None),
    ],
)  # fmt: skip
def test_a_single_reading_outside_is_told_beside_a_mean_inside(
    readings: tuple[str, ...], told: str | None
) -> None:
    made = bench()
    position = made.read(JAR, "pH", "4w", *readings, done=DAYS["4w"])
    seen = judged_at(made.evaluate("2025-02-08"), position)

    said = [one.text for one in seen.remarks if one.code == "single reading"]
    assert said == ([] if told is None else [told])


def test_the_checks_of_this_file_are_those_of_the_study() -> None:
    assert set(DAYS) == set(ROOM_CHECKS)
    assert FollowUp.__slots__


def swollen(made: Bench, day: str = DAYS["4w"], **sample_seen: str) -> tuple[int, int]:
    """Let the warm jar smell changed and leave as gassing; return both positions."""
    code = sample_seen.get("code", HOT)
    seen = made.read(code, "odour", "4w", "Ana:changed", "Ben:changed", done=DAYS["4w"])
    return seen, made.retire(HOT, "gassing", done=day, because="lid domed")


def test_a_jar_seen_and_taken_out_as_failed_asks_one_follow_up() -> None:
    made = bench()
    seen, left = swollen(made)

    (one,) = made.evaluate("2025-02-08").follow_ups

    assert one.positions == (seen, left)
    assert one.attribute == "odour"
    assert one.text.startswith("odour changed at 4w: ")
    assert one.text.endswith(
        f"; with it sample gassing at 28 d (lid domed), entry {left}"
    )


@pytest.mark.parametrize("of", ["reading", "leaving"])
def test_an_answer_to_either_holds_for_both(of: str) -> None:
    made = bench()
    seen, left = swollen(made)
    answer = made.answer(
        seen if of == "reading" else left, "confirmed", "2025-02-08", right_sample="yes"
    )

    (one,) = made.evaluate("2025-02-09").follow_ups

    assert one.state == "answered"
    assert [said.position for said in one.answers] == [answer]


def test_another_day_another_jar_or_a_number_is_a_matter_of_its_own() -> None:
    later, other, number, aside = bench(), bench(), bench(), bench()
    swollen(later, day="2025-02-10")
    swollen(other, code=JAR)
    number.read(HOT, "pH", "4w", "4.90", "4.91", done=DAYS["4w"])
    number.retire(HOT, "leaking", done=DAYS["4w"])
    wrong, left = swollen(aside)
    aside.invalidate(wrong, "the other jar", "2025-02-08")

    for made in (later, other, number):
        assert len(made.evaluate("2025-02-11").follow_ups) == 2
    assert [one.position for one in aside.evaluate("2025-02-11").follow_ups] == [left]


def test_what_will_belong_together_is_known_before_the_jar_leaves() -> None:
    made = bench()
    low = made.read(HOT, "pH", "4w", "4.90", "4.91", done=DAYS["4w"])
    record = made.record

    def told(code: str, day: str = DAYS["4w"]) -> FollowUp | None:
        when = Moment(date.fromisoformat(day))
        return told_by(record(), Retirement(9, code, "gassing", "domed", when, "Mara"))

    assert told(HOT) is None

    seen = made.read(HOT, "odour", "4w", "Ana:changed", "Ben:changed", done=DAYS["4w"])

    found = told(HOT)
    assert found is not None
    assert found.position == seen > low
    assert told(JAR) is None
    assert told(HOT, "2025-02-08") is None


def test_of_several_the_one_named_like_the_reason_holds_both() -> None:
    made = bench()
    rules = made.protocol
    layers = replace(rules.attributes["odour"], name="separation", observers=1)
    made.protocol = replace(rules, attributes={**rules.attributes, layers.name: layers})
    first = made.read(HOT, "odour", "4w", "Ana:changed", done=DAYS["4w"])
    named = made.read(HOT, "separation", "4w", "changed", done=DAYS["4w"])
    left = made.retire(HOT, "separated", done=DAYS["4w"])

    found = made.evaluate("2025-02-08").follow_ups
    assert [one.positions for one in found] == [(first,), (named, left)]

    made.drafts[-1].content["reason"] = "gassing"  # type: ignore[index]  # as another
    found = made.evaluate("2025-02-08").follow_ups
    assert [one.positions for one in found] == [(first, left), (named,)]
