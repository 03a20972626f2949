"""One evaluation as of a day."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from tests.evaluation.builders import Bench, bulk, measured, sample


def bench() -> Bench:
    """Return a bench with one jar at 40 °C, read twice."""
    made = Bench([bulk(), sample("HDC-001-A", "T40")])
    made.read("BULK-A", "pH", "T0", "5.50", "5.50", done="2025-01-09")
    made.place("HDC-001-A", "T40")
    made.read("HDC-001-A", "pH", "2w", "5.40", "5.40", done="2025-01-24")
    return made


def test_a_study_without_readings_is_evaluated() -> None:
    evaluation = Bench([bulk(), sample("HDC-001-A", "ROOM")]).evaluate("2025-01-07")

    assert evaluation.identity.state == "interim"
    assert evaluation.identity.first_reading is None
    assert evaluation.judged == ()
    assert evaluation.months_shown == 0
    assert evaluation.months_shown_text == "no long-term check passed yet"


def test_it_carries_the_anchor_the_fingerprint_and_the_day() -> None:
    made = bench()

    identity = made.evaluate("2025-02-01").identity

    assert identity.head.position == len(made.drafts)
    assert str(identity.head).startswith("study:HDC/4:")
    assert len(identity.fingerprint) == 64
    assert identity.as_of.isoformat() == "2025-02-01"
    assert (identity.batches, identity.packs) == (1, 2)


def test_what_was_stored_later_does_not_enter_an_earlier_day() -> None:
    made = bench()
    made.read(
        "HDC-001-A", "pH", "2w", "4.0", done="2025-01-24",
        entered="2025-02-02T00:30:00Z", repeats=4, because="doubted",
    )  # fmt: skip

    assert made.evaluate("2025-02-01").outside == ()
    assert made.evaluate("2025-02-02").outside != ()


def test_the_day_ends_in_the_study_s_zone() -> None:
    made = bench()
    made.read(
        "HDC-001-A", "pH", None, "4.0", done="2025-06-30",
        entered="2025-06-30T23:30:00Z",
    )  # fmt: skip

    # 23:30 UTC is 00:30 of the first of July in Dublin.
    assert made.evaluate("2025-06-30").outside == ()
    assert made.evaluate("2025-07-01").outside != ()


def test_a_correction_of_a_later_day_leaves_the_earlier_evaluation_as_it_was() -> None:
    made = bench()
    made.correct(4, "5.35", "5.35", done="2025-03-01")

    before = measured(made.evaluate("2025-02-01"), "pH").points[-1]
    after = measured(made.evaluate("2025-03-01"), "pH").points[-1]

    assert (before.text, after.text) == ("5.40", "5.35")


def test_limits_are_said_to_be_recorded_before_or_after_the_first_reading() -> None:
    before = bench().evaluate("2025-02-01").identity.limits_recorded
    late = Bench([bulk()], opened="2025-02-01")
    late.read(
        "BULK-A", "pH", "T0", "5.5", done="2025-01-09", entered="2025-02-02T09:00:00Z"
    )
    same = Bench([bulk()], opened="2025-01-09")
    same.read("BULK-A", "pH", "T0", "5.5", done="2025-01-09")

    assert "before the first reading on 2025-01-09; no outside witness" in before
    assert "after the first reading" in (
        late.evaluate("2025-03-01").identity.limits_recorded
    )
    assert "on the day of the first reading" in (
        same.evaluate("2025-03-01").identity.limits_recorded
    )


def test_every_observation_ever_made_is_there_in_order() -> None:
    made = bench()
    made.correct(4, "5.35", done="2025-02-02")
    made.invalidate(2, "wrong meter", "2025-02-03")

    positions = [one.position for one in made.evaluate("2025-02-04").judged]

    assert positions == [2, 4, 5]


def test_the_whole_evaluation_is_frozen_records_and_tuples() -> None:
    evaluation = bench().evaluate("2025-02-01")

    assert list(_mutable(evaluation, "evaluation")) == []


def _mutable(value: Any, path: str) -> list[str]:
    if isinstance(value, list | set):
        return [path]
    if isinstance(value, tuple):
        return [one for part in value for one in _mutable(part, path)]
    if is_dataclass(value) and not path.endswith(("study", "protocol")):
        return [
            one
            for field in fields(value)
            for one in _mutable(getattr(value, field.name), f"{path}.{field.name}")
        ]
    return []


def test_the_same_record_gives_the_same_evaluation() -> None:
    made = bench()

    assert made.evaluate("2025-02-01") == made.evaluate("2025-02-01")
