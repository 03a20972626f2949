"""Where the report answers to headings of the safety report, and what labels say."""

from __future__ import annotations

from typing import Any, Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.model.durability import DurabilityRule, durability_rules
from stability.report.chapters_life import SHELF_LIFE
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.front_page import CONCLUSION, FINDINGS, OUTSIDE, PROTOCOL
from stability.report.microbiology import CERTIFICATES
from stability.report.page_leads import PageLead
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import Cell, Column, Share, TableRow, record_table

_LAW: Final = (
    "Headings of the guidelines in Commission Implementing Decision 2013/674/EU and of "
    "Annex I, Part A, to Regulation (EC) No 1223/2009. A stability study answers to "
    "these only in part; all other headings, and Part B, are those of the safety "
    "report and of its assessor."
)
_STABILITY: Final = "2 Physical/chemical characteristics and stability"


def where_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return where the report answers to which heading of the safety report."""
    rows: list[TableRow] = [
        [
            "3.2.2 Characteristics of the finished product",
            _STABILITY,
            _leads(styles, ("Findings", FINDINGS), ("Readings", "readings")),
        ],
        [
            "3.2.3 Stability of the cosmetic product",
            _STABILITY,
            _leads(
                styles,
                ("Outside limits", OUTSIDE),
                ("Conclusion, drafted", CONCLUSION),
                ("Shelf life", SHELF_LIFE),
                ("Protocol", PROTOCOL),
            ),
        ],
        [
            "3.3.2 Microbiological quality of the finished product",
            "3 Microbiological quality",
            _microbes(evaluation, styles),
        ],
        [
            "3.4.3 Relevant characteristics of packaging material",
            "4 Impurities, traces, packaging material",
            _leads(styles, ("Samples with their packs", "samples")),
        ],
    ]
    columns = (
        Column("Guidelines 2013/674/EU", Share(1.1), strong=True),
        Column("Annex I, Part A", Share(1.1)),
        Column("Where it stands here", Share(1)),
    )
    return [
        *heading("Where to find it", 2, styles, anchor="where", keep_mm=62),
        record_table(columns, rows, styles),
        paragraph(_LAW, styles.small, styles),
    ]


def _leads(styles: ReportStyles, *places: tuple[str, str]) -> list[Flowable]:
    return [PageLead("", words, anchor, styles) for words, anchor in places]


def _microbes(evaluation: Evaluation, styles: ReportStyles) -> Cell:
    found = evaluation.certificates
    if found.findings or found.asked:
        return _leads(styles, ("Certificates", CERTIFICATES))
    return "Microbiology, page 1"


def label_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return what a label needs in each market named; nothing where none is."""
    rows: list[TableRow] = [
        [one.market, one.text, one.rule] for one in label_rules(evaluation)
    ]
    if not rows:
        return []
    columns = (
        Fitted("Market", strong=True),
        shared("What follows", 1.7),
        shared("Rule"),
    )
    return [
        *heading("Durability on the label, by market", 2, styles, keep_mm=40),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
    ]


def label_rules(evaluation: Evaluation) -> tuple[DurabilityRule, ...]:
    """Return what the law of each market named asks for."""
    life = evaluation.shelf_life
    supported = None if life is None else life.supported.months
    return durability_rules(evaluation.identity.study.request, supported)


def label_lines(evaluation: Evaluation) -> list[str]:
    """Return the same in lines of text."""
    return [f"{one.market}: {one.text} ({one.rule})" for one in label_rules(evaluation)]


def labels_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return the same as plain mappings."""
    return [
        {
            "market": one.market,
            "rule": one.rule,
            "date_mandatory": one.date_mandatory,
            "text": one.text,
        }
        for one in label_rules(evaluation)
    ]
