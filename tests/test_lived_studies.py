"""Three studies lived through at the command line, from the file to the report.

A cream in jar and pump, a balm in a tin, a clear gel of one batch: everything is
entered by commands alone, on the days on which it would be, and the report is read as
an assessor reads it. Products, people and every number are invented.
"""

from __future__ import annotations

import pytest

from tests.lived_stories import ASSESSOR, live_balm, live_cream, live_gel
from tests.lived_studies import Bench, Report, bench, rows


@pytest.fixture(scope="module")
def cream(tmp_path_factory: pytest.TempPathFactory) -> tuple[Bench, Report]:
    with bench(tmp_path_factory.mktemp("cream"), "Ines Varga") as at:
        live_cream(at)
        return at, at.report("2025-09-10", "HMC")


@pytest.fixture(scope="module")
def balm(tmp_path_factory: pytest.TempPathFactory) -> tuple[Bench, Report]:
    with bench(tmp_path_factory.mktemp("balm"), "Ines Varga") as at:
        live_balm(at)
        return at, at.report("2025-07-20", "TKN")


@pytest.fixture(scope="module")
def gel(tmp_path_factory: pytest.TempPathFactory) -> tuple[Bench, Report]:
    with bench(tmp_path_factory.mktemp("gel"), "Ines Varga") as at:
        live_gel(at)
        return at, at.report("2025-05-10", "GKV")


# What the assessor must find


def test_the_record_holds_and_the_report_passes_through_it(
    cream: tuple[Bench, Report], balm: tuple[Bench, Report], gel: tuple[Bench, Report]
) -> None:
    for code, (_, report) in {"HMC": cream, "TKN": balm, "GKV": gel}.items():
        record = report.held["record"]
        assert "holds: yes" in report.verified.told
        assert f"passes through study:{code}/{record['position']}:" in (
            report.verified.told
        )
        assert "clock stepped back" not in report.verified.told
        assert "qualified safety assessor" in report.text
        assert "qualified safety assessor" in report.pdf
        assert report.held["state"] == "final"


def test_cream_the_limits_stood_first_and_somebody_outside_can_say_so(
    cream: tuple[Bench, Report],
) -> None:
    _, report = cream
    sentence = (
        "Limits were recorded on 2025-03-03, before the first reading on 2025-03-05; "
        f"lodged with {ASSESSOR} on 2025-03-04."
    )
    assert sentence in report.text
    assert sentence in report.pdf


def test_cream_what_lies_outside_is_grouped_with_its_follow_up(
    cream: tuple[Bench, Report],
) -> None:
    at, report = cream
    assert "a follow-up is open" in at.told["jar"].told
    assert {one["meaning"] for one in report.held["outside"]} == {
        "intermediate and accelerated"
    }
    assert (
        "separation, T40, JAR, batch A: droplets at 12w, limit at most “none”; last "
        "inside at 8w; 1 of 3 observations outside"
    ) in report.text
    (answered,) = rows(report.held["follow_ups"], state="answered")
    assert answered["attribute"] == "separation"
    assert answered["answers"][0]["because"] == "seen again by both of us"
    # The pump seen swollen and taken out as gassing is one of them.
    assert "2 follow-ups of what lies outside: 1 open." in report.text


def test_cream_a_gassing_pump_stays_closed_and_counts_as_failed(
    cream: tuple[Bench, Report],
) -> None:
    at, report = cream
    code = at.codes["B PUMP T40"]
    assert (
        f"sample {code}, T40, PUMP, batch B: gassing at 56 d (swollen, discarded "
        "closed); counts as failed at 8w for pH, separation, odour, weight loss"
    ) in report.text
    read = rows(report.held["observations"], sample=code, check="8w")
    assert {one["attribute"] for one in read} == {"appearance"}
    assert (
        "appearance T0: inside (8 read) ROOM: inside (9 read) T40: outside at 8w"
        in (report.text)
    )
    (picture,) = report.held["photographs"]
    assert (picture["sample"], picture["caption"]) == (code, "swollen below the collar")
    assert "swollen below the collar" in report.pdf


def test_cream_missed_corrected_and_cold_hours_stand_with_their_reason(
    cream: tuple[Bench, Report],
) -> None:
    at, report = cream
    (missed,) = rows(report.held["remarks"], kind="missed")
    assert (missed["sample"], missed["check"]) == (at.codes["C PUMP T40"], "8w")
    assert missed["text"] == "missed: laboratory closed for the holiday"
    assert missed["text"] in report.pdf
    (corrected,) = rows(report.held["remarks"], kind="corrected")
    assert "5.74 / 5.84 superseded by entry" in corrected["text"]
    assert "digits exchanged" in report.pdf
    looked, stated = report.held["storage"]["excursions"]
    assert stated["text"] == "9 h colder than meant (power cut)"
    assert "down to 27.5 °C" in looked["text"]
    for one in (stated, looked):
        assert (one["outcome"], one["because"]) == (
            "continued", "9 h of 12 weeks, colder than meant",
        )  # fmt: skip
    assert "continued: 9 h of 12 weeks, colder than meant" in report.pdf


def test_cream_months_are_shown_for_each_pack_and_no_more(
    cream: tuple[Bench, Report],
) -> None:
    _, report = cream
    assert report.held["months_shown"] == 6
    assert "JAR: shown to 6M (6 months), 1 batch: A" in report.text
    assert "PUMP: shown to 6M (6 months), 2 batches: B and C" in report.text
    assert "Nothing is offered beyond what real time shows." in report.text
    assert "One batch cannot show" not in report.text
    assert "never computed" in report.text
    assert "Nothing left its limit in FT (1 cycle of 24h at -18 °C" in report.text


def test_cream_a_challenge_of_another_version_is_no_evidence(
    cream: tuple[Bench, Report],
) -> None:
    at, report = cream
    assert "mismatch: of version 0.9" in at.told["0.9"].told
    assert "mismatch" not in at.told["1.0"].told
    assert "Mismatch, not evidence for this study: of version 0.9" in report.text
    marks = {
        one["number"]: (one["mark"], one["is_evidence"])
        for one in report.held["certificates"]["recorded"]
    }
    assert marks == {"25-0311": ("mismatch", False), "25-0788": ("inside", True)}
    assert (
        "Preservation efficacy, by certificate: challenge, batch A, JAR, at the start "
        "(T0); Sandhollow Laboratory, no. 25-0788"
    ) in report.text


def test_cream_a_file_and_answers_at_the_screen_store_whole_checks(
    cream: tuple[Bench, Report],
) -> None:
    at, report = cream
    assert "received april.csv; rows: 6, entries: 36" in at.told["file"].told
    assert f"{at.codes['C PUMP T40']} 12w: all read." in at.told["screen"].told
    held = report.held["observations"]
    (nose,) = rows(held, sample=at.codes["A JAR T40"], check="4w", attribute="odour")
    assert nose["readings"] == ["as control", "slightly changed"]
    assert "(Ines: as control / Tomas: slightly changed)" in report.pdf
    assert "2 observers, not blind; rule fixed beforehand: worst" in report.pdf
    (ph,) = rows(held, sample=at.codes["C PUMP T40"], check="12w", attribute="pH")
    assert ph["readings"] == ["5.36", "5.37"]


def test_balm_a_witness_who_came_late_is_said_to_be_late(
    balm: tuple[Bench, Report],
) -> None:
    at, report = balm
    assert "cannot witness" in at.told["lodged"].told
    assert (
        "before the first reading on 2025-01-14; no outside witness before it, only "
        f"afterwards: {ASSESSOR} on 2025-01-15."
    ) in report.text


def test_balm_oil_where_it_melts_is_stress_and_leaves_the_shelf_life_alone(
    balm: tuple[Bench, Report],
) -> None:
    _, report = balm
    (group,) = report.held["outside"]
    assert group["meaning"] == "stress as declared"
    assert (
        "sweating, T45, TIN, batch A: oil ring at 4w, limit at most “beads”; not "
        "inside at any check before"
    ) in report.text
    assert "1 follow-up of what lies outside: none open." in report.text
    assert "the structure gives way, as declared (the waxes melt)" in report.text
    assert "It does not shorten the life shown on the shelf" in report.text
    assert report.held["months_shown"] == 6
    (picture,) = report.held["photographs"]
    assert (picture["attribute"], picture["condition"]) == ("sweating", "T45")


def test_balm_a_score_that_climbed_inside_its_limit_is_news(
    balm: tuple[Bench, Report],
) -> None:
    _, report = balm
    assert "graininess T0: inside (4 read) ROOM: changed, inside (5 read" in report.text
    assert "sweating T0: inside (4 read) ROOM: inside (5 read" in report.text
    assert "hardness T0: inside (4 read)" in report.text
    hardness = report.text.partition("hardness T0: inside (4 read)")[2]
    assert hardness.partition("T45: ")[2].startswith("recorded only")


def test_balm_slips_of_the_hand_are_stopped_or_stand_corrected(
    balm: tuple[Bench, Report],
) -> None:
    at, report = balm
    assert "far from the last reading" in at.told["far"].told
    corrected = rows(report.held["remarks"], kind="corrected")
    assert [one["check"] for one in corrected] == ["3M", "6M", "6M"]
    assert "8.2 / 2.8" not in report.pdf
    (missed,) = rows(report.held["remarks"], kind="missed")
    assert (missed["sample"], missed["text"]) == (
        at.codes["B TIN ROOM"], "missed: bench flooded",
    )  # fmt: skip
    (excursion,) = report.held["storage"]["excursions"]
    assert "down to 33.0 °C" in excursion["text"]
    assert "continued: door left open; colder, not hotter" in report.pdf
    held = rows(report.held["observations"], sample=at.codes["A TIN T40"])
    (file,) = rows(held, check="4w", attribute="hardness")
    (screen,) = rows(held, check="8w", attribute="hardness")
    assert (file["readings"], screen["readings"]) == (["8.4", "8.6"], ["8.6", "8.8"])


def test_balm_holds_water_and_has_no_evidence_of_its_preservation(
    balm: tuple[Bench, Report],
) -> None:
    _, report = balm
    assert (
        "Mismatch, not evidence for this study: of version 2.0, this study is of "
        "version 2.1"
    ) in report.text
    assert (
        "No certificate of this study is recorded. The product contains water: it "
        "needs a preservation efficacy test by a laboratory"
    ) in report.text
    assert "certificates that were not received: challenge at T0" in report.text


def test_gel_two_viscometers_are_two_series_that_are_not_joined(
    gel: tuple[Bench, Report],
) -> None:
    _, report = gel
    room = rows(report.held["drift"], attribute="viscosity", condition="ROOM")
    assert [(one["points"], one["state"]) for one in room] == [
        (2, "inside"), (3, "no initial"),
    ]  # fmt: skip
    told = [
        one["text"]
        for one in rows(report.held["remarks"], kind="deviation", attribute="viscosity")
    ]
    assert (
        told
        == ["instrument VOWN instead of VLOAN: another method, a series of its own"] * 6
    )
    assert report.held["months_shown"] == 0
    assert "viscosity of batch A (BOTTLE, ROOM) governs" in report.text
    assert "3 months are not supported" in report.text


def test_gel_a_failed_slope_makes_earlier_readings_doubtful_and_changes_none(
    gel: tuple[Bench, Report],
) -> None:
    at, report = gel
    assert "2 observations are doubtful, not corrected" in at.told["slope"].told
    doubtful = rows(report.held["remarks"], kind="doubtful")
    assert {(one["sample"], one["check"]) for one in doubtful} == {
        (at.codes["A BOTTLE ROOM"], "4w"), (at.codes["A BOTTLE T40"], "4w"),
    }  # fmt: skip
    said = (
        "doubtful: PH2 failed its calibration on 2025-04-03; readings since the last "
        "good one on 2025-03-06 are doubtful, not corrected"
    )
    assert {one["text"] for one in doubtful} == {said}
    (kept,) = rows(
        report.held["observations"], sample=at.codes["A BOTTLE ROOM"], check="4w",
        attribute="pH",
    )  # fmt: skip
    assert (kept["readings"], kept["mark"]) == (["5.28", "5.29"], "inside")
    assert "slope 88 % is not 90.0 to 105.0 %" in report.pdf
    assert "8 observations, 2 doubtful, not corrected" in report.text
    assert "not measured: electrode dead" in report.pdf


def test_gel_hazy_when_cold_since_t0_is_no_ageing(gel: tuple[Bench, Report]) -> None:
    _, report = gel
    (cold,) = rows(report.held["scores"], attribute="clarity_cold")
    assert (cold["state"], cold["text"].split(";")[0]) == (
        "inside", "no change seen, always “hazy”",
    )  # fmt: skip
    (group,) = report.held["outside"]
    assert (group["attribute"], group["condition"]) == ("clarity", "T40")
    (answered,) = report.held["follow_ups"]
    assert answered["answers"][0]["because"] == "hazy on the next day too"


def test_gel_one_batch_no_challenge_and_nine_cold_hours_are_said(
    gel: tuple[Bench, Report],
) -> None:
    at, report = gel
    assert "One batch cannot show how batches differ." in report.text
    assert (
        "No certificate is recorded. The product contains water: it needs a "
        "preservation efficacy test by a laboratory"
    ) in report.text
    assert "9 h colder than meant (power cut); continued: 9 h of 8 weeks" in report.pdf
    assert "missed: refrigerator being moved" in report.pdf
    assert "viscosity 5010 superseded by entry" in report.pdf
    assert f"{at.codes['A BOTTLE ROOM']} 3M: all read." in at.told["screen"].told
    assert "received march.csv; rows: 2, entries: 6" in at.told["file"].told
