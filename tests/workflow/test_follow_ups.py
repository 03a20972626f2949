"""Follow-ups from the reading that opens one to the answer that closes it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stability.errors.samples import EntryReferenceError, FollowUpError
from stability.model.follow_up import FIRST_CHECKS
from stability.workflow import bench, evaluate, follow_ups, studies
from stability.workflow.marks import judged_now
from stability.workflow.occasion import Occasion
from stability.workflow.written import Written
from tests.records.small_study import BULK_A, ROOM_A, T40_2W

At = Callable[[str], Occasion]
LOW, GOOD = 5, 6


@pytest.fixture
def outside(at: At) -> At:
    """Return the maker of occasions: HDC/5 lies outside its limit, HDC/6 inside."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    log(at("2026-03-20"), T40_2W, "pH=4.80/4.82")
    log(at("2026-03-20"), ROOM_A, "pH=5.47/5.49")
    return at


def log(
    at: Occasion,
    code: str,
    *readings: str,
    check: str | None = None,
    repeat: str | None = None,
) -> tuple[Written, ...]:
    """Log readings, however far from the last ones."""
    return bench.log(at, code, readings, accept_far=True, check=check, repeat=repeat)


def opened(at: Occasion, written: tuple[Written, ...]) -> tuple[str, ...]:
    """Return what is told of follow-ups after readings are stored."""
    return follow_ups.open_lines(judged_now(at, written))


def answer(
    at: Occasion, reference: str = "HDC/5", **more: object
) -> tuple[Written, ...]:
    """Answer as usual, but for what a test says."""
    said = {
        "checked": ["right=yes"],
        "outcome": "confirmed",
        "because": "again",
        **more,
    }
    return follow_ups.follow_up(at, reference, **said)  # type: ignore[arg-type]


def test_a_reading_outside_tells_what_to_look_at_first(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    bench.place(at("2026-03-06"), [T40_2W])
    now = at("2026-03-20")

    told, command = opened(now, log(now, T40_2W, "pH=4.80/4.82", "sep=layer"))

    assert told.startswith(
        "HDC/4, HDC/5  outside: follow-ups are open. Look in this order: 1 right "
    )
    places = [
        told.index(f"{number} {name}:") for number, name in enumerate(FIRST_CHECKS, 1)
    ]
    assert places == sorted(places)
    assert "never replaces it" in told
    assert command.strip().startswith("stability follow-up HDC/4 --checked ")


def test_a_reading_inside_tells_nothing(outside: At) -> None:
    now = outside("2026-03-20")

    assert opened(now, log(now, ROOM_A, "sep=none")) == ()
    assert follow_ups.open_lines(None) == ()


def test_a_repeat_of_a_reading_outside_opens_nothing_new(outside: At) -> None:
    now = outside("2026-03-20")

    assert opened(now, log(now, T40_2W, "pH=4.79/4.80", repeat="doubted")) == ()


def test_a_failed_sample_opens_a_follow_up_as_it_leaves(outside: At) -> None:
    (failed,) = bench.retire(
        outside("2026-03-21"), T40_2W, "mouldy", because="grey dots"
    )
    (broken,) = bench.retire(outside("2026-03-21"), ROOM_A, "broken", because="fell")

    assert failed.remarks[0].startswith(
        f"{failed.reference}  outside: a follow-up is open"
    )
    assert broken.remarks == ()
    found = follow_ups.follow_ups(outside("2026-03-21"), "HDC")
    assert [(one.position, one.attribute) for one in found] == [
        (LOW, "pH"), (failed.position, "sample"),
    ]  # fmt: skip


def test_an_answer_is_stored_and_told(outside: At) -> None:
    (written,) = answer(outside("2026-03-21"))

    assert written.kind == "answered"
    assert written.text == "follow-up of HDC/5 (pH 4.81 at 2w: below 5.0): confirmed"
    assert written.remarks == ()
    (one,) = follow_ups.follow_ups(outside("2026-03-21"), "HDC")
    assert (one.state, one.answer and one.answer.because) == ("answered", "again")
    told = studies.history(outside("2026-03-21"), "HDC")[-1].text
    assert told.startswith(
        "follow-up of 5, outside its limit: confirmed, because again; "
    )
    assert "; right sample: yes" in told


@pytest.mark.parametrize("outcome", ["measuring fault found", "wrong sample"])
def test_a_fault_leads_to_invalidate_and_sets_nothing_aside(
    outside: At, outcome: str
) -> None:
    checked = ["right sample=no"] if outcome == "wrong sample" else ["calibration=no"]

    (written,) = answer(outside("2026-03-21"), checked=checked, outcome=outcome)

    (remark,) = written.remarks
    assert f"stability invalidate HDC/5 --because '{outcome}: …'" in remark
    seen = evaluate.show(outside("2026-03-21"), "HDC", attribute="pH", sample="009Q")
    assert [one.is_outside for one in seen] == [True]


def test_a_later_answer_says_what_it_stands_before(outside: At) -> None:
    answer(outside("2026-03-21"), outcome="not explained")

    (written,) = answer(outside("2026-03-22"))

    assert written.remarks == (
        "stands before the answer in entry 7 (not explained), which stays readable",
    )


def test_the_open_ones_are_listed_first(outside: At) -> None:
    answer(outside("2026-03-21"))
    log(outside("2026-03-21"), ROOM_A, "sep=layer", check="extra")

    found = follow_ups.follow_ups(outside("2026-03-21"), "HDC")

    assert [one.state for one in found] == ["open", "answered"]
    before = follow_ups.follow_ups(outside("2026-03-22"), "HDC", as_of="2026-03-20")
    assert [one.state for one in before] == ["open"]


def test_below_a_reading_stands_its_follow_up(outside: At) -> None:
    shown = evaluate.shown(outside("2026-03-21"), "HDC")

    assert [one.words for one in shown.follow_ups] == ["follow-up open"]
    assert shown.judged == evaluate.show(outside("2026-03-21"), "HDC")


@pytest.mark.parametrize(
    ("reference", "error"),
    [
        ("HDC/6", FollowUpError),
        ("HDC/1", EntryReferenceError),
        ("HDC/99", EntryReferenceError),
        ("5", EntryReferenceError),
        ("HDC/x", EntryReferenceError),
    ],
)
def test_what_lies_inside_or_is_nothing_is_not_followed_up(
    outside: At, reference: str, error: type[Exception]
) -> None:
    before = studies.history(outside("2026-03-21"), "HDC")

    with pytest.raises(error):
        answer(outside("2026-03-21"), reference)

    assert studies.history(outside("2026-03-21"), "HDC") == before


def test_a_jar_seen_swollen_and_taken_out_is_told_as_one_matter(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    bench.place(at("2026-03-06"), [T40_2W])
    (seen,) = bench.log(at("2026-03-20"), T40_2W, ["swollen=yes"])

    (left,) = bench.retire(at("2026-03-20"), T40_2W, "gassing", because="lid domed")

    (remark,) = left.remarks
    assert remark == (
        f"belongs to the follow-up of {seen.reference}, open: one answer holds for "
        "both, and stability follow-up --list HDC tells of both"
    )
    answer(at("2026-03-21"), left.reference)
    (one,) = follow_ups.follow_ups(at("2026-03-21"), "HDC")
    assert (one.state, len(one.positions)) == ("answered", 2)
