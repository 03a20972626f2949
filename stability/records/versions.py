"""Versions of a product: another formula is another version, with a study of its own.

Readings of one formula say nothing of another. A formula that changed under the same
version would let old readings and certificates pass for the new one.
"""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection

from stability.errors.studies import FormulaChangedError
from stability.model.differences import differences
from stability.model.study import Study
from stability.records import agenda, journal
from stability.records.opening import read_opening, subject_of


def remarks_on_version(connection: Connection, study: Study) -> tuple[str, ...]:
    """Return what is to be known of other studies of the same product.

    Parameters
    ----------
    connection
        To the workspace.
    study
        The study about to be opened.

    Raises
    ------
    FormulaChangedError
        If a study of the same product and version has another formula.
    """
    remarks = []
    known = set(agenda.study_codes(connection))
    for other in _of_product(connection, study):
        if other.version != study.version:
            if study.follows is None:
                remarks.append(
                    f"study {other.code} is of version {other.version} of this "
                    "product: say follows and changed in the study file, so that "
                    "'compare' and the report know what was changed"
                )
        elif study.formula and other.formula:
            changes = [str(one) for one in differences(other.formula, study.formula)]
            if changes:
                raise FormulaChangedError(
                    study.product, study.version, other.code, changes
                )
        else:
            remarks.append(
                f"study {other.code} is of the same version; whether the formula is "
                "the same cannot be told, because not both files state it; if it was "
                f"started twice by mistake: stability stop {other.code} --because "
                "'started twice'"
            )
    if study.follows is not None and study.follows not in known:
        remarks.append(f"study {study.follows}, which this one follows, is not here")
    return tuple(remarks)


def _of_product(connection: Connection, study: Study) -> Iterator[Study]:
    for row in agenda.study_rows(connection):
        if str(row["product"]).casefold() == study.product.casefold():
            opening = journal.entries(connection, subject_of(row["code"]))[0]
            yield read_opening(opening)[0]
