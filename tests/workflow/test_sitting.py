"""A whole sitting: what is stored, what is warned of, and how one goes on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from stability.errors.codes import FutureMomentError
from stability.errors.studies import UnknownStudyError
from stability.records import attachment, journal
from stability.records.database import open_database
from stability.workflow import bench, instruments, records, sheets
from stability.workflow.occasion import Occasion
from tests.records.metered_study import METERED
from tests.records.pictures import SECRETS, write
from tests.records.small_study import (
    BULK_A,
    PROTOCOL,
    ROOM_A,
    ROOM_B,
    SPARE_A,
    T40_2W,
    write_files,
)
from tests.workflow.sittings import Bench, sit_down

At = Callable[[str], Occasion]
#: One jar at 2w, as it is answered.
JAR = (
    ROOM_A, "83.10", "none", "Ana, Ben", "0/1", "no", "=", "22.5", "skip",
    "5.47/5.49", "61", "78.20",
)  # fmt: skip


@pytest.fixture
def running(at: At) -> At:
    """Return the maker of occasions, T0 read and three jars placed."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60"])
    for code in (ROOM_A, T40_2W):
        bench.log(at("2026-03-05"), code, ["w=83.20"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    return at


@pytest.fixture
def sitting(running: At) -> Bench:
    """Return a sitting on the day of 2w."""
    return sit_down(running("2026-03-20"))


def entries(at: Occasion) -> list[tuple[str, str, Any]]:
    """Return kind, person and content of every entry of the study."""
    with open_database(at.records).reading() as connection:
        return [
            (one.kind, one.person, one.content)
            for one in journal.entries(connection, "study:HDC")
        ]


def holds(at: Occasion) -> bool:
    """Say whether the record holds."""
    return records.verify(at).holds


def test_a_jar_is_asked_in_the_order_of_handling(sitting: Bench) -> None:
    first = sitting.prompt
    sitting.type(*JAR)

    assert first == "sample code> "
    assert sitting.prompts == [
        "weight before opening [g]> ",
        "separation> ",
        "odour, observers> ",
        "odour> ",
        "swollen> ",
        "pH, dilution> ",
        "pH, sample_temperature> ",
        "pH, electrode> ",
        "pH> ",
        "spread [mm]> ",
        "weight after closing [g]> ",
        "sample code> ",
    ]


def test_what_is_entered_is_what_log_would_store(running: At, tmp_path: Path) -> None:
    at = replace(running("2026-03-20"), person="Ana Reyes")
    other = replace(at, records=str(tmp_path / "other.db"))
    Path(other.records).write_bytes(Path(at.records).read_bytes())
    sit_down(at).type(*JAR)

    bench.day(
        other, "HDC", observers=["Ana", "Ben"],
        settings=["pH.dilution=10 %", "pH.sample_temperature=22.5"],
    )  # fmt: skip
    for reading in (
        "w=83.10", "sep=none", "odour=0/1", "swollen=no", "pH=5.47/5.49",
        "spread=61", "w2=78.20",
    ):  # fmt: skip
        bench.log(other, ROOM_A, [reading])

    def observed(occasion: Occasion) -> list[tuple[str, str, Any]]:
        return [one for one in entries(occasion) if one[0] == "observed/1"]

    # What was set for the day is stored with what is read after it.
    mine, theirs = observed(at), observed(other)
    assert mine[:3] != []
    assert [one[:2] for one in mine] == [one[:2] for one in theirs]
    for own, its in zip(mine, theirs, strict=True):
        early = own[2]["attribute"] in {"weight_loss", "separation"}
        drop = {"observers"} if early else set()
        assert _without(own[2], drop) == _without(its[2], drop)
    last_days = [one[2] for one in entries(at) if one[0] == "day/1"][-1]
    assert last_days == next(one[2] for one in entries(other) if one[0] == "day/1")
    assert holds(at)


def _without(content: dict[str, Any], keys: set[str]) -> dict[str, Any]:
    return {key: value for key, value in content.items() if key not in keys}


def test_every_answer_is_stored_before_the_next_question(sitting: Bench) -> None:
    before = len(entries(sitting.at))
    for number, line in enumerate(JAR[1:3], start=1):
        sitting.type(JAR[0]) if number == 1 else None
        told = sitting.type(line)
        assert len(entries(sitting.at)) == before + number
        assert told[0].startswith(f"HDC/{before + number}  ")


def test_last_value_and_limit_stand_above_the_answer(sitting: Bench) -> None:
    sitting.type(*JAR[:9])

    assert sitting.asked == [
        "pH: 2 readings, parted by a slash",
        "    last 5.50 / 5.52 on 2026-03-05 (T0, HDC-001-5); limit 5.0 to 5.9",
        "    dilution 10 %; sample_temperature 22.5",
    ]
    sitting.type("5.47/5.49")
    assert sitting.asked[1] == (
        "    last 60 mm on 2026-03-05 (T0, HDC-001-5); limit 48 to 72 mm (80 to 120 % "
        "of initial, from 60)"
    )


def test_outside_its_limit_is_told_at_once_and_stored(sitting: Bench) -> None:
    sitting.type(*JAR[:9])
    told = sitting.type("5.95/5.97")

    assert told[0].endswith("pH 5.95 / 5.97")
    assert told[1].startswith("    mean 5.96, limit 5.0 to 5.9: outside")
    assert told[2] == "    ! pH is outside its limit"
    assert told[3].startswith(
        "    ! HDC/15  outside: a follow-up is open. Look in this"
    )
    assert told[4].startswith("    ! stability follow-up HDC/15 --checked")
    assert entries(sitting.at)[-1][2]["readings"][0]["value"] == "5.95"


def test_a_word_outside_its_limit_reminds_what_stays_closed(sitting: Bench) -> None:
    told = sitting.type(ROOM_A, "83.10", "layer layer_mm=2")

    assert "    ! separation is outside its limit" in told
    (closed,) = [line for line in told if "stays closed" in line]
    assert "Do not smell it. Type: closed gassing WHY" in closed
    assert entries(sitting.at)[-1][2]["extra"] == {"layer_mm": "2"}


@pytest.mark.parametrize(
    ("line", "doubt"),
    [
        ("29.1", "pH: sample_temperature 29.1 lies outside its band, 18 to 26"),
        ("set pH.dilution=5 %", "pH: dilution 5 % instead of 10 %"),
    ],
)
def test_a_setting_of_another_method_is_asked_again_first(
    sitting: Bench, line: str, doubt: str
) -> None:
    asked = sitting.type(*JAR[:7], line)
    before = len(entries(sitting.at))
    other = sitting.type("22.5")
    again = sitting.type("set pH.sample_temperature=29.1")
    sure = sitting.type("set pH.sample_temperature=29.1")

    assert asked[0] == f"? {doubt}"
    assert asked[-1].startswith("? Not stored yet.")
    assert "sample_temperature 22.5" in other[0]
    assert again[-1].startswith("? Not stored yet.")
    assert sure[-1].startswith("    ! pH: sample_temperature 29.1 lies outside")
    assert len(entries(sitting.at)) == before + 2


def test_a_photograph_is_kept_of_the_sample_in_hand(
    sitting: Bench, tmp_path: Path
) -> None:
    file = write(tmp_path / "my jar.jpg")
    sitting.type(ROOM_A)

    told = sitting.type(f"photo {file} caption droplets at the rim")
    twice = sitting.type(f"'{file}'")
    lost = sitting.type(f"{tmp_path}/none.jpg")
    bare = sitting.type("photo")

    assert "photograph, 240 × 320 pixels, cleaned copy kept: droplets" in told[0]
    kind, _, held = entries(sitting.at)[-1]
    assert kind == "photographed/1"
    assert (held["sample"], held["check"]) == (ROOM_A, "2w")
    assert held["caption"] == "droplets at the rim"
    assert f"of {ROOM_A} is kept already as HDC/8. Nothing was stored." in twice[0]
    assert "there is no such file. Nothing was stored." in lost[0]
    assert "write it as: photo FILE" in bare[0]
    whole = Path(sitting.at.records).read_bytes()
    assert not any(secret in whole for secret in SECRETS)
    # The question stands all the while, and what is read next is no worse for it.
    assert sitting.prompt == "weight before opening [g]> "
    assert sitting.type("83.10")[0].endswith("weight 83.10 g")


def test_no_photograph_is_stored_by_a_later_answer(
    sitting: Bench, tmp_path: Path
) -> None:
    other = write(tmp_path / "text.jpg")
    other.write_text("no picture", encoding="utf-8")
    kept = write(tmp_path / "jar.jpg")
    sitting.type(ROOM_A, f"photo {kept}")

    told = sitting.type(f"photo {other}")
    sitting.type(f"photo {kept}", "83.10")

    assert "it is no picture that can be read" in told[0]
    with open_database(sitting.at.records).reading() as connection:
        assert len(attachment.kept_files(connection)) == 1


def test_what_was_put_away_closed_is_photographed_by_its_code(
    sitting: Bench, tmp_path: Path
) -> None:
    file = write(tmp_path / "jar.jpg")
    told = sitting.type(ROOM_A, "83.10", "closed gassing lid bulges")
    unknown = sitting.type(str(file))
    kept = sitting.type(f"photo {ROOM_A[4:]} colour={file}", f"photo {ROOM_A} {file}")

    assert told[-1] == f"    photograph it through the glass: photo {ROOM_A} FILE"
    assert "no sample is in hand" in unknown[0]
    assert f"{ROOM_A} Heather day cream" in kept[0]
    assert entries(sitting.at)[-1][2]["sample"] == ROOM_A


def test_a_mistyped_label_is_told_and_not_taken_for_a_reading(sitting: Bench) -> None:
    sitting.type(ROOM_A)

    assert (
        "The check character of 'HDC-005-X' does not fit"
        in (sitting.type("HDC-005-X")[0])
    )


def test_the_samples_to_compare_with_are_named(sitting: Bench) -> None:
    sitting.type(T40_2W, "w=83.1 sep=none swollen=no", "Ana, Ben")

    assert f"scan or type that sample ({ROOM_A}); skip" in sitting.asked[0]


def test_what_the_instrument_tells_is_asked_with_each_reading(
    nowhere: Occasion, tmp_path: Path
) -> None:
    text = PROTOCOL.replace("settings.electrode", "settings.torque")
    bench.start(nowhere, write_files(tmp_path / "files", protocol=text))
    now = replace(nowhere, now=datetime(2026, 3, 5, 12, tzinfo=UTC))
    day = sheets.sheet_day(now, "HDC")
    sitting = sit_down(now)
    sitting.type(BULK_A, "sep=none swollen=no", "skip", "skip nose blocked", "=", "22")

    # One value for the whole day would stand beside every jar.
    assert set(day.settings["pH"]) == {"dilution", "sample_temperature"}
    assert sitting.prompt == "pH> "
    assert "    with it, on the same line: torque=…" in sitting.asked
    doubt = sitting.type("5.47/5.49")
    stored = sitting.type("5.47/5.49 torque=45")

    assert doubt[0] == "? pH: type behind it on the same line torque=…"
    assert "pH 5.47 / 5.49" in stored[0]
    assert entries(now)[-1][2]["settings"]["torque"] == "45"


def test_a_torque_outside_its_band_is_asked_again_first(
    nowhere: Occasion, tmp_path: Path
) -> None:
    text = PROTOCOL.replace(
        'settings.electrode = "recorded"', "settings.torque.between = [10, 100]"
    )
    assert text != PROTOCOL
    bench.start(nowhere, write_files(tmp_path / "files", protocol=text))
    now = replace(nowhere, now=datetime(2026, 3, 5, 12, tzinfo=UTC))
    sitting = sit_down(now)
    sitting.type(BULK_A, "sep=none swollen=no", "skip", "skip nose blocked", "=", "22")

    assert "    with it, on the same line: torque=… (10 to 100 %)" in sitting.asked
    before = len(entries(now))
    doubt = sitting.type("5.47/5.49 torque=5")
    assert doubt[0].startswith("? pH: at torque 5 it compares with no other reading")
    assert len(entries(now)) == before
    stored = sitting.type("5.47/5.49 torque=5")
    assert any("torque 5 lies outside its band, 10 to 100" in one for one in stored)
    assert entries(now)[-1][2]["settings"]["torque"] == "5"


def test_out_of_trend_is_told_after_it_is_stored(running: At) -> None:
    for day, reading, check in (
        ("2026-03-20", "5.47/5.47", None), ("2026-04-03", "5.47/5.47", None),
        ("2026-05-01", "5.46/5.46", "extra"),
    ):  # fmt: skip
        bench.log(running(day), ROOM_A, [f"pH={reading}"], check=check)
    sitting = sit_down(running("2026-06-06"))
    sitting.type(ROOM_A, "w=81.00 sep=none swollen=no", "skip", "skip nose blocked")
    sitting.type("skip", "skip", "skip")

    told = sitting.type("5.05/5.05")

    assert told[0].endswith("pH 5.05 / 5.05")
    assert told[1] == "    mean 5.05, limit 5.0 to 5.9: inside"
    assert "out of trend, alarm: 5.05 lies outside" in told[2]
    assert "4 earlier checks" in told[2]


def test_a_reading_far_from_the_last_is_asked_before_it_is_stored(
    sitting: Bench,
) -> None:
    sitting.type(*JAR[:9])
    before = len(entries(sitting.at))

    told = sitting.type("56/5.49")
    assert told[0].startswith("! pH 56: nothing above 14 is possible")
    told = sitting.type("4.47/5.49")
    assert told[0].startswith("? HDC-005-Y pH 4.47 / 5.49: far from the last reading")
    assert told[1].startswith("? Not stored yet.")
    assert len(entries(sitting.at)) == before
    # Another line is another answer, and the doubt is not carried over to it.
    sitting.type("4.48/5.49")
    assert len(entries(sitting.at)) == before
    sitting.type("4.48/5.49")
    assert entries(sitting.at)[-1][2]["readings"][0]["value"] == "4.48"


@pytest.mark.parametrize(
    ("before", "line", "asked"),
    [
        (9, "5.47", "pH: 1 of 2 readings"),
        (2, "layer", "separation: type behind it on the same line layer_mm=…"),
        (11, "83.30", "weight after closing 83.30 g: more than before opening, 83.10"),
    ],
)
def test_what_is_incomplete_or_odd_is_asked_once_more(
    sitting: Bench, before: int, line: str, asked: str
) -> None:
    sitting.type(*JAR[:before])
    count = len(entries(sitting.at))

    told = sitting.type(line)
    assert told[0].startswith(f"? {asked}")
    assert len(entries(sitting.at)) == count
    sitting.type(line)
    assert len(entries(sitting.at)) == count + 1


def test_going_back_corrects_with_a_reason_and_returns(sitting: Bench) -> None:
    sitting.type(ROOM_A, "83.10", "none", "back", "back")
    assert sitting.prompt == "weight before opening again> "
    assert sitting.asked[0].endswith("stands: HDC-005-Y, weight before opening 83.10")
    told = sitting.type("83.01")
    (line,) = told
    assert line == (
        "! This is no answer: what was stored changes with a reason only; type it on "
        "one line, such as: 5.47/5.49 because digits exchanged (or: on, to leave it)."
    )
    told = sitting.type("83.01 because digits exchanged")

    assert told[0].endswith("weight 83.01 g, corrects HDC/8")
    kind, _, content = entries(sitting.at)[-1]
    assert (kind, content["refers_to"], content["because"]) == (
        "corrected/1", 8, "digits exchanged",
    )  # fmt: skip
    assert sitting.prompt == "odour, observers> "
    # The answer before is now the corrected one, and the one after it is unchanged.
    sitting.type("back", "back")
    assert "83.01" in sitting.asked[0]
    sitting.type("on")
    assert sitting.prompt == "odour, observers> "
    assert holds(sitting.at)


def test_there_is_nothing_before_the_first_answer(sitting: Bench) -> None:
    told = sitting.type(ROOM_A, "back")

    assert "there is no answer before this one" in told[0]
    assert "stability correct" in told[0]


def test_a_reading_is_skipped_with_a_reason_only(sitting: Bench) -> None:
    sitting.type(ROOM_A)
    assert "skip WHY" in sitting.type("skip")[0]
    assert "skip WHY" in sitting.type("not-measured")[0]
    sitting.type("skip balance sent to be repaired")

    content = entries(sitting.at)[-1][2]
    assert content["not_measured"] == "balance sent to be repaired"
    assert content["part"] == "before"
    assert sitting.prompt == "separation> "


def test_a_check_is_missed_with_a_reason(sitting: Bench) -> None:
    assert "miss WHY" in sitting.type(ROOM_A, "miss")[0]
    sitting.type("miss jar left at home")

    kind, _, content = entries(sitting.at)[-1]
    assert kind == "missed/1"
    assert content["samples"] == [ROOM_A]
    assert content["check"] == "2w"
    assert sitting.prompt == "sample code> "


def test_a_gassing_jar_stays_closed_and_nothing_is_left_blank(sitting: Bench) -> None:
    sitting.type(ROOM_A, "83.10")
    assert "gassing, mouldy, separated" in sitting.type("closed")[0]
    assert "the reasons are" in sitting.type("closed swollen lid")[0]
    sitting.type("closed gassing lid is domed")

    stored = entries(sitting.at)
    kind, _, content = stored[-1]
    assert (kind, content["reason"], content["because"]) == (
        "retired/1", "gassing", "lid is domed",
    )  # fmt: skip
    unread = [one[2] for one in stored[-7:-1]]
    assert [one["attribute"] for one in unread] == [
        "separation", "odour", "swollen", "pH", "spread", "weight_loss",
    ]  # fmt: skip
    assert {one["not_measured"] for one in unread} == {
        "kept closed, gassing: lid is domed"
    }
    assert sitting.prompt == "sample code> "
    assert "left the study" in sitting.type(ROOM_A)[0]
    assert holds(sitting.at)


def test_a_broken_jar_leaves_without_readings(sitting: Bench) -> None:
    count = len(entries(sitting.at))
    sitting.type(ROOM_A, "gone broken dropped at the bench")

    assert len(entries(sitting.at)) == count + 1
    assert entries(sitting.at)[-1][2]["reason"] == "broken"


def test_a_note_speaks_of_the_sample_in_hand(sitting: Bench) -> None:
    sitting.type("note lamp replaced", ROOM_A, "note lid was loose")

    first, second = (one[2] for one in entries(sitting.at)[-2:])
    assert (first["sample"], first["text"]) == (None, "lamp replaced")
    assert (second["sample"], second["text"]) == (ROOM_A, "lid was loose")
    assert sitting.prompt == "weight before opening [g]> "


def test_another_setting_holds_from_there_on(sitting: Bench) -> None:
    sitting.type(*JAR[:9], "set pH.sample_temperature=23.5", "5.47/5.49")

    assert entries(sitting.at)[-1][2]["settings"] == {
        "dilution": "10 %",
        "sample_temperature": "23.5",
    }


def test_readings_with_names_answer_more_than_what_was_asked(sitting: Bench) -> None:
    sitting.type(ROOM_A, "w=83.10 sep=none swollen=no")

    assert sitting.prompt == "odour, observers> "
    sitting.type("skip", "Ana:0/Ben:1", "skip", "skip", "skip")
    assert sitting.prompt == "pH> "
    sitting.type("5.47/5.49 sample_temperature=24.0")
    assert entries(sitting.at)[-1][2]["settings"] == {"sample_temperature": "24.0"}


def test_scanning_another_jar_leaves_the_first_as_it_is(sitting: Bench) -> None:
    told = sitting.type(ROOM_A, "83.10", T40_2W)

    assert told[0].startswith(f"{T40_2W} Heather day cream, batch A, JAR, T40, 2w")
    sitting.type("later", "005-Y")
    assert sitting.prompt == "separation> "


def test_an_empty_line_is_never_an_answer(sitting: Bench) -> None:
    count = len(entries(sitting.at))

    assert sitting.type("", ROOM_A, "", "   ") == []
    assert sitting.prompt == "weight before opening [g]> "
    assert len(entries(sitting.at)) == count


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (
            "QDC-009-5",
            "! QDC-009-5 is a sample of study QDC, and this is study HDC: put it aside",
        ),
        ("HDC-005-W", "! The check character of 'HDC-005-W' does not fit"),
        ("jar", "! 'jar' is no sample code."),
        (SPARE_A, f"! Nothing is due on {SPARE_A} on 2026-03-20. Put it back unopened"),
        ("HDC-019-M", "! Study HDC has no sample HDC-019-M."),
    ],
)
def test_a_code_that_does_not_belong_gives_one_clear_message(
    sitting: Bench, typed: str, message: str
) -> None:
    told = sitting.type(typed)

    assert len(told) == 1
    assert told[0].startswith(message)
    assert sitting.prompt == "sample code> "


def test_a_code_of_another_study_in_the_middle_stores_nothing(sitting: Bench) -> None:
    sitting.type(ROOM_A)
    count = len(entries(sitting.at))

    told = sitting.type("QDC-009-5")

    assert told[0].startswith("! QDC-009-5 is a sample of study QDC")
    assert sitting.prompt == "weight before opening [g]> "
    assert len(entries(sitting.at)) == count


def test_what_is_not_due_yet_says_when(running: At) -> None:
    sitting = sit_down(running("2026-03-12"))

    told = sitting.type(ROOM_A)

    assert "2w opens on 2026-03-18 and is due on 2026-03-20" in told[0]


def test_resuming_asks_what_is_still_due(sitting: Bench) -> None:
    sitting.type(*JAR[:5])

    again = sit_down(sitting.at)
    again.type(ROOM_A)

    assert again.prompt == "swollen> "


def test_what_another_bench_has_stored_is_not_asked_again(sitting: Bench) -> None:
    sitting.type(ROOM_A, "83.10")
    bench.log(sitting.at, ROOM_A, ["sep=none"])

    told = sitting.type("none")
    assert "separation of HDC-005-Y at 2w" in told[0]
    assert sitting.prompt == "odour, observers> "
    assert holds(sitting.at)


def test_the_list_shrinks_and_the_end_is_told(sitting: Bench) -> None:
    first = sitting.type("list")
    assert len(first) == 11
    assert first[0] == "10 checks are due:"
    assert f"    {ROOM_A}  2w, due 2026-03-20, batch A, ROOM, JAR: 6 to read" in first
    told = sitting.type(*JAR)
    assert told[-2:] == [f"{ROOM_A} 2w: all read.", "9 checks are due"]
    sitting.type(T40_2W, "miss oven off")
    assert sitting.type("list")[0] == "8 checks are due:"
    assert not any(T40_2W in line for line in sitting.type("list"))
    sitting.type("stop")
    assert sitting.sitting.ended


def test_how_tells_the_method_and_words_tells_the_words(sitting: Bench) -> None:
    sitting.type(*JAR[:9])

    assert sitting.type("how") == ["    pH: 10 % in water"]
    assert any(line.startswith("    skip WHY") for line in sitting.type("words"))


def test_the_control_is_scanned_where_one_stands(running: At) -> None:
    bench.place(running("2026-03-11"), [ROOM_B])
    sitting = sit_down(running("2026-03-20"))
    sitting.type(T40_2W, "82.90", "none", "Ana, Ben")

    assert sitting.prompt == "odour, control> "
    assert "stands in T40" in sitting.type(T40_2W)[0]
    sitting.type(ROOM_A, "0/0")
    assert entries(sitting.at)[-1][2]["control"] == ROOM_A


def test_another_day_is_entered_from_paper(running: At) -> None:
    sitting = sit_down(running("2026-03-25"), on="2026-03-20")
    sitting.type(ROOM_A, "83.10")

    with open_database(sitting.at.records).reading() as connection:
        last = journal.entries(connection, "study:HDC")[-1]
    assert last.done == "2026-03-20"
    with pytest.raises(FutureMomentError):
        sit_down(running("2026-03-25"), on="2026-04-20")


def test_an_unknown_study_is_told(running: At) -> None:
    with pytest.raises(UnknownStudyError):
        sit_down(running("2026-03-25"), "XYZ")


def test_an_instrument_without_a_valid_calibration_is_told_at_once(
    nowhere: Occasion, tmp_path: Path
) -> None:
    bench.start(nowhere, write_files(tmp_path / "metered", protocol=METERED))
    instruments.add(nowhere, "PH1", "pH meter", "glass", suffix="9XR2")
    at = replace(nowhere, now=datetime(2026, 3, 5, 12, tzinfo=UTC))
    sitting = sit_down(at)
    sitting.type(BULK_A, "sep=none swollen=no spread=60", "skip", "0", "=", "22", "E1")

    assert sitting.prompt == "pH, instrument> "
    told = sitting.type("PH1", "5.50/5.52")

    assert "no calibration of PH1 on record by that day" in told[1]


def test_the_opening_tells_what_is_due_the_words_and_the_cautions(
    sitting: Bench,
) -> None:
    told = "\n".join(sitting.sitting.opening(sitting.at))

    for words in (
        "HDC  Heather day cream 1.0, 2026-03-20", "10 checks are due:",
        "skip, back, on, later, miss, closed, gone, note, photo, set, how, list",
        "No aged, failed or opened test sample goes onto skin",
        "stays closed: photograph it through the glass",
        "supports, and does not replace, assessment by a qualified safety assessor",
        "Closed packs in heat can leak or burst",
    ):  # fmt: skip
        assert words in told
    assert "Centrifuge" not in told
