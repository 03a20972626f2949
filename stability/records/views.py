"""Views of a study for people and spreadsheets, written beside its journal."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from textwrap import wrap
from typing import Final

from stability.model.entry import Entry
from stability.model.inert_cell import inert
from stability.model.observation import Observation
from stability.model.study_record import StudyRecord
from stability.records.storage_views import PLACES, RECORDS, storage_views

#: Column of observations.csv -> what it holds, as the README of an archive says it.
OBSERVATIONS: Final = {
    "entry": "where it stands in the record: study code and position",
    "sample": "code of the sample",
    "batch": "batch of the sample",
    "pack": "pack of the sample; empty for bulk",
    "condition": "condition in which the sample is kept; empty where in none",
    "check": "T0, or the age at which the protocol asks for it; empty: extra",
    "attribute": "what was observed, by its name in protocol.toml",
    "part": "before or after opening, of weights; else empty",
    "readings": "all readings as typed, separated by /",
    "unit": "unit of the readings; empty where they have none",
    "done": "when it was observed: a day, or a local time with its offset from UTC",
    "entered": "when it was stored, in UTC",
    "person": "who recorded it",
    "observers": "who observed, in the order of the readings, separated by ;",
    "settings": "settings of the method, as name=value, separated by ;",
    "control": "sample that it was compared with; empty where with none",
    "extra": "further values of the method, as name=value, separated by ;",
    "not_measured": "why it was not measured; empty where it was",
    "repeats": "position of the entry that it repeats; empty where none",
    "corrects": "position of the entry that it supersedes; empty where none",
    "state": "stands; or corrected or set aside, by which entry and why",
    "because": "reason given for it; empty where none",
}

README: Final = "README.md"
#: Folder of photographs that were set aside, within that of all photographs.
SET_ASIDE: Final = "set_aside/"
#: Signs of a line that explains a column, behind its name.
_WIDTH: Final = 74
_README = """\
{product}, version {version}: study {code}
{line}

This folder holds the whole record of one stability study.

journal.jsonl      the record itself; everything else here is a view of it
study.toml         the study file as it was when the study was opened
protocol.toml      the protocol as it was then, with its limits and reasons
observations.csv   every observation, superseded and set-aside ones among them
{storage}\
photographs        photographs of samples, if there are any, cleaned, named by sample,
                   check, day and number; below set_aside those that were set aside,
                   each with its cause in the journal
attachments        certificates and other files as received, if there are any, each
                   named by its SHA-256; attachments.jsonl holds their names

Columns of observations.csv, one row an observation:

{columns}
{storage_columns}
A cell that a spreadsheet would run as a formula has an apostrophe before its sign
(= + - @, a tab or a line end, at the beginning or after a semicolon); take away one
apostrophe to have it as recorded. Numbers are left as they are.

The record stood at entry {position} with the digest

    {digest}

when this was written. Compare both with a printed report. To check without any
program of ours that no entry was changed, removed or put in between, run in this
folder:

```sh
python3 - <<'END'
import hashlib, json
last = {{}}
for text in list(open("journal.jsonl", encoding="utf-8"))[1:]:
    one = json.loads(text)
    subject = json.loads(one["line"])["subject"]
    linked = last.get(subject, "") + "\\n" + one["line"]
    last[subject] = hashlib.sha256(linked.encode()).hexdigest()
    assert last[subject] == one["digest"], one["line"]
print(last)
END
```

It prints the digest of the last entry, and stops at the first that does not hold. That
a file in attachments is as it was received shows `sha256sum attachments/*`: each is
named by what it prints. It cannot show that entries were cut off at the
end; the position and digest on an earlier report or sheet can.

Entries cannot be deleted, and they hold people's names.
The record supports, and does not replace, assessment by a qualified safety assessor.
"""


_STORAGE = """\
storage            storage places: places.csv tells what each is, records.csv all that
                   was recorded of it; the files of loggers are in attachments
"""
_STORAGE_COLUMNS = """
Columns of storage/places.csv, one row a place:

{places}

Columns of storage/records.csv, one row a record of a place. Excursions are worked out
from these and from what the protocol means for a condition; the report lists them.

{records}
"""


def views_of(
    record: StudyRecord, entries: Sequence[Entry], beside: Iterable[Entry] = ()
) -> dict[str, str]:
    """Return path -> text of every view of a study.

    Parameters
    ----------
    record
        Folded from all of its entries.
    entries
        The same entries; the opening holds the files.
    beside
        Entries of the storage places and instruments that go with it, each whole.
    """
    held = entries[0].content
    storage = storage_views(beside)
    return {
        "study.toml": held["study_text"],
        "protocol.toml": held["protocol_text"],
        "observations.csv": observations_csv(record),
        **storage,
        README: readme(record, with_storage=bool(storage)),
    }


def compared(
    record: StudyRecord, entries: Sequence[Entry], beside: Iterable[Entry] = ()
) -> dict[str, str]:
    """Return the views that an archive must agree with.

    README.md explains and does not count: its words may change with the version.

    Parameters
    ----------
    record, entries, beside
        As in `views_of`.
    """
    every = views_of(record, entries, beside)
    return {path: text for path, text in every.items() if path != README}


def photographs_in(record: StudyRecord) -> dict[str, str]:
    """Return path -> SHA-256 of every photograph, as it stands in an archive.

    One that was set aside is kept apart from those that show what they say.
    """
    return {
        f"photographs/{'' if one.invalidated is None else SET_ASIDE}{one.name}": (
            one.sha256
        )
        for one in record.photographs
    }


def readme(record: StudyRecord, *, with_storage: bool = False) -> str:
    """Return how to read the folder, and how to check it without this program."""
    storage = _STORAGE_COLUMNS.format(
        places=_explained(PLACES), records=_explained(RECORDS)
    )
    title = f"{record.study.product}, version {record.study.version}: study "
    return _README.format(
        product=record.study.product,
        version=record.study.version,
        code=record.study.code,
        line="=" * len(title + record.study.code),
        columns=_explained(OBSERVATIONS),
        storage=_STORAGE if with_storage else "",
        storage_columns=storage if with_storage else "",
        position=record.head.position,
        digest=record.head.digest,
    )


def _explained(columns: Mapping[str, str]) -> str:
    """Return each column with what it holds, a line no wider than a screen."""
    lines = []
    for name, text in columns.items():
        first, *rest = wrap(text, _WIDTH)
        lines += [f"{name:<13} {first}", *(f"{'':<13} {one}" for one in rest)]
    return "\n".join(lines)


def observations_csv(record: StudyRecord) -> str:
    """Return every observation as a table in long form."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(OBSERVATIONS)
    for seen in record.observations:
        cells = ("" if one is None else str(one) for one in _cells(record, seen))
        writer.writerow(map(inert, cells))
    return out.getvalue()


def _cells(record: StudyRecord, seen: Observation) -> Iterator[object]:
    sample = record.samples[seen.sample]
    yield from (f"{record.study.code}/{seen.position}", seen.sample)
    yield from (sample.batch, sample.pack, sample.condition)
    yield from (seen.check, seen.attribute, seen.part)
    yield " / ".join(map(str, seen.readings))
    yield from (seen.unit, seen.done, seen.entered.isoformat(), seen.person)
    yield "; ".join(seen.observers)
    yield _pairs(seen.settings)
    yield from (seen.control, _pairs(seen.extra), seen.not_measured)
    yield from (seen.repeats, seen.corrects, _state(seen), seen.because)


def _pairs(named: Mapping[str, str]) -> str:
    return "; ".join(f"{key}={value}" for key, value in sorted(named.items()))


def _state(seen: Observation) -> str:
    if seen.corrected_by is not None:
        return f"corrected by {seen.corrected_by}"
    if seen.invalidated is not None:
        return f"set aside by {seen.invalidated.position}: {seen.invalidated.because}"
    return "stands"
