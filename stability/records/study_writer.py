"""Study files written: what a plan worked out, as a file that `start` accepts."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

from stability.errors.planning import StudyFileNotWrittenError, StudyFileTakenError
from stability.model.study import Batch, Pack, SampleRow, Study
from stability.records.faults import FORMAT

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_WIDTH = 80


def study_text(study: Study, protocol: str, remarks: Iterable[str] = ()) -> str:
    """Return a planned study as the text of a study file.

    Comments stand where a plan cannot know what the maker has to state.

    Parameters
    ----------
    study
        The study with its rows.
    protocol
        The protocol as the file is to name it.
    remarks
        Sentences for the head of the file.
    """
    parts = [
        *_comment(remarks),
        *_head(study, protocol),
        *_packs(study.packs.values()),
        *_batches(study.batches.values()),
        "# One row, one purpose; count = 1 where not said.",
        rows_text(study.samples),
        "",
        *_omit(study.omit),
        *_place_on(study),
    ]
    return "\n".join(parts).rstrip() + "\n"


def rows_text(rows: Iterable[SampleRow]) -> str:
    """Return rows of samples as a study file holds them, ready to paste."""
    return "\n".join("\n".join(_row(row)) for row in rows)


def write_study(file: Path, text: str, *, overwrite: bool) -> None:
    """Write a study file whole, or not at all.

    Parameters
    ----------
    file
        Where to.
    text
        Its text.
    overwrite
        Whether a file of this name may be replaced.

    Raises
    ------
    StudyFileTakenError
        If the file is there and may not be replaced.
    StudyFileNotWrittenError
        If the system refuses.
    """
    if file.exists() and (file.is_dir() or not overwrite):
        raise StudyFileTakenError(file)
    part = file.with_name(f".{file.name}-{os.getpid()}.part")
    try:
        part.write_text(text, encoding="utf-8", newline="\n")
        part.replace(file)
    except OSError as error:
        part.unlink(missing_ok=True)
        reason = error.strerror or str(error)
        raise StudyFileNotWrittenError(file, reason) from error


def _head(study: Study, protocol: str) -> Iterator[str]:
    yield f"format = {FORMAT}"
    yield '# code = "HDC"      # begins every sample code; usually allotted'
    yield f"{_pair('product', study.product)}      # its name as sold"
    yield f"{_pair('version', study.version)}      # version of the formula"
    yield _pair("protocol", protocol)
    yield '# time_zone = "Europe/Dublin"      # usually that of the machine'
    if not study.contains_water:
        yield "contains_water = false"
    yield from ("", "[as_sold]      # true where it is what will be sold")
    yield _pair("formula", study.as_sold.formula)
    yield _pair("pack", study.as_sold.pack)
    yield f"{_pair('scale', study.as_sold.scale)}      # beside the scale of sale"
    yield from ("", "[request]")
    yield _pair("months", study.request.months)
    if study.request.after_opening is not None:
        yield _pair("after_opening", study.request.after_opening)
    yield '# storage = "below 25 °C"'
    if study.request.markets:
        yield _pair("markets", study.request.markets)
    else:
        yield '# markets = ["EU"]      # EU, UK, US, ASEAN: whose rules are printed'
    yield ""


def _packs(packs: Iterable[Pack]) -> Iterator[str]:
    for pack in packs:
        yield f"[packs.{_key(pack.name)}]"
        yield _pair("text", pack.text)
        if pack.inert:
            yield "inert = true"
        if pack.fill_g is not None:
            yield _pair("fill_g", pack.fill_g)
        if pack.tare_g is not None:
            yield _pair("tare_g", pack.tare_g)
        else:
            yield "# tare_g = 0.00      # weigh ten empty packs and state the mean"
        yield ""


def _batches(batches: Iterable[Batch]) -> Iterator[str]:
    for batch in batches:
        yield f"[batches.{_key(batch.name)}]"
        yield f"{_pair('made', batch.made)}      # mend it if the day moves"
        if batch.grams is not None:
            yield _pair("grams", batch.grams)
        yield f"# filled = {batch.made}      # durability counts from it"
        yield "# pH_at_make = 5.50      # of the water phase if the product has none"
        yield ""


def _row(row: SampleRow) -> Iterator[str]:
    yield "[[samples]]"
    one = len(row.batch) == 1
    yield _pair("batch", row.batch[0] if one else row.batch)
    if row.kind != "container":
        yield _pair("kind", row.kind)
    for key in ("pack", "condition", "use"):
        if getattr(row, key) is not None:
            yield _pair(key, getattr(row, key))
    if row.count != 1:
        yield _pair("count", row.count)
    if row.checks:
        yield _pair("checks", row.checks)
    for key in ("open_at", "keep_for", "grams"):
        if getattr(row, key) is not None:
            yield _pair(key, getattr(row, key))
    if row.untreated_twins:
        yield _pair("untreated_twins", row.untreated_twins)


def _omit(omit: Mapping[str, str]) -> Iterator[str]:
    if omit:
        yield "# Left out of this study, each with its reason."
        yield "[omit]"
    for name, reason in omit.items():
        yield f"{_key(name)} = {_quoted(reason)}"


def _place_on(study: Study) -> Iterator[str]:
    """Yield how a planned day of placing is stated, as a comment."""
    condition = next((row.condition for row in study.samples if row.condition), None)
    if condition is not None and study.batches:
        day = max(one.made for one in study.batches.values()) + timedelta(days=4)
        yield ""
        yield "# Planned days of placing, for all batches; the real ones replace them."
        yield "# [place_on]"
        yield f"# {_key(condition)} = {day}"


def _comment(sentences: Iterable[str]) -> Iterator[str]:
    """Yield sentences as comment lines that fit a page."""
    for sentence in sentences:
        line = "#"
        for word in sentence.split():
            if len(line) + len(word) >= _WIDTH:
                yield line
                line = "#  "
            line += f" {word}"
        yield line
    yield ""


def _pair(key: str, value: object) -> str:
    return f"{key} = {_value(value)}"


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _quoted(name)


def _value(value: object) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, int | date):
        return str(value)
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_value, value)) + "]"
    return _quoted(str(value))


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
