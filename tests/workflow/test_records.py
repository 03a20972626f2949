"""Moving, keeping and proving the record, whatever was done before."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors import StabilityError
from stability.errors.archives import (
    ArchiveExistsError,
    DivergingRecordError,
    StudyFolderError,
    ViewDiffersError,
)
from stability.records import derived
from stability.records.database import open_database
from stability.records.store import every_record
from stability.workflow import bench, records, studies
from stability.workflow.occasion import Occasion
from tests.records.small_study import (
    BULK_A,
    FT_A,
    ROOM_A,
    ROOM_B,
    SPARE_A,
    T40_2W,
    write_files,
)

At = Callable[[str], Occasion]
EVENTS = """\
kind,done,sample,attribute,reading
observed,2026-03-05,001-5,pH,5.50/5.52
placed,2026-03-06,009-Q,,
"""


def elsewhere(at: Occasion, tmp_path: Path) -> Occasion:
    """Return the same occasion in another workspace."""
    return replace(at, records=str(tmp_path / "other.db"))


def digests(at: Occasion) -> list[str]:
    """Return what every entry says with its place: enough to see a difference."""
    return [f"{one.reference} {one.text}" for one in studies.history(at, "HDC")]


def test_a_study_travels_with_every_digest(at: At, tmp_path: Path) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    exported = records.export(at("2026-03-06"), "HDC", tmp_path / "archive")
    other = elsewhere(at("2026-03-07"), tmp_path)

    imported = records.import_(other, tmp_path / "archive")

    assert (imported.outcome, imported.entries) == ("new", 2)
    assert imported.anchors == exported.anchors
    assert exported.anchors[0].startswith("study:HDC/2:")
    assert digests(other) == digests(at("2026-03-07"))
    assert records.verify(other, against=exported.anchors).holds
    again = records.export(other, "HDC", tmp_path / "again")
    for name in exported.files:
        assert (again.target / name).read_bytes() == (
            exported.target / name
        ).read_bytes()


def test_an_archive_that_goes_on_from_ours_is_continued(at: At, tmp_path: Path) -> None:
    other = elsewhere(at("2026-03-07"), tmp_path)
    records.export(at("2026-03-06"), "HDC", tmp_path / "first")
    records.import_(other, tmp_path / "first")
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    records.export(at("2026-03-06"), "HDC", tmp_path / "second")

    imported = records.import_(other, tmp_path / "second")

    assert (imported.outcome, imported.entries) == ("continues", 1)
    contained = records.import_(other, tmp_path / "first")
    assert (contained.outcome, contained.entries) == ("contained", 0)
    assert records.verify(other).holds


def test_another_story_of_the_same_study_is_refused(at: At, tmp_path: Path) -> None:
    other = elsewhere(at("2026-03-07"), tmp_path)
    records.export(at("2026-03-06"), "HDC", tmp_path / "first")
    records.import_(other, tmp_path / "first")
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    bench.log(other, BULK_A, ["pH=5.40/5.42"], done="2026-03-05")
    records.export(at("2026-03-06"), "HDC", tmp_path / "second")

    with pytest.raises(DivergingRecordError):
        records.import_(other, tmp_path / "second")


def test_a_folder_made_by_hand_travels_the_same_way(
    nowhere: Occasion, tmp_path: Path
) -> None:
    now = replace(nowhere, now=datetime(2026, 6, 1, 9, tzinfo=UTC), person="Ben")
    folder = write_files(tmp_path / "made").parent
    (folder / "events.csv").write_text(EVENTS, encoding="utf-8")

    imported = records.import_(now, folder)

    assert (imported.outcome, imported.entries) == ("new", 4)
    assert imported.written[0].text == "received from made: 2 rows"
    lines = studies.history(now, "HDC")
    assert [one.person for one in lines] == [
        "Ana Reyes",
        "Ana Reyes",
        "Ana Reyes",
        "Ben",
    ]
    by_folder = studies.history(now, str(folder))
    assert [one.text for one in by_folder] == [one.text for one in lines[:3]]
    other = elsewhere(now, tmp_path)
    records.export(now, "HDC", tmp_path / "archive")
    travelled = records.import_(other, tmp_path / "archive")
    assert travelled.anchors == imported.anchors
    assert records.import_(now, folder).outcome == "contained"


def test_a_folder_that_has_grown_since_is_refused(
    nowhere: Occasion, tmp_path: Path
) -> None:
    now = replace(nowhere, now=datetime(2026, 6, 1, 9, tzinfo=UTC))
    folder = write_files(tmp_path / "made").parent
    (folder / "events.csv").write_text(EVENTS, encoding="utf-8")
    records.import_(now, folder)
    grown = f"{EVENTS}placed,2026-03-06,010-3,,\n"
    (folder / "events.csv").write_text(grown, encoding="utf-8")

    with pytest.raises(DivergingRecordError):
        records.import_(now, folder)


def test_what_cannot_be_imported_makes_no_workspace(
    nowhere: Occasion, tmp_path: Path
) -> None:
    with pytest.raises(StudyFolderError):
        records.import_(nowhere, tmp_path)
    assert not Path(nowhere.records).exists()


def test_an_altered_view_is_not_imported(at: At, tmp_path: Path) -> None:
    records.export(at("2026-03-06"), "HDC", tmp_path / "archive")
    study = tmp_path / "archive" / "study.toml"
    study.write_text(study.read_text("utf-8").replace("months = 12", "months = 36"))

    with pytest.raises(ViewDiffersError, match=r"study\.toml"):
        records.import_(elsewhere(at("2026-03-07"), tmp_path), tmp_path / "archive")
    with pytest.raises(ViewDiffersError):
        records.verify(at("2026-03-07"), folder=tmp_path / "archive")


def test_nothing_is_exported_over_what_stands_there(at: At, tmp_path: Path) -> None:
    (tmp_path / "archive").mkdir()

    with pytest.raises(ArchiveExistsError):
        records.export(at("2026-03-06"), "HDC", tmp_path / "archive")


def test_an_archive_is_verified_without_a_workspace(
    at: At, nowhere: Occasion, tmp_path: Path
) -> None:
    exported = records.export(at("2026-03-06"), "HDC", tmp_path / "archive")
    other = elsewhere(nowhere, tmp_path)

    checked = records.verify(
        other, folder=tmp_path / "archive", against=exported.anchors
    )

    assert checked.holds
    assert not Path(other.records).exists()


def test_derived_tables_that_were_altered_do_not_hold(at: At) -> None:
    database = open_database(at("2026-03-06").records)
    with database.writing() as connection:
        connection.exec_driver_sql("update open_check set due = '2020-01-01'")

    checked = records.verify(at("2026-03-06"))

    assert not checked.holds
    assert "open_check of study HDC" in str(checked.flaws[0])


def test_an_anchor_that_the_record_does_not_pass_through_does_not_hold(
    at: At,
) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])

    assert not records.verify(
        at("2026-03-06"), against=["study:HDC/2:0123456789abcdef"]
    ).holds


Verb = tuple[str, str, int]
CODES = (BULK_A, ROOM_A, ROOM_B, T40_2W, FT_A, SPARE_A)
VERBS = st.lists(
    st.tuples(
        st.sampled_from(
            ["place", "log", "retire", "miss", "correct", "invalidate", "swap", "stop"]
        ),
        st.sampled_from(CODES),
        st.integers(0, 30),
    ),
    min_size=1,
    max_size=14,
)


def act(at: Occasion, verb: Verb) -> None:
    """Do something; what cannot be is refused and leaves nothing."""
    what, code, number = verb
    reading = f"pH=5.{number:02d}/5.{number:02d}"
    acts: dict[str, Callable[[], object]] = {
        "place": lambda: bench.place(at, [code]),
        "log": lambda: bench.log(at, code, [reading], accept_far=True),
        "retire": lambda: bench.retire(at, code, "lost", because="x"),
        "miss": lambda: bench.miss(at, "HDC", "2w", samples=[code], because="x"),
        "correct": lambda: bench.correct(
            at, f"HDC/{number}", [reading], because="x", accept_far=True
        ),
        "invalidate": lambda: bench.invalidate(at, f"HDC/{number}", because="x"),
        "swap": lambda: bench.place(at, [code], swap_with=ROOM_A, because="x"),
        "stop": lambda: bench.stop(at, "HDC", sample=code, because="x"),
    }
    acts[what]()


@given(VERBS)
@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_whatever_is_done_the_record_holds_and_the_tables_are_a_rebuild(
    verbs: list[Verb],
) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        at = Occasion(
            str(Path(temporary, "stability.db")),
            datetime(2026, 3, 4, 9, tzinfo=UTC),
            "ana",
            zone="Europe/Dublin",
        )
        bench.start(at, write_files(Path(temporary, "files")))
        done = 0
        for place, verb in enumerate(verbs):
            then = replace(at, now=at.now + timedelta(days=2 * place))
            before = digests(then)
            try:
                act(then, verb)
            except StabilityError:
                assert digests(then) == before
            else:
                done += 1
        assert len(digests(at)) >= 1 + done
        assert records.verify(at).holds
        with open_database(at.records).reading() as connection:
            assert derived.differences(connection, every_record(connection)) == ()
