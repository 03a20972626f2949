"""Storage places folded from their entries."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from stability.model import content, place_content
from stability.model.content import Content
from stability.model.entry import Draft, Entry, chain
from stability.model.logger_form import LoggerForm, LogSummary, form_content, form_of
from stability.model.moment import Moment
from stability.model.place import PlaceRecord, day_ends, fold_place
from stability.model.place_words import happening_words

SUBJECT = "place:OVEN-7KQ4"
FORM = LoggerForm(
    "utf-8", ";", 3, ("Date", "Clock"), "Temp", None, "day-first", ",", "°C", "+01:00"
)
SUMMARY = LogSummary(FORM, 100, 2, 1, 0, "2026-03-02T09:00:00Z", "2026-03-09T09:00:00Z")


def draft(kind: str, held: Content, done: str = "2026-03-02") -> Draft:
    """Return an entry to be."""
    return Draft(SUBJECT, kind, "Nora", done, "2026-03-10T12:00:00Z", held)


def registered(**rules: object) -> Draft:
    """Return a registration of an oven at 40 ± 2 °C."""
    meant = {"temperature": "40", "tolerance": "2", "longest_gap": "2h", "usual": True}
    held = place_content.registered(
        "OVEN",
        "incubator",
        "Europe/Dublin",
        **{**meant, **rules},  # type: ignore[arg-type]
    )
    return draft(place_content.REGISTERED, held)


def folded(*drafts: Draft) -> PlaceRecord:
    """Fold a registration and what follows."""
    return fold_place(entries(*drafts))


def entries(*drafts: Draft) -> tuple[Entry, ...]:
    """Return the chain of a place."""
    return chain([registered(), *drafts])


def answer(start: str, end: str, outcome: str, study: str | None = None) -> Draft:
    """Return an answer."""
    held = place_content.answered(
        2, start, end, outcome=outcome, because="no jar was there", study=study
    )
    return draft(content.ANSWERED, held)


def hour(number: int) -> datetime:
    """Return an hour of 4 March 2026 in UTC."""
    return datetime(2026, 3, 4, tzinfo=UTC) + timedelta(hours=number)


def test_a_registration_tells_what_is_meant() -> None:
    oven = folded()

    assert (oven.code, oven.name) == ("OVEN-7KQ4", "OVEN")
    assert oven.meant == (Decimal(38), Decimal(42))
    assert oven.meant_words() == "40 ± 2 °C"
    assert oven.gap_hours == pytest.approx(2)


def test_a_measured_range_and_no_range_at_all() -> None:
    shelf = fold_place(
        chain([registered(temperature=None, tolerance=None, between=("15", "27"))])
    )
    sill = fold_place(chain([registered(temperature=None, tolerance=None)]))

    assert shelf.meant == (Decimal(15), Decimal(27))
    assert shelf.meant_words() == "15 to 27 °C, not controlled"
    assert sill.meant is None
    assert sill.meant_words() == "no temperature meant"


def test_records_of_three_kinds_are_read_back() -> None:
    oven = folded(
        draft(
            place_content.LOGGED,
            place_content.logged("oven.csv", "ab" * 32, 9, SUMMARY),
        ),
        draft(place_content.LOOKED, place_content.looked("38.9", "41.2")),
        draft(
            place_content.EVENT,
            place_content.event(
                "power cut", "2026-03-04T21:00:00Z", "2026-03-05T06:00:00Z", "colder"
            ),
        ),
    )

    log = oven.logs()[0]
    assert (log.name, log.form, log.readings, log.impossible) == (
        "oven.csv",
        FORM,
        100,
        1,
    )
    assert log.last - log.first == timedelta(days=7)
    assert (oven.looks()[0].lowest, oven.looks()[0].highest) == (
        Decimal("38.9"),
        Decimal("41.2"),
    )
    power = oven.events()[0]
    assert (power.what, power.direction) == ("power cut", "colder")
    assert power.end - power.start == timedelta(hours=9)


def test_what_was_set_aside_does_not_stand_but_is_kept() -> None:
    oven = folded(
        draft(place_content.LOOKED, place_content.looked("3", "41.2")),
        draft(content.INVALIDATED, content.invalidated(2, "typed 3 for 38")),
    )

    assert oven.looks() == ()
    aside = oven.happenings[2].invalidated
    assert aside is not None
    assert aside.because == "typed 3 for 38"


def test_an_answer_covers_what_lies_within_it() -> None:
    oven = folded(answer("2026-03-04T01:00:00Z", "2026-03-04T10:00:00Z", "continued"))

    assert oven.answer_to(hour(1), hour(10), None)
    assert oven.answer_to(hour(3), hour(4), "ABC")
    assert not oven.answer_to(hour(0), hour(2), None)
    assert not oven.answer_to(hour(9), hour(11), None)


def test_an_answer_of_an_earlier_version_told_no_side_and_holds_for_both() -> None:
    oven = folded(answer("2026-03-04T01:00:00Z", "2026-03-04T10:00:00Z", "continued"))

    assert oven.answers()[0].sides is None
    assert oven.answer_to(hour(3), hour(4), None, "hotter")
    assert oven.answer_to(hour(3), hour(4), None, "colder")


def test_an_answer_to_one_side_says_so_and_leaves_the_other_open() -> None:
    held = place_content.answered(
        2, "2026-03-04T01:00:00Z", "2026-03-04T10:00:00Z", outcome="continued",
        because="below the temperature meant", study=None, sides=("colder",),
    )  # fmt: skip
    oven = folded(draft(content.ANSWERED, held))

    assert oven.answer_to(hour(3), hour(4), None, "colder")
    assert not oven.answer_to(hour(3), hour(4), None, "hotter")
    assert happening_words(oven.answers()[0], oven) == (
        "2026-03-04 01:00 to 2026-03-04 10:00, colder than meant, answered: continued, "
        "because below the temperature meant"
    )


def test_the_last_answer_stands_and_one_for_a_study_before_one_for_all() -> None:
    long = ("2026-03-04T00:00:00Z", "2026-03-05T00:00:00Z")
    oven = folded(
        answer(*long, "restarted", "ABC"),
        answer(*long, "continued"),
        answer(*long, "replaced"),
    )

    def outcome(study: str | None) -> str | None:
        given = oven.answer_to(hour(1), hour(2), study)
        return given.outcome if given else None

    assert outcome("ABC") == "restarted"
    assert outcome("XYZ") == outcome(None) == "replaced"


def test_logs_stand_by_their_first_reading() -> None:
    later = LogSummary(FORM, 5, 0, 0, 0, "2026-02-02T09:00:00Z", "2026-02-03T09:00:00Z")
    oven = folded(
        *(
            draft(place_content.LOGGED, place_content.logged(name, name * 32, 9, one))
            for name, one in (("ab", SUMMARY), ("cd", later))
        )
    )

    assert [one.name for one in oven.logs()] == ["cd", "ab"]


def test_a_chain_that_begins_otherwise_or_holds_a_stranger_breaks_the_contract() -> (
    None
):
    with pytest.raises(ValueError, match="begins with its registration"):
        fold_place(())
    with pytest.raises(ValueError, match="unknown kind noted/1"):
        folded(draft(content.NOTED, content.noted("hello")))


def test_a_form_is_kept_as_it_was() -> None:
    assert form_of(form_content(FORM)) == FORM
    assert FORM.words() == (
        "time from Date and Clock (day-first, +01:00), temperature from Temp (°C), "
        "decimal comma"
    )


def test_a_day_goes_from_midnight_to_midnight_also_where_clocks_change() -> None:
    start, end = day_ends(Moment(date(2025, 10, 26)), ZoneInfo("Europe/Dublin"))

    assert end.astimezone(UTC) - start.astimezone(UTC) == timedelta(hours=25)
    assert day_ends(Moment(date(2026, 3, 4), hour(3)), ZoneInfo("UTC"))[1] == hour(3)
