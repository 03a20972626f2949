"""A study kept in memory: continued, read anew after another writer, never ahead."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from stability.errors.samples import ReadingsError
from stability.model import content
from stability.model.moment import Moment
from stability.records import journal, store
from stability.records.continuation import Continuation
from stability.records.database import open_database
from stability.workflow import bench, records
from stability.workflow.kept_study import KeptStudy
from stability.workflow.occasion import Occasion
from stability.workflow.writing import Act

At = Callable[[str], Occasion]


def noted(text: str, at: Occasion) -> Callable[[Continuation], Iterator[Act]]:
    """Return an act that notes something."""

    def acts(book: Continuation) -> Iterator[Act]:
        del book
        held = content.noted(text, None, None)
        yield Act(content.NOTED, held, Moment(at.today()), text)

    return acts


def texts(at: Occasion) -> list[str]:
    """Return the notes that are stored."""
    with open_database(at.records).reading() as connection:
        entries = journal.entries(connection, "study:HDC")
    return [one.content["text"] for one in entries if one.kind == content.NOTED]


def test_the_study_is_read_once_and_continued(
    at: At, monkeypatch: pytest.MonkeyPatch
) -> None:
    occasion = at("2026-03-10")
    kept = KeptStudy(occasion.records, "hdc")
    read: list[str] = []
    monkeypatch.setattr(store, "continue_study", lambda _, code: read.append(code))

    for text in ("first", "second"):
        kept.write(occasion, noted(text, occasion))

    assert read == []
    assert [one.text for one in kept.book.record.notes] == ["first", "second"]
    assert texts(occasion) == ["first", "second"]
    assert records.verify(occasion).holds


def test_what_another_writer_has_added_is_read_first(at: At) -> None:
    occasion = at("2026-03-10")
    kept = KeptStudy(occasion.records, "HDC")
    kept.write(occasion, noted("mine", occasion))
    bench.note(occasion, "HDC", "theirs")

    kept.write(occasion, noted("mine again", occasion))

    assert texts(occasion) == ["mine", "theirs", "mine again"]
    assert [one.text for one in kept.book.record.notes] == texts(occasion)
    assert records.verify(occasion).holds


def test_what_failed_is_neither_stored_nor_remembered(at: At) -> None:
    occasion = at("2026-03-10")
    kept = KeptStudy(occasion.records, "HDC")

    def failing(book: Continuation) -> Iterator[Act]:
        yield from noted("half", occasion)(book)
        raise ReadingsError(["broken off"])

    with pytest.raises(ReadingsError):
        kept.write(occasion, failing)

    assert kept.book.record.notes == ()
    kept.write(occasion, noted("whole", occasion))
    assert texts(occasion) == ["whole"]
    assert records.verify(occasion).holds
