"""What storage places did while samples stood there, and beside which readings."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from stability.evaluation.spells import spells_of
from stability.evaluation.storage_findings import ConditionStorage, Storage
from stability.model.surroundings import ALONE
from stability.statistics.temperature import mean_kinetic_temperature
from tests.evaluation.builders import HOT_CHECKS, Bench, bulk, judged_at, sample, study
from tests.evaluation.stored import PLACED, Place, evaluated

#: Twelve weeks at 40 °C, off for 9 hours after 12 days.
HOURS = 84 * 24
OFF = [40.0] * (12 * 24) + [25.0] * 9 + [40.0] * (HOURS - 12 * 24 - 9 + 1)


def hot(**placing: str) -> Bench:
    """Return a study with one jar at 40 °C."""
    bench = Bench([bulk(), sample("A-HOT", "T40")])
    bench.place("A-HOT", "T40", place="OVEN", **placing)
    return bench


def t40(storage: Storage) -> ConditionStorage:
    """Return what the condition T40 was."""
    found = storage.of("T40")
    assert found is not None
    return found


def test_a_sample_stands_in_its_place_until_it_is_read_for_the_last_time() -> None:
    bench = hot()
    days = ("2025-01-24", "2025-02-07", "2025-03-07", "2025-04-04")
    for check, done in zip(HOT_CHECKS, days, strict=True):
        bench.read("A-HOT", "pH", check, "5.4", done=done)
    (spell,) = spells_of(bench.record(), date(2025, 12, 1), ALONE)

    assert (spell.start.date().isoformat(), spell.end.date().isoformat()) == (
        "2025-01-10", days[-1],
    )  # fmt: skip
    assert not spell.lasts


def test_an_oven_off_for_nine_hours_of_twelve_weeks() -> None:
    # "9 h colder than meant of 2,016 h; continued".
    oven = Place().log(OFF).answer("2025-01-22T00:00:00Z", "2025-01-23T00:00:00Z")
    found = t40(evaluated(hot(), "2025-04-04", oven).storage)

    (one,) = found.excursions
    assert one.lead == "9 h colder than meant"
    assert (one.peak_c, one.start) == (25.0, PLACED + timedelta(days=12))
    assert one.answer_text == "continued: colder ages less"
    assert found.open_excursions == ()
    assert found.figures is not None
    assert found.figures.colder_hours == pytest.approx(9)
    assert found.figures.known_hours == pytest.approx(2016)
    assert found.figures.within_share == pytest.approx(2007 / 2016)
    # Placed at noon, and the day ends in summer time: 12 hours less one are unknown.
    assert found.figures.hours == pytest.approx(2016 + 11)
    assert found.figures.mean_kinetic_c == pytest.approx(
        mean_kinetic_temperature([40, 25], [2007, 9])
    )


def test_an_excursion_without_an_answer_is_open() -> None:
    evaluation = evaluated(hot(), "2025-04-04", Place().log(OFF))

    assert len(t40(evaluation.storage).open_excursions) == 1
    (remark,) = evaluation.record.of("excursion")
    assert remark.text == (
        "OVEN: 9 h colder than meant, down to 25.0 °C; no answer yet"
    )
    assert remark.weight == "deviation"
    assert evaluation.record.counts()["excursion"] == 1


def test_an_answer_for_another_study_leaves_it_open() -> None:
    day = ("2025-01-22T00:00:00Z", "2025-01-23T00:00:00Z")
    oven = Place().log(OFF).answer(*day, study="XYZ")
    assert len(t40(evaluated(hot(), "2025-04-04", oven).storage).open_excursions) == 1

    oven.answer(*day, "restarted", study="HDC")
    (one,) = t40(evaluated(hot(), "2025-04-04", oven).storage).excursions
    assert one.answer is not None
    assert one.answer.outcome == "restarted"


def test_it_stands_beside_the_readings_after_it_and_not_before() -> None:
    bench = hot()
    early = bench.read("A-HOT", "pH", "2w", "5.5", "5.5", done="2025-01-20")
    late = bench.read("A-HOT", "pH", "4w", "5.5", "5.5", done="2025-02-03")
    evaluation = evaluated(bench, "2025-04-04", Place().log(OFF))

    codes = [one.code for one in judged_at(evaluation, early).remarks]
    assert "excursion" not in codes
    (remark,) = [
        one for one in judged_at(evaluation, late).remarks if one.code == "excursion"
    ]
    assert remark.text == "excursion: 9 h colder than meant, 12 days before"
    assert remark.weight == "remark"
    assert remark not in judged_at(evaluation, late).deviations


def test_several_stand_together_beside_a_reading() -> None:
    celsius = [40.0] * 100 + [30.0] * 3 + [40.0] * 100 + [50.0] * 2 + [40.0] * 1900
    bench = hot()
    seen = bench.read("A-HOT", "pH", "4w", "5.5", "5.5", done="2025-02-07")
    evaluation = evaluated(bench, "2025-04-04", Place().log(celsius))

    texts = [one.text for one in judged_at(evaluation, seen).remarks]
    assert (
        "excursion: 2 h hotter than meant and 3 h colder than meant in 2 excursions, "
        "the last 19 days before"
    ) in texts


def test_what_happened_before_a_jar_stood_there_is_none_of_its_excursions() -> None:
    bench = Bench([bulk(), sample("A-HOT", "T40"), sample("B-HOT", "T40")])
    bench.place("A-HOT", "T40", place="OVEN")
    bench.place("B-HOT", "T40", "2025-02-10", place="oven-7kq4")
    storage = evaluated(bench, "2025-04-04", Place().log(OFF)).storage

    assert len(storage.met_by("A-HOT")) == 1
    assert storage.met_by("B-HOT") == ()
    assert len(t40(storage).excursions) == 1
    first, second = storage.stays
    assert (first.sample, second.sample) == ("A-HOT", "B-HOT")
    assert second.hours == pytest.approx(first.hours - 31 * 24)
    assert first.lasts


def test_a_jar_that_left_stood_there_until_then() -> None:
    bench = hot()
    bench.retire("A-HOT", "broken", "2025-01-15")
    storage = evaluated(bench, "2025-04-04", Place().log(OFF)).storage

    (stay,) = storage.stays
    assert stay.hours == pytest.approx(5 * 24)
    assert not stay.lasts
    assert t40(storage).excursions == ()


def test_time_without_readings_is_unknown_and_not_good() -> None:
    found = t40(evaluated(hot(), "2025-04-04", Place().log([40.0] * 241)).storage)

    assert found.figures is not None
    assert found.figures.known_hours == pytest.approx(240)
    assert found.figures.unknown_share > 0.8
    assert found.figures.mean_kinetic_c is None
    assert "more than 10 %" in found.figures.not_stated


def test_a_place_nobody_named_or_registered_is_told() -> None:
    bench = Bench([bulk(), sample("A-HOT", "T40"), sample("A-ROOM", "ROOM")])
    bench.place("A-HOT", "T40", place="CUPBOARD")
    bench.place("A-ROOM", "ROOM")
    storage = evaluated(bench, "2025-04-04", Place().log(OFF)).storage

    assert "CUPBOARD, of which nothing" in t40(storage).cautions[0]
    room = storage.of("ROOM")
    assert room is not None
    assert room.cautions[0].startswith("No storage place is named for ROOM: what")
    assert len(room.cautions) == 1
    assert not storage.is_recorded
    assert storage.places == ()


def test_the_study_file_names_the_place_where_a_placing_does_not() -> None:
    bench = Bench([bulk(), sample("A-HOT", "T40")], study=study(places={"T40": "OVEN"}))
    bench.place("A-HOT", "T40")
    found = t40(evaluated(bench, "2025-04-04", Place().log(OFF)).storage)

    assert found.places == ("OVEN",)
    assert len(found.excursions) == 1


def test_what_the_protocol_means_decides_and_a_difference_is_told() -> None:
    oven = Place(temperature="30", tolerance="15").log(OFF)
    found = t40(evaluated(hot(), "2025-04-04", oven).storage)

    assert len(found.excursions) == 1
    assert "registered for 30 ± 15 °C" in found.cautions[0]


def test_a_thermometer_tells_an_unknown_time_and_no_mean() -> None:
    oven = Place().look("38.5", "41", "2025-01-20").look("31", "41", "2025-01-30")
    bench = hot()
    seen = bench.read("A-HOT", "pH", "4w", "5.5", "5.5", done="2025-02-07")
    evaluation = evaluated(bench, "2025-04-04", oven)
    found = t40(evaluation.storage)

    assert found.figures is not None
    assert found.figures.known_hours == 0
    assert found.looks is not None
    assert (found.looks.looks, found.looks.never_outside) == (2, False)
    (one,) = found.excursions
    assert (one.known_from, one.hours, one.peak_c) == ("look", None, 31.0)
    texts = [remark.text for remark in judged_at(evaluation, seen).remarks]
    assert ("excursion: colder than meant for an unknown time, 8 days before") in texts


def test_a_power_cut_without_a_logger_stands_as_it_was_stated() -> None:
    oven = Place().event(
        "power cut", "2025-01-22T22:00:00Z", "2025-01-23T07:00:00Z", "colder"
    )
    (one,) = t40(evaluated(hot(), "2025-04-04", oven).storage).excursions

    assert one.text == "9 h colder than meant (power cut)"
    assert one.known_from == "stated event"


def test_steps_of_a_cycle_are_held_against_their_own_temperature() -> None:
    bench = Bench([bulk(), sample("A-FT", "FT")])
    bench.place(
        "A-FT", "FT", "2025-01-10T12:00+00:00", place="FREEZER", cycle=1, step=1
    )
    bench.place("A-FT", "FT", "2025-01-11T12:00+00:00", place="BENCH", cycle=1, step=2,
                how="step")  # fmt: skip
    freezer = Place("FREEZER", temperature="-18", tolerance="4").log([-18.0] * 49)
    shelf = Place("BENCH", temperature=None, tolerance=None, between=("10", "40"))
    shelf.log([35.0] * 49)
    found = evaluated(bench, "2025-01-11", freezer, shelf).storage.of("FT")

    assert found is not None
    (one,) = found.excursions
    assert (one.place, one.direction) == ("BENCH", "hotter")
    assert found.figures is not None
    assert (found.figures.lowest_c, found.figures.highest_c) == (-18, 35)
    assert found.figures.mean_kinetic_c is None


def test_readings_are_thinned_without_losing_an_extreme() -> None:
    celsius = [40.0 + place % 7 / 10 for place in range(HOURS)]
    celsius[1000] = 55.0
    celsius[1500] = 20.0
    evaluation = evaluated(hot(), "2025-04-04", Place().log(celsius))
    (drawn,) = evaluation.storage.envelopes

    assert len(drawn.times) <= 601
    assert (max(drawn.highest), min(drawn.lowest)) == (55.0, 20.0)
    assert list(drawn.times) == sorted(drawn.times)


def test_a_gap_breaks_the_line_that_is_drawn() -> None:
    oven = Place().log([40.0] * 100)
    oven.log([40.0] * 100, PLACED + timedelta(days=20))
    (drawn,) = evaluated(hot(), "2025-04-04", oven).storage.envelopes

    (at,) = drawn.breaks
    assert drawn.times[at + 1] - drawn.times[at] > timedelta(days=10)


def test_a_later_answer_is_not_known_on_an_earlier_day() -> None:
    # Entries of a place are taken as of the day by whoever reads them.
    day = ("2025-01-22T00:00:00Z", "2025-01-23T00:00:00Z")
    before = evaluated(hot(), "2025-03-01", Place().log(OFF))
    after = evaluated(hot(), "2025-04-04", Place().log(OFF).answer(*day))

    assert before.storage.excursions[0].is_open
    assert not after.storage.excursions[0].is_open


def test_a_study_without_any_storage_is_as_it_was() -> None:
    bench = Bench([bulk(), sample("A-HOT", "T40")])
    bench.place("A-HOT", "T40")
    evaluation = bench.evaluate("2025-04-04")

    assert evaluation.storage.excursions == ()
    assert not evaluation.storage.is_recorded
    assert evaluation.record.of("excursion") == ()


def test_what_a_place_does_after_the_last_check_is_not_asked_for() -> None:
    bench = Bench([bulk(), sample("A-HOT", "T40", checks=("T0", "2w"))])
    bench.place("A-HOT", "T40", place="OVEN")
    bench.read("A-HOT", "pH", "2w", "5.5", "5.5", done="2025-01-20")
    (stay,) = evaluated(bench, "2025-04-04", Place().log(OFF)).storage.stays

    assert stay.hours == pytest.approx(10 * 24)
    assert not stay.lasts
    assert stay.excursions == ()


def test_the_mean_kinetic_temperature_of_the_room_is_the_reference_of_heat() -> None:
    celsius = [18.0 if place % 24 < 12 else 26.0 for place in range(HOURS + 1)]
    room = Place("SHELF", temperature=None, tolerance=None, between=("15", "27"))
    bench = Bench([bulk(), sample("A-ROOM", "ROOM"), sample("A-HOT", "T40")])
    bench.place("A-ROOM", "ROOM", place="SHELF")
    bench.place("A-HOT", "T40")
    measured = evaluated(bench, "2025-04-04", room.log(celsius)).ageing
    partly = Place("SHELF", temperature=None, tolerance=None, between=("15", "27"))
    unknown = evaluated(bench, "2025-04-04", partly.log(celsius[:1700])).ageing
    assert measured is not None
    assert unknown is not None

    (reference,) = measured.references
    assert reference.measured
    kinetic = mean_kinetic_temperature([18, 26])
    assert reference.celsius == round(kinetic, 1) == reference.lowest
    assert "the mean kinetic temperature of SHELF as measured 2025-01-10 to" in (
        reference.text
    )
    (nominal,) = unknown.references
    assert not nominal.measured
    assert nominal.celsius == 21
    assert "more than 10 % of the time is unknown" in nominal.text
