"""The first checks, and answers folded from entries of a study."""

from __future__ import annotations

from stability.model.follow_up import FIRST_CHECKS
from tests.evaluation.builders import Bench, bulk, sample

JAR = "HDC-001-A"


def test_the_first_checks_begin_with_the_sample_and_end_with_a_repeat() -> None:
    # Common practice: what is quickest to be wrong is looked at first, and the reading
    # is repeated when all else is known.
    assert tuple(FIRST_CHECKS) == (
        "right sample", "temperature", "calibration", "weight", "control",
        "repeat reading",
    )  # fmt: skip


def test_an_answer_is_folded_with_its_checks_in_their_order() -> None:
    made = Bench([bulk(), sample(JAR, "ROOM")])
    read = made.read("BULK-A", "pH", "T0", "4.50", done="2025-01-09")
    made.answer(
        read, "confirmed", "2025-01-10", "dried out", weight="no", right_sample="yes"
    )

    (answer,) = made.record("2025-02-01").answers

    assert (answer.refers_to, answer.position) == (read, read + 1)
    assert (answer.question, answer.outcome) == ("outside its limit", "confirmed")
    assert (answer.because, answer.person) == ("dried out", "Mara")
    assert list(answer.checks) == list(FIRST_CHECKS)
    assert answer.checks_text == (
        "right sample: yes; weight: no; not looked at: temperature, calibration, "
        "control, repeat reading"
    )
