"""Listings of protocols and of a study's samples."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from stability.cli.output import Listing, Row
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.model.attribute import Attribute
    from stability.model.condition import Condition
    from stability.model.protocol import Protocol
    from stability.model.study import Sample
    from stability.workflow.bench import Started
    from stability.workflow.studies import ProtocolLine

PROTOCOLS = (
    Column("name", "name"),
    Column("version", "version"),
    Column("title", "title"),
    Column("suits", "suits", below=True),
    Column("needs", "needs", below=True),
)
PROTOCOL = (
    Column("kind", "kind"),
    Column("name", "name"),
    Column("checks", "checks"),
    Column("limit", "limit"),
    Column("reason_kind", "rests on"),
    Column("what", "what", below=True),
    Column("uses_up", "uses up", below=True),
    Column("reason", "reason", below=True),
    Column("if_outside", "if outside", below=True),
    Column("source", ""),
)
SAMPLES = (
    Column("sample", "sample"),
    Column("batch", "batch"),
    Column("pack", "pack"),
    Column("condition", "condition"),
    Column("kind", "kind"),
    Column("use", "use"),
    Column("checks", "checks"),
)


def protocols_listing(lines: Iterable[ProtocolLine]) -> Listing:
    """Return the ready-made protocols as rows."""
    rows: list[Row] = [
        {
            "name": line.name,
            "version": line.version,
            "title": line.title,
            "suits": ", ".join(line.suits),
            "needs": ", ".join(line.needs),
        }
        for line in lines
    ]
    notes = ("With a name behind it, the command shows one of them whole.",)
    return Listing("protocols", PROTOCOLS, rows, "No protocol is installed.", {}, notes)


def protocol_listing(protocol: Protocol) -> Listing:
    """Return conditions, attributes and limits of one protocol as rows."""
    rows = [*_condition_rows(protocol), *_attribute_rows(protocol)]
    limits = [row for row in rows if row["limit"]]
    custom = [row for row in limits if row["reason_kind"] == "custom"]
    return Listing(
        "parts",
        PROTOCOL,
        rows,
        "It holds nothing.",
        facts={
            "protocol": protocol.name,
            "version": protocol.version,
            "title": protocol.title,
            "purpose": " ".join(protocol.purpose.split()),
            "suits": ", ".join(protocol.suits),
            "T0": (
                f"read {protocol.t0.read_after} to {protocol.t0.read_before} after "
                f"making; placed within {protocol.t0.place_within}"
            ),
            "needs": ", ".join(protocol.needs),
        },
        notes=(_custom_words(len(custom), len(limits)), *protocol.cautions),
    )


def _custom_words(custom: int, limits: int) -> str:
    return (
        f"{custom} of {limits} limits rest on custom; give a better reason where you "
        "have one."
    )


def _condition_rows(protocol: Protocol) -> list[Row]:
    return [
        {
            "kind": condition.role,
            "name": condition.name,
            "what": condition.words(),
            "checks": " ".join(condition.all_checks),
            "limit": None,
            "reason": _reasons(condition),
            "reason_kind": condition.reason_kind,
            "source": condition.source,
            "if_outside": _if_outside(condition.if_outside_limit),
        }
        for condition in protocol.conditions.values()
    ]


def _reasons(condition: Condition) -> str:
    """Return why this condition and why these checks."""
    parts = (condition.reason, condition.checks_reason)
    return "; ".join(part for part in parts if part)


def _if_outside(meaning: str) -> str:
    return f"if outside: {meaning}" if meaning else ""


def _uses_up(attribute: Attribute) -> str:
    """Return what one observation takes, and what must still be there."""
    parts = []
    if attribute.takes_g is not None:
        parts.append(f"takes {attribute.takes_g} g")
    if attribute.needs_g is not None:
        parts.append(f"needs {attribute.needs_g} g, which go back")
    if attribute.takes_surfaces:
        surfaces = "surface" if attribute.takes_surfaces == 1 else "surfaces"
        parts.append(f"takes {attribute.takes_surfaces} {surfaces}")
    if attribute.minutes is not None:
        parts.append(f"{attribute.minutes} min")
    return ", ".join(parts)


def _attribute_rows(protocol: Protocol) -> list[Row]:
    rows: list[Row] = []
    for attribute in protocol.attributes.values():
        rows.append(_limit_row(attribute, None))
        rows += [_limit_row(attribute, condition) for condition in attribute.limit_at]
    return rows


def _limit_row(attribute: Attribute, condition: str | None) -> Row:
    limit = attribute.limit_in(condition)
    judged = not limit.recorded_only
    return {
        "kind": attribute.kind if condition is None else "",
        "name": attribute.name if condition is None else f"  in {condition}",
        "what": attribute.method if condition is None else "",
        "uses_up": _uses_up(attribute) if condition is None else "",
        "checks": " ".join(attribute.when) if condition is None else "",
        "limit": limit.words(attribute.unit),
        "reason": limit.reason,
        "reason_kind": limit.reason_kind if judged else "",
        "source": limit.source,
    }


def samples_listing(started: Started) -> Listing:
    """Return the samples of a study that was just opened, with their codes."""
    return Listing(
        "samples",
        SAMPLES,
        [sample_row(sample) for sample in started.samples],
        "The study has no sample.",
        facts={
            "study": started.study,
            "product": started.product,
            "protocol": started.protocol,
            "plan_fingerprint": started.fingerprint,
        },
        notes=_skipped(started.samples),
    )


def _skipped(samples: Sequence[Sample]) -> tuple[str, ...]:
    """Say that no sample is missing where numbers are."""
    numbers = [int(one.code.split("-")[1]) for one in samples]
    if not numbers or max(numbers) == len(numbers):
        return ()
    said = "numbers are left out whose check character could be misread"
    return (f"No sample is missing: {said}.",)


def sample_row(sample: Sample) -> Row:
    """Return one sample as a row."""
    return {
        "sample": sample.code,
        "batch": sample.batch,
        "pack": sample.pack,
        "condition": sample.condition,
        "kind": sample.kind,
        "use": sample.use,
        "checks": " ".join(sample.checks),
    }
