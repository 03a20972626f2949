"""How every planned check stands on the as-of day."""

from __future__ import annotations

import pytest

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import CheckStatus
from tests.evaluation.builders import Bench, bulk, sample


def bench() -> Bench:
    """Return a bench with one jar at 40 °C, placed on 10 January 2025."""
    made = Bench([bulk(), sample("HDC-001-A", "T40")])
    made.place("HDC-001-A", "T40")
    return made


def read_all(made: Bench, check: str, done: str, code: str = "HDC-001-A") -> None:
    """Log everything that the check asks for."""
    made.read(code, "weight_loss", check, "80.0", part="before", unit="g", done=done)
    if check != "T0":
        made.read(code, "pH", check, "5.4", "5.4", done=done)
        made.read(code, "odour", check, "Ana:as control", "Ben:as control", done=done)


def status(evaluation: Evaluation, check: str, code: str = "HDC-001-A") -> CheckStatus:
    """Return how one check of one sample stands."""
    return next(
        one
        for one in evaluation.checks
        if one.sample.code == code and one.planned.check == check
    )


# 4w after 10 January is 7 February; its window is two days on either side.
@pytest.mark.parametrize(
    ("day", "state"),
    [
        ("2025-02-04", "coming"),
        ("2025-02-05", "open"),
        ("2025-02-09", "open"),
        ("2025-02-10", "not recorded"),
    ],
)
def test_a_check_is_coming_then_open_then_not_recorded(day: str, state: str) -> None:
    assert status(bench().evaluate(day), "4w").state == state


def test_a_check_is_made_when_everything_asked_for_is_read() -> None:
    made = bench()
    read_all(made, "4w", "2025-02-07")

    found = status(made.evaluate("2025-02-07"), "4w")

    assert (found.state, found.remaining) == ("made", ())
    assert str(found.made_on) == "2025-02-07"


def test_a_check_with_something_unread_is_open_and_later_partly_made() -> None:
    made = bench()
    made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-07")

    assert status(made.evaluate("2025-02-08"), "4w").state == "open"
    later = status(made.evaluate("2025-02-12"), "4w")
    assert later.state == "partly"
    assert later.remaining == (("odour", None), ("weight_loss", "before"))
    assert later.is_unrecorded


def test_what_is_not_measured_leaves_a_check_partly_made_with_the_reason() -> None:
    made = bench()
    read_all(made, "4w", "2025-02-07")
    made.read("HDC-001-A", "pH", "8w", done="2025-03-07", not_measured="meter dead")
    made.read("HDC-001-A", "odour", "8w", "Ana:as control", done="2025-03-07")
    made.read("HDC-001-A", "weight_loss", "8w", "79", part="before", done="2025-03-07")

    found = status(made.evaluate("2025-03-08"), "8w")

    assert found.state == "partly"
    assert found.text == "partly made; not measured: pH (meter dead)"


def test_nothing_but_not_measured_is_not_made() -> None:
    made = bench()
    for name, part in (("pH", None), ("odour", None), ("weight_loss", "before")):
        made.read(
            "HDC-001-A", name, "4w", done="2025-02-07", part=part, not_measured="ill"
        )

    found = status(made.evaluate("2025-02-07"), "4w")

    assert found.state == "not measured"
    assert found.made_on is None


def test_a_missed_check_keeps_its_reason_and_is_no_longer_open() -> None:
    made = bench()
    position = made.miss("4w", "HDC-001-A", because="closed", done="2025-02-07")

    found = status(made.evaluate("2025-02-07"), "4w")

    assert (found.state, found.text) == ("missed", "missed: closed")
    assert (found.refers_to, found.is_missed) == (position, True)
    assert not found.waits


def test_checks_after_a_sample_broke_are_lost_and_earlier_ones_stay_made() -> None:
    made = bench()
    read_all(made, "4w", "2025-02-07")
    made.retire("HDC-001-A", "broken", "2025-02-20", because="dropped")
    evaluation = made.evaluate("2025-02-20")

    assert status(evaluation, "4w").state == "made"
    assert status(evaluation, "8w").state == "lost"
    assert status(evaluation, "8w").text == "broken: dropped"


def test_checks_after_a_sample_failed_count_as_failed() -> None:
    made = bench()
    made.retire("HDC-001-A", "gassing", "2025-02-20")

    assert status(made.evaluate("2025-02-20"), "8w").state == "failed"


def test_checks_after_a_stop_are_stopped() -> None:
    made = bench()
    made.stop("2025-02-20", "off sale", condition="T40")

    found = status(made.evaluate("2025-02-20"), "8w")

    assert (found.state, found.text) == ("stopped", "stopped: off sale")


def test_a_replacement_has_its_own_clock() -> None:
    spare = sample("HDC-009-X", None, use="spare", checks=())
    made = Bench([bulk(), sample("HDC-001-A", "T40"), spare])
    made.place("HDC-001-A", "T40")
    made.retire("HDC-001-A", "broken", "2025-02-20")
    made.place("HDC-009-X", "T40", "2025-02-21", replaces="HDC-001-A")
    evaluation = made.evaluate("2025-02-22")

    due = status(evaluation, "4w", "HDC-009-X").planned.due
    assert due.isoformat() == "2025-03-21"
    assert "replaced by HDC-009-X" in status(evaluation, "8w").text


def test_a_corrected_observation_counts_once_and_a_set_aside_one_not_at_all() -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-07")
    made.correct(position, "5.5", done="2025-02-07")
    other = made.read("HDC-001-A", "odour", "4w", "Ana:changed", done="2025-02-07")
    made.invalidate(other, "wrong jar", "2025-02-07")

    found = status(made.evaluate("2025-02-07"), "4w")

    assert found.read == (("pH", None),)
    assert ("odour", None) in found.remaining


def test_a_jar_waiting_for_the_freezer_may_be_weighed_on_the_day_of_placing() -> None:
    made = Bench([bulk(), sample("HDC-001-A", "FT")])
    made.place("HDC-001-A", "FT", "2025-01-24", cycle=1, step=1)
    read_all(made, "T0", "2025-01-24")
    evaluation = made.evaluate("2025-01-24")

    assert status(evaluation, "T0").state == "made"
    assert evaluation.record.of("late") == ()


def test_the_study_is_final_when_no_check_waits() -> None:
    made = bench()
    made.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-08")
    made.read("BULK-A", "odour", "T0", "Ana:as control", done="2025-01-08")
    read_all(made, "T0", "2025-01-10")
    for check, done in (
        ("2w", "2025-01-24"),
        ("4w", "2025-02-07"),
        ("8w", "2025-03-07"),
    ):
        read_all(made, check, done)
    assert made.evaluate("2025-03-08").identity.state == "interim"

    read_all(made, "12w", "2025-04-04")

    evaluation = made.evaluate("2025-04-04")
    assert evaluation.identity.state == "final"
    assert evaluation.coming == ()


def test_an_unexplained_gap_keeps_the_study_interim() -> None:
    evaluation = bench().evaluate("2026-12-31")

    assert evaluation.identity.state == "interim"
    assert {one.state for one in evaluation.coming} == {"not recorded"}


def test_samples_with_the_same_dates_come_together_in_order() -> None:
    made = Bench(
        [sample("HDC-001-A", "T40"), sample("HDC-002-B", "T40")],
    )
    for code in ("HDC-001-A", "HDC-002-B"):
        made.place(code, "T40")
    coming = made.evaluate("2025-01-15").coming

    checks = [one.check for one in coming if one.state == "coming"]
    assert checks == ["2w", "4w", "8w", "12w"]
    assert coming[-1].samples == ("HDC-001-A", "HDC-002-B")


def test_a_sample_that_broke_inside_the_window_is_lost_for_that_check() -> None:
    made = bench()
    made.retire("HDC-001-A", "broken", "2025-02-08", because="dropped")

    found = status(made.evaluate("2025-02-08"), "4w")

    assert (found.state, found.text) == ("lost", "broken: dropped")
