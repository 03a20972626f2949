"""Chapters behind the first page: what they merge, and what they must not hide."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from stability.model.estimate import Drift
from stability.model.names import in_words
from stability.report.chapters_compared import comparison_text
from stability.report.chapters_drift import forecast_text
from stability.report.chapters_findings import RECORD_TITLES, alike
from stability.report.chapters_life import estimate_texts, provisional_text
from stability.report.chapters_plan import method_text
from stability.report.wording import plus_minus, significant
from tests.report.printed import EXAMPLES, evaluated, printed


def flowing(name: str, title: str) -> str:
    """Return a chapter of an example on one line, without spaces."""
    return "".join(printed(name).chapter(title).split())


def test_every_line_is_printed_with_the_numbers_of_the_evaluation() -> None:
    lines = printed("plain_lotion").chapter("Drift").splitlines()
    for one in evaluated("plain_lotion").measured:
        if not isinstance(one.drift, Drift):
            continue
        line = one.drift
        numbers = (
            f" {line.n} {significant(line.start)} {significant(line.slope, 3)} "
            f"{plus_minus(line.slope_interval)} {significant(line.s_used, 2)}"
        )
        place = f"{one.key.condition} {one.key.pack}"
        assert any(
            numbers in printed_line and printed_line.startswith(place)
            for printed_line in lines
        ), one.key.text()


def test_every_comparison_is_printed_with_both_its_values() -> None:
    for name in EXAMPLES[1:]:
        lines = printed(name).chapter("Comparisons").splitlines()
        for one in evaluated(name).comparisons:
            if one.difference is None:
                continue
            values = f" {one.text} {one.against_text} {comparison_text(one)}"
            assert any(
                line.startswith(f"{in_words(one.attribute)} ") and values in line
                for line in lines
            ), one


def test_a_comparison_of_numbers_says_its_difference_only() -> None:
    for one in evaluated("day_cream").comparisons:
        text = comparison_text(one)
        if one.difference is None:
            assert text
            assert not text.startswith("“")
        else:
            assert text.startswith("difference ")


def test_every_kind_of_remark_that_occurs_has_a_title() -> None:
    for name in EXAMPLES:
        assert set(evaluated(name).record.counts()) <= set(RECORD_TITLES)


def test_every_remark_of_the_record_is_printed_with_its_weight() -> None:
    text = flowing("day_cream", "What happened in the record")
    evaluation = evaluated("day_cream")
    assert text.count("◆deviation") == len(evaluation.record.deviations)
    for kind, number in evaluation.record.counts().items():
        assert "".join(f"{RECORD_TITLES[kind]} ({number})".split()) in text


def test_remarks_alike_share_a_row_and_deviations_stand_alone() -> None:
    late = evaluated("day_cream").record.of("late")
    rows = alike(late)
    assert sorted(one.position or 0 for row in rows for one in row) == sorted(
        one.position or 0 for one in late
    )
    assert len(rows) < len(late)
    for row in rows:
        assert len({(one.check, one.text, one.person) for one in row}) == 1
        assert len(row) == 1 or all(one.weight == "remark" for one in row)
    text = flowing("day_cream", "What happened in the record")
    for one in late:
        assert (one.sample or "") in text
        assert str(one.position) in text


def test_both_estimates_are_told_and_which_of_them_carries() -> None:
    life = evaluated("day_cream").shelf_life
    assert life is not None
    pump = next(
        one for one in life.attributes if (one.attribute, one.pack) == ("pH", "PUMP")
    )
    text = " ".join(estimate_texts(pump, life.asked))
    assert text.startswith("Batch by batch:")
    assert "Pooled:" in text
    assert "Batch by batch carries the request." in text


def test_a_rule_of_thumb_names_its_source_and_where_it_stands() -> None:
    life = evaluated("day_cream").shelf_life
    assert life is not None
    text = provisional_text(life.provisional)
    assert "declared before T0" in text
    assert "custom of the trade, no standard" in text
    assert provisional_text(None) == "none"


def test_a_line_that_meets_no_limit_ahead_says_so() -> None:
    texts = {forecast_text(one) for one in evaluated("day_cream").measured}
    assert "no limit to meet" in texts
    assert any(text.startswith("lower at ") for text in texts)
    assert any("not within 90 months" in text for text in texts)
    assert not any(re.search(r"\d{3,}\.\d months", text) for text in texts)


def test_the_drift_of_a_control_read_for_weeks_is_told_to_its_last_check() -> None:
    told = {
        one.key.condition: one.horizon_text for one in evaluated("day_cream").measured
    }
    assert told["FOIL"] == told["WINDOW"] == "8w, the last check planned"
    assert told["COLD"] == told["ROOM"] == "24 months asked for"


def test_a_method_is_told_with_settings_readings_and_scale() -> None:
    attributes = evaluated("day_cream").identity.protocol.attributes
    text = method_text(attributes["pH"])
    assert "dilution 10 % (fixed)" in text
    assert "sample temperature 18 to 26 °C (band)" in text
    assert "2 readings per check, each kept, mean judged" in text
    plain = replace(attributes["pH"], takes_g=None)
    assert "uses up" not in method_text(plain)
    needle = replace(plain, takes_g=Decimal("0.5"), takes_surfaces=1)
    assert "uses up 0.5 g each time; uses up 1 surface each time" in method_text(needle)
    assert "scale: none <" in method_text(attributes["separation"])


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_page_prints_a_code_where_a_name_is_read(name: str) -> None:
    """Codes with a stroke are typed; files, places and digests are no names."""
    protocol = evaluated(name).identity.protocol
    settings = {each for one in protocol.attributes.values() for each in one.settings}
    codes = {one for one in {*protocol.attributes, *settings} if "_" in one}
    text = printed(name).flowing
    assert codes
    assert [one for one in codes if one in text] == []
