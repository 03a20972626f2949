"""Digests of the rows worked out of one study, in whatever order they come."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from stability.records.tables import awaited


def digest_of_rows(rows: Mapping[str, Sequence[tuple[Any, ...]]]) -> str:
    """Return the SHA-256 of the rows of one study.

    Parameters
    ----------
    rows
        Table -> its rows.
    """
    whole = {table: sorted(map(json.dumps, set(rows[table]))) for table in rows}
    text = json.dumps(whole, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def digest_of_awaited(position: int, rows: Iterable[tuple[Any, ...]]) -> str:
    """Return the SHA-256 of missing answers and of the entry up to which they hold.

    Parameters
    ----------
    position
        Of the last entry that was looked at.
    rows
        Of the table `awaited`.
    """
    return digest_of_rows({awaited.name: [(position,), *rows]})
