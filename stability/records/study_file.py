"""Study files: one protocol applied to named batches, packs and samples.

A study file is TOML whose keys are the fields of the records in
`stability.model.study`. It is read against its protocol, so that every name in it is
one that the protocol has.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, Final

from stability.errors.codes import StudyCodeError
from stability.model.code import checked_study_code
from stability.model.protocol import Protocol
from stability.model.study import Batch, SampleRow, Study
from stability.records.faults import Faults, parse_toml
from stability.records.record_reader import Layout, read_record
from stability.records.sample_rules import check_grams, check_samples
from stability.records.study_rules import check_study
from stability.records.toml_lines import Path


def study_protocol_name(text: str, file: str) -> tuple[str, str]:
    """Return the protocol that a study file names, and in which file and line.

    The rest of the file is not read.

    Raises
    ------
    TomlSyntaxError, NewerFormatError
        If the file cannot be read.
    FaultyFileError
        If it names no protocol.
    """
    table, faults = parse_toml(text, file)
    name = table.get("protocol")
    if not isinstance(name, str) or not name.strip():
        text = "the file names no protocol"
        hint = 'write protocol = "emulsion-combined", another ready-made name or a file'
        faults.add(("protocol",), text, hint)
        faults.raise_all()
    return str(name), f"{file}:{faults.line(('protocol',))}"


def is_study_text(text: str, file: str) -> bool:
    """Say whether a text is a study's, which names a protocol, and not a protocol's.

    Raises
    ------
    TomlSyntaxError, NewerFormatError
        If it cannot be read.
    """
    if not text.strip():
        return False
    table, _ = parse_toml(text, file)
    return "protocol" in table or "batches" in table


def read_study(text: str, file: str, protocol: Protocol) -> Study:
    """Read a study from the text of its file.

    Parameters
    ----------
    text
        The file's text.
    file
        The file's name, for messages.
    protocol
        The protocol that it names.

    Returns
    -------
    Study
        Its `code` is empty where the file leaves it to be allotted.

    Raises
    ------
    TomlSyntaxError
        If it is no TOML.
    NewerFormatError
        If it was made by a newer version.
    FaultyFileError
        If it has faults of content; all of them at once.
    """
    study, faults = _read(text, file, protocol)
    check_samples(study, protocol, faults)
    check_grams(study, protocol, faults)
    faults.raise_all()
    return study


def read_draft(text: str, file: str, protocol: Protocol) -> Study:
    """Read a study that is still being planned.

    Its samples may be missing, and may need more than there is of a batch; all else
    is checked as `read_study` does.

    Parameters
    ----------
    text, file, protocol
        As in `read_study`.

    Raises
    ------
    TomlSyntaxError, NewerFormatError, FaultyFileError
        As `read_study` does.
    """
    study, faults = _read(text, file, protocol)
    if study.samples:
        check_samples(study, protocol, faults)
    faults.raise_all()
    return study


def _read(text: str, file: str, protocol: Protocol) -> tuple[Study, Faults]:
    """Return a study with its faults, the samples not yet looked at."""
    table, faults = parse_toml(text, file)
    table.setdefault("samples", [])
    read = read_record(Study, table, (), faults, LAYOUT)
    study = replace(read, code=_study_code(read.code, faults))
    check_study(study, protocol, faults)
    return study, faults


def _study_code(typed: str, faults: Faults) -> str:
    """Return the study code in capitals; "" where there is none yet."""
    if not typed:
        return ""
    try:
        return checked_study_code(typed)
    except StudyCodeError as error:
        faults.add(("code",), str(error))
        return ""


def _study(value: Any, path: Path, faults: Faults) -> Any:
    """Keep a moment as text, as the record of the opening does."""
    del path, faults
    opened = value.get("opened")
    if isinstance(opened, date | datetime):
        return {**value, "opened": opened.isoformat()}
    return value


def _sample_row(value: Any, path: Path, faults: Faults) -> Any:
    """Let one batch stand for a list of one, and a tube or bulk be read at T0."""
    del path, faults
    if not isinstance(value, dict):
        return value
    table = dict(value)
    if isinstance(table.get("batch"), str):
        table["batch"] = [table["batch"]]
    if table.get("kind") in ("bulk", "tube"):
        table.setdefault("use", "T0")
    return table


def _batch(value: Any, path: Path, faults: Faults) -> Any:
    """Let facts of the making be numbers and days as well as text."""
    del path, faults
    if not isinstance(value, dict) or not isinstance(value.get("process"), dict):
        return value
    process = {
        name: str(fact) if _is_plain(fact) else fact
        for name, fact in value["process"].items()
    }
    return {**value, "process": process}


def _is_plain(fact: Any) -> bool:
    plain = isinstance(fact, int | Decimal | date | time)
    return plain and not isinstance(fact, bool)


#: Where a study file is written otherwise than the records are built.
LAYOUT: Final = Layout(
    shapes={Study: _study, SampleRow: _sample_row, Batch: _batch},
)
