"""Whatever is done to a record behind our back, verifying names the first entry."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.model.entry import Draft, Entry, Head, WorkspaceHead, link, parse_anchor
from stability.records import attachment, journal
from stability.records.database import Database, open_database
from stability.records.verify import WHAT_IT_CANNOT_PROVE, Verification, verify

Drafts = Callable[..., list[Draft]]
Raw = Callable[..., list[tuple[object, ...]]]


class Intruder:
    """Someone with SQLite and this source, but without the printed anchors."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.run("DROP TRIGGER entry_no_update")
        self.run("DROP TRIGGER entry_no_delete")
        self.run("DROP TRIGGER entry_in_order")

    def run(self, sql: str, *values: object) -> None:
        with closing(sqlite3.connect(self.path)) as connection:
            connection.execute("PRAGMA synchronous = OFF")
            connection.execute(sql, values)
            connection.commit()

    def write(self, entries: list[Entry]) -> None:
        """Put other entries in place of all that are there."""
        rows = [
            (one.number, one.subject, one.position, one.line, one.digest, one.seal)
            for one in entries
        ]
        self.run("DELETE FROM entry")
        with closing(sqlite3.connect(self.path)) as connection:
            connection.execute("PRAGMA synchronous = OFF")
            connection.executemany("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?)", rows)
            connection.commit()

    def read(self) -> list[Entry]:
        with open_database(self.path).reading() as connection:
            return list(journal.all_entries(connection))


@pytest.fixture
def intruder(filled: Database, path: Path) -> Intruder:
    assert filled.address.path == path
    return Intruder(path)


def verified(path: Path, *anchors: str) -> Verification:
    with open_database(path).reading() as connection:
        return verify(connection, anchors=[parse_anchor(one) for one in anchors])


def first_flaw(path: Path) -> tuple[str, str]:
    """Return what is named first, where and how; the dropped triggers aside."""
    flaws = [one for one in verified(path).flaws if one.how != "unguarded"]
    return (flaws[0].where, flaws[0].how) if flaws else ("", "")


def renumbered(entries: list[Entry]) -> list[Entry]:
    return [replace(one, number=place) for place, one in enumerate(entries, 1)]


def resealed(entries: list[Entry]) -> list[Entry]:
    """Return entries with numbers and seals made anew."""
    seal, made = "", []
    for place, one in enumerate(entries, 1):
        seal = link(seal, one.digest)
        made.append(replace(one, number=place, seal=seal))
    return made


def test_an_untouched_record_holds(filled: Database, path: Path) -> None:
    found = verified(path)

    assert found.holds
    assert (found.entries, found.attachments) == (12, 0)
    assert [head.subject for head in found.heads] == ["study:HDC", "study:XY"]
    with filled.reading() as connection:
        assert found.head == journal.workspace_head(connection)
        assert found.heads == journal.heads(connection)
    assert found.clock_steps == ()


def test_an_empty_record_holds(database: Database, path: Path) -> None:
    assert database.address.path == path
    assert verified(path).holds
    assert verified(path).head is None


def test_missing_triggers_are_a_flaw(intruder: Intruder) -> None:
    flaws = verified(intruder.path).flaws

    assert {one.how for one in flaws} == {"unguarded"}
    assert "entry_no_update" in str(flaws[0])


# Changed


@pytest.mark.parametrize("number", range(1, 13))
def test_a_changed_line_is_named(intruder: Intruder, number: int) -> None:
    intruder.run(
        "UPDATE entry SET line = replace(line, 'note', 'nope') WHERE number = ?", number
    )
    one = intruder.read()[number - 1]

    assert first_flaw(intruder.path) == (f"{one.subject}/{one.position}", "changed")


@pytest.mark.parametrize("column", ["digest", "seal"])
@pytest.mark.parametrize("number", [1, 5, 12])
def test_a_changed_digest_or_seal_is_noticed_there(
    intruder: Intruder, number: int, column: str
) -> None:
    statements = {
        "digest": "UPDATE entry SET digest = ? WHERE number = ?",
        "seal": "UPDATE entry SET seal = ? WHERE number = ?",
    }
    intruder.run(statements[column], "f" * 64, number)

    flaw = verified(intruder.path).flaws[0]
    assert flaw.number == number


@pytest.mark.parametrize("number", range(1, 11))
def test_a_line_changed_with_its_digest_made_anew_is_named(
    intruder: Intruder, number: int
) -> None:
    entries = intruder.read()
    one = entries[number - 1]
    before = entries[number - 3].digest if number > 2 else ""
    line = one.line.replace("note", "nope")
    intruder.run(
        "UPDATE entry SET line = ?, digest = ? WHERE number = ?",
        line, link(before, line), number,
    )  # fmt: skip

    assert first_flaw(intruder.path) == (f"{one.subject}/{one.position}", "changed")


@pytest.mark.parametrize(
    "line", ["", "gone", "{}", '{"content":{}}', '{"position":3,"subject":"study:HDC"}']
)
def test_a_line_that_is_no_entry_is_named_as_changed(
    intruder: Intruder, line: str
) -> None:
    intruder.run("UPDATE entry SET line = ? WHERE number = 5", line)

    assert first_flaw(intruder.path) == ("study:HDC/3", "changed")


def test_an_entry_given_to_another_study_is_noticed(intruder: Intruder) -> None:
    intruder.run("UPDATE entry SET subject = 'study:Q', position = 1 WHERE number = 11")

    flaws = [one for one in verified(intruder.path).flaws if one.how != "unguarded"]
    assert [one.where for one in flaws] == ["study:Q/1"]


# Removed


@pytest.mark.parametrize("number", range(1, 12))
def test_a_removed_entry_is_named_by_its_number(
    intruder: Intruder, number: int
) -> None:
    intruder.run("DELETE FROM entry WHERE number = ?", number)

    assert ("number " + str(number), "removed") in [
        (one.where, one.how) for one in verified(intruder.path).flaws
    ]
    assert verified(intruder.path).flaws[0].number in {number, number + 2}


@pytest.mark.parametrize("number", range(1, 11))
def test_a_removed_entry_is_named_even_if_all_numbers_are_made_anew(
    intruder: Intruder, number: int
) -> None:
    entries = intruder.read()
    gone = entries.pop(number - 1)
    shifted = [
        replace(one, position=one.position - 1)
        if one.subject == gone.subject and one.position > gone.position
        else one
        for one in entries
    ]
    intruder.write(resealed(shifted))

    assert first_flaw(intruder.path) == (f"{gone.subject}/{gone.position}", "removed")


def test_several_removed_entries_are_named_together(intruder: Intruder) -> None:
    intruder.write(
        resealed([one for one in intruder.read() if one.position not in {3, 4}])
    )

    flaws = [one for one in verified(intruder.path).flaws if one.how == "removed"]
    assert {one.where for one in flaws} == {"study:HDC/3 to 4", "study:XY/3 to 4"}


def test_a_whole_study_removed_shows_in_the_seals(intruder: Intruder) -> None:
    left = [one for one in intruder.read() if one.subject == "study:XY"]
    intruder.write(renumbered(left))

    where, how = first_flaw(intruder.path)
    assert how == "removed"
    assert "just before number 1 (study:XY/1)" in where


# Inserted


def inserted(entries: list[Entry], place: int) -> list[Entry]:
    """Return entries with a forged one that follows from those before it."""
    before, after = entries[:place], entries[place:]
    same = [one for one in before if one.subject == "study:HDC"]
    last = same[-1] if same else None
    position = len(same) + 1
    line = (
        entries[0]
        .line.replace("note 0", "forged")
        .replace('"position":1', f'"position":{position}')
    )
    digest = link(last.digest if last else "", line)
    seal = link((before[-1].seal or "") if before else "", digest)
    forged = replace(entries[0], position=position, line=line, digest=digest, seal=seal)
    moved = [
        replace(one, position=one.position + 1) if one.subject == "study:HDC" else one
        for one in after
    ]
    return renumbered([*before, forged, *moved])


@pytest.mark.parametrize("place", range(10))
@pytest.mark.parametrize("seal", [resealed, list])
def test_an_inserted_entry_is_named(
    intruder: Intruder, place: int, seal: Callable[[list[Entry]], list[Entry]]
) -> None:
    forged = inserted(intruder.read(), place)
    intruder.write(seal(forged))

    where = f"{forged[place].subject}/{forged[place].position}"
    assert first_flaw(intruder.path) == (where, "inserted")


def test_an_inserted_entry_that_follows_from_nothing_is_named(
    intruder: Intruder,
) -> None:
    forged = inserted(intruder.read(), 4)
    forged[4] = replace(forged[4], digest="f" * 64)
    intruder.write(resealed(forged))

    assert first_flaw(intruder.path) == ("study:HDC/3", "inserted")


def test_an_entry_copied_to_the_end_is_named(intruder: Intruder) -> None:
    entries = intruder.read()
    copied = replace(entries[4], position=7)
    intruder.write(resealed([*entries, copied]))

    assert first_flaw(intruder.path) == ("study:HDC/7", "inserted")


def test_two_inserted_entries_are_named_from_the_first(intruder: Intruder) -> None:
    intruder.write(resealed(inserted(inserted(intruder.read(), 4), 5)))

    assert first_flaw(intruder.path) == ("study:HDC/3", "inserted")


def test_an_entry_stored_twice_in_a_row_is_named_where_it_repeats(
    intruder: Intruder,
) -> None:
    entries = intruder.read()
    moved = [
        replace(one, position=one.position + (one.subject == "study:HDC"))
        for one in entries[5:]
    ]
    copied = replace(entries[4], position=4)
    intruder.write(resealed([*entries[:5], copied, *moved]))

    assert first_flaw(intruder.path) == ("study:HDC/4", "inserted")


def appended(entries: list[Entry], line: str, position: int, last: str) -> list[Entry]:
    """Return entries with one more at the end, linked to a given digest."""
    forged = replace(entries[0], position=position, line=line, digest=link(last, line))
    return resealed([*entries, forged])


def test_a_second_entry_for_an_early_place_is_named_at_the_end(
    intruder: Intruder,
) -> None:
    entries = intruder.read()
    line = entries[4].line.replace("note", "forged")
    intruder.write(appended(entries, line, 7, entries[2].digest))

    assert first_flaw(intruder.path) == ("study:HDC/7", "inserted")


@pytest.mark.parametrize(
    ("place", "position", "flaw"),
    [
        ('"position":8', 8, ("study:HDC/7", "removed")),
        ('"position":9', 7, ("study:HDC/7 to 8", "removed")),
        ('"position":7,"subject":"study:Q"}', 7, ("study:HDC/7", "changed")),
    ],
)
def test_an_entry_for_another_place_is_named_though_its_links_fit(
    intruder: Intruder, place: str, position: int, flaw: tuple[str, str]
) -> None:
    entries = intruder.read()
    begin, _, end = entries[10].line.partition('"position":6')
    line = begin + (place if place.endswith("}") else place + end)
    intruder.write(appended(entries, line, position, entries[10].digest))

    assert first_flaw(intruder.path) == flaw


# Reordered


@pytest.mark.parametrize("number", range(1, 11))
@pytest.mark.parametrize("seal", [resealed, renumbered])
def test_two_entries_of_a_study_that_change_places_are_named(
    intruder: Intruder, number: int, seal: Callable[[list[Entry]], list[Entry]]
) -> None:
    entries = intruder.read()
    one, other = entries[number - 1], entries[number + 1]
    entries[number - 1] = replace(other, position=one.position)
    entries[number + 1] = replace(one, position=other.position)
    intruder.write(seal(entries))

    assert first_flaw(intruder.path) == (f"{one.subject}/{one.position}", "reordered")


@pytest.mark.parametrize("number", range(1, 12))
def test_entries_of_two_studies_that_change_places_are_named(
    intruder: Intruder, number: int
) -> None:
    entries = intruder.read()
    one, other = entries[number - 1], entries[number]
    entries[number - 1], entries[number] = other, one
    intruder.write(renumbered(entries))

    where = f"{other.subject}/{other.position}"
    assert first_flaw(intruder.path) == (where, "reordered")


# Any of it


@pytest.fixture(scope="module")
def genuine(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Entry]]:
    path = tmp_path_factory.mktemp("genuine") / "stability.db"
    database = open_database(path, create=True)
    with database.writing() as connection:
        for place in range(8):
            draft = Draft(
                f"study:{'HDC' if place % 3 else 'XY'}", "noted/1", "Ana",
                "2026-03-02", "2026-03-02T09:00:00Z", {"text": f"{place}"},
            )  # fmt: skip
            journal.append(connection, [draft])
    with database.reading() as connection:
        yield list(journal.all_entries(connection))


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(order=st.lists(st.integers(0, 7), max_size=9))
def test_only_the_beginning_of_the_record_holds_without_its_end(
    genuine: list[Entry],
    tmp_path_factory: pytest.TempPathFactory,
    order: list[int],
) -> None:
    path = tmp_path_factory.mktemp("any") / "stability.db"
    open_database(path, create=True)
    places: dict[str, int] = {}
    forged = []
    for place in order:
        one = genuine[place]
        places[one.subject] = places.get(one.subject, 0) + 1
        forged.append(replace(one, position=places[one.subject]))
    Intruder(path).write(renumbered(forged))

    sound = order == list(range(len(order)))
    assert (first_flaw(path) == ("", "")) == sound


# Against anchors


def test_a_tail_cut_off_shows_only_against_an_anchor(intruder: Intruder) -> None:
    before = verified(intruder.path)
    intruder.run("DELETE FROM entry WHERE number > 8")

    assert first_flaw(intruder.path) == ("", "")
    found = verified(intruder.path, str(before.heads[0]), str(before.head))
    cut = [(one.where, one.how) for one in found.flaws if one.how != "unguarded"]
    assert cut == [("study:HDC/6", "cut off"), ("number 12", "cut off")]
    assert found.anchors_held == ()


def test_a_rewritten_record_shows_only_against_an_anchor(
    intruder: Intruder, drafts: Drafts, tmp_path: Path
) -> None:
    before = verified(intruder.path)
    other = open_database(tmp_path / "other.db", create=True)
    forged = drafts(6)
    forged[2] = replace(forged[2], content={"text": "forged"})
    with other.writing() as connection:
        for pair in zip(forged, drafts(6, "study:XY"), strict=True):
            journal.append(connection, pair)
    with other.reading() as connection:
        intruder.write(list(journal.all_entries(connection)))

    assert first_flaw(intruder.path) == ("", "")
    found = verified(intruder.path, *map(str, before.heads), str(before.head))
    how = [(one.where, one.how) for one in found.flaws if one.how != "unguarded"]
    assert how == [("study:HDC/6", "rewritten"), ("number 12", "rewritten")]
    assert [str(one) for one in found.anchors_held] == [str(before.heads[1])]


def test_a_record_that_went_on_passes_through_its_anchors(
    filled: Database, path: Path, drafts: Drafts
) -> None:
    before = verified(path)
    with filled.writing() as connection:
        journal.append(connection, drafts(3, start=6))
    anchors = [*before.heads, before.head]

    found = verified(path, *map(str, anchors))
    assert found.holds
    assert found.anchors_held == tuple(anchors)


def test_an_anchor_may_be_short_in_name_and_digest(
    filled: Database, path: Path
) -> None:
    with filled.reading() as connection:
        head = journal.heads(connection)[0]
        last = journal.workspace_head(connection)
    assert last is not None

    assert verified(path, f"HDC/6:{head.digest[:16]}", f"12:{last.seal[:20]}").holds
    assert not verified(path, f"HDC/6:{'0' * 16}").holds
    assert not verified(path, f"HDC/5:{head.digest[:16]}").holds


def test_an_anchor_of_a_study_that_is_gone_is_cut_off(
    filled: Database, path: Path
) -> None:
    assert filled.address.path == path
    flaw = verified(path, str(Head("study:Q", 3, "a" * 64))).flaws[0]

    assert (flaw.where, flaw.how) == ("study:Q/3", "cut off")
    assert not verified(path, str(WorkspaceHead(99, "a" * 64))).holds


# Beside the chain


def test_a_clock_that_stepped_back_is_a_caution_only(
    database: Database, path: Path, drafts: Drafts
) -> None:
    entries = drafts(3)
    entries[1] = replace(entries[1], entered="2026-03-01T00:00:00Z")
    with database.writing() as connection:
        journal.append(connection, entries)

    found = verified(path)
    assert found.holds
    assert [step.where for step in found.clock_steps] == ["study:HDC/2"]
    assert found.clock_steps[0].entered < found.clock_steps[0].before


def test_entries_of_one_second_are_no_step_of_the_clock(
    database: Database, path: Path, drafts: Drafts
) -> None:
    entries = drafts(3)
    at = entries[0].entered
    with database.writing() as connection:
        journal.append(connection, [replace(one, entered=at) for one in entries])

    assert verified(path).clock_steps == ()


def test_a_text_that_looks_like_a_time_does_not_deceive(
    database: Database, path: Path, drafts: Drafts
) -> None:
    entries = drafts(2)
    trap = '","entered":"1999-01-01T00:00:00Z'
    entries[1] = replace(
        entries[1], person=trap, content={"a": "", "entered": trap[-20:]}
    )
    with database.writing() as connection:
        journal.append(connection, entries)

    assert verified(path).clock_steps == ()


def test_attachments_are_held_against_their_digests(
    database: Database, path: Path, drafts: Drafts, raw: Raw
) -> None:
    with database.writing() as connection:
        kept = attachment.keep(connection, b"rows", "logger.csv", "text/csv")
        attachment.keep(connection, b"other", "photo.jpg", "image/jpeg")
        named = replace(drafts(1)[0], content={"files": [{"attachment": kept}]})
        journal.append(connection, [named])
    assert verified(path).holds
    assert verified(path).attachments == 2

    raw("DROP TRIGGER attachment_no_update")
    raw("UPDATE attachment SET content = x'00' WHERE number = 2")
    raw("DROP TRIGGER attachment_no_delete")
    raw("DELETE FROM attachment WHERE number = 1")

    flaws = [one for one in verified(path).flaws if one.how != "unguarded"]
    assert {(one.how, "photo" in one.where) for one in flaws} == {
        ("changed", True), ("removed", False),
    }  # fmt: skip
    assert any(kept in one.where and "study:HDC/1" in one.where for one in flaws)


def test_differing_derived_tables_are_flaws(filled: Database) -> None:
    with filled.reading() as connection:
        found = verify(
            connection, derived_differences=lambda: ["open_check: HDC-014-W 4w differs"]
        )

    assert [str(one) for one in found.flaws] == ["open_check: HDC-014-W 4w differs"]


def test_progress_is_told_to_the_end(database: Database, drafts: Drafts) -> None:
    with database.writing() as connection:
        journal.append(connection, drafts(2500))
    told: list[tuple[int, int]] = []
    with database.reading() as connection:
        verify(connection, progress=lambda done, total: told.append((done, total)))

    assert told == [(1000, 2500), (2000, 2500), (2500, 2500)]


def test_its_limits_are_said() -> None:
    assert "cannot show" in WHAT_IT_CANNOT_PROVE
    assert "--against" in WHAT_IT_CANNOT_PROVE
