"""The chapter of shelf life: months shown, estimated and supported, with the basis."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import (
    AttributeLife,
    LifeFindings,
    PackSupport,
)
from stability.model.estimate import NoFit
from stability.model.forecast_words import FARTHEST_MONTHS
from stability.model.names import in_words
from stability.model.shelf_life import Bearing, ProvisionalRule
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.life_figures import life_figures
from stability.report.series_in_print import estimates_in_print, lives_in_print
from stability.report.series_left import batches_left_text, estimates_left_text
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import Group, TableRow, key_values, record_table
from stability.report.wording import (
    by_pack,
    count,
    months,
    plain_sentence,
    sentence_case,
    whole_months,
)

#: Anchor of the chapter.
SHELF_LIFE: Final = "shelf-life"
# Below this a share is no news [-].
_LEAST_SHARE: Final = 0.0001
# A longer text that is said of several attributes is said once [characters].
_LONG_TEXT: Final = 120


def life_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return shelf life with its derivation; nothing here is a verdict."""
    story = heading("Shelf life", 1, styles, anchor=SHELF_LIFE, keep_mm=60)
    life = evaluation.shelf_life
    if life is None:
        words = (
            "Nothing that bears the request is planned in real time: no shelf life is "
            "derived."
        )
        return [*story, paragraph(words, styles.body, styles)]
    return [
        *story,
        paragraph(plain_sentence(life.request.text), styles.finding, styles),
        paragraph(" ".join(one.text for one in life.cautions), styles.body, styles),
        key_values(_rows(life), styles),
        *_packs(life, styles),
        *life_figures(evaluation, life, styles),
        *_bearings(life, styles),
        *_estimates(life, styles),
    ]


def _rows(life: LifeFindings) -> list[tuple[str, str | Flowable | list[Flowable]]]:
    left_out = "; ".join(f"{in_words(name)}: {why}" for name, why in life.left_out)
    storage = life.storage or "nothing tells it"
    return [
        ("Asked", months(life.asked)),
        ("This evaluation", life.look.text),
        ("Storage meant", storage),
        ("Rule of thumb declared", provisional_text(life.provisional)),
        ("Does not take part", left_out or "every attribute takes part"),
        ("Basis", plain_sentence(life.supported.text)),
    ]


def provisional_text(rule: ProvisionalRule | None) -> str:
    """Return a declared rule of thumb and where it stands, in words."""
    if rule is None:
        return "none"
    when = "before T0" if rule.declared_before_t0 else "NOT before T0"
    held = "everything held there" if rule.held else "not everything held there"
    real = (
        "real time so far is inside its limits"
        if rule.real_time_holds
        else "real time does not hold"
    )
    broken = f"; broken by {rule.broken_by}" if rule.broken_by else ""
    confirming = ", ".join(rule.confirming) or "nothing"
    return (
        f"{rule.condition} taken as {months(rule.months)}, declared {when}: {held}; "
        f"{real}{broken}; to be confirmed at {confirming}. {rule.source}"
    )


def _packs(life: LifeFindings, styles: ReportStyles) -> list[Flowable]:
    rows: list[TableRow] = [_pack_row(one) for one in life.packs]
    columns = (
        Fitted("Pack", strong=True),
        Fitted("At"),
        Fitted("Shown [months]", align="right"),
        Fitted("Estimated [months]", align="right"),
        Fitted("Supported [months]", align="right"),
        shared("Accelerated", 1),
        shared("What that says of the request", 1.4),
    )
    return [
        *heading("Pack by pack", 2, styles, keep_mm=40),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
    ]


def _pack_row(one: PackSupport) -> list[str]:
    return [
        one.pack or "bulk",
        one.condition,
        str(one.supported.shown),
        whole_months(one.supported.estimated),
        str(one.supported.months),
        one.accelerated.text,
        plain_sentence(one.request.text),
    ]


def _bearings(life: LifeFindings, styles: ReportStyles) -> list[Flowable]:
    """Return what each attribute of each batch brings; the smallest governs."""
    places: dict[str, list[AttributeLife]] = {}
    for one in lives_in_print(life):
        places.setdefault(f"{one.pack or 'bulk'} at {one.condition}", []).append(one)
    rows: list[TableRow] = []
    for place, here in places.items():
        usual = _usual_cap(here)
        title = f"{place}; cap, unless said: {usual}" if usual else place
        rows += [Group(title), *_bearing_rows(here, usual)]
    if not rows:
        return []
    columns = (
        Fitted("Attribute", 27),
        Fitted("Batch", 25),
        Fitted("Shown", align="right"),
        Fitted("Estimate", align="right"),
        Fitted("Cap", align="right"),
        Fitted("At most", align="right"),
        shared("How it came about"),
    )
    return [
        *heading("Attribute by attribute, batch by batch", 2, styles, keep_mm=45),
        paragraph(
            "Months. The least of estimate, cap and last pass before a failure is what "
            "a batch supports at most; the smallest of all governs its pack."
            + batches_left_text(life),
            styles.small,
            styles,
        ),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
    ]


def _usual_cap(lives: Sequence[AttributeLife]) -> str:
    """Return the cap that most estimates have; "" where no two have the same."""
    caps = Counter(
        _cap_text(one)
        for life in lives
        for one in life.bearings
        if one.estimate is not None
    )
    return next((text for text, number in caps.most_common(1) if number > 1), "")


def _bearing_rows(lives: Sequence[AttributeLife], usual: str) -> list[TableRow]:
    """Return one row for all attributes and batches of which the same is said."""
    attributes: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for life in lives:
        for one in life.bearings:
            key = (one.batch, _bearing_cells(one, usual))
            attributes.setdefault(key, []).append(in_words(life.attribute))
    batches: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for (batch, said), names in attributes.items():
        batches.setdefault((", ".join(names), said), []).append(batch)
    return [[names, ", ".join(here), *said] for (names, said), here in batches.items()]


def _bearing_cells(one: Bearing, usual: str) -> tuple[str, ...]:
    cap = _cap_text(one)
    ends = "" if one.ends_at is None else f"; ends at {one.ends_at} months"
    return (
        str(one.shown.months),
        _estimate_text(one.estimate),
        f"{one.cap.months:g}",
        f"{one.limit:.1f}",
        f"{plain_sentence(one.basis)}{ends}{'' if cap == usual else f'; cap: {cap}'}",
    )


def _cap_text(one: Bearing) -> str:
    return plain_sentence(one.cap.text).rstrip(".")


def _estimate_text(months: float | None) -> str:
    if months is None or months > FARTHEST_MONTHS:
        return whole_months(months)
    return f"{months:.1f}"


def _estimates(life: LifeFindings, styles: ReportStyles) -> list[Flowable]:
    """Return both estimates of each fitted attribute, and its cautions."""
    found = {
        f"{in_words(one.attribute)}, {one.pack or 'bulk'} at {one.condition}": texts
        for one in estimates_in_print(life)
        if (texts := estimate_texts(one, life.asked))
    }
    if not found:
        return []
    several = said_of_several(found)
    rows: list[TableRow] = [
        [place, " ".join(one for one in texts if one not in several)]
        for place, texts in found.items()
    ]
    columns = (Fitted("Attribute, pack", 42), shared("Estimates and cautions"))
    return [
        *heading("Estimates", 2, styles),
        *_estimates_left(life, styles),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
        *(
            paragraph(f"{'; '.join(places)}: {text}", styles.small, styles)
            for text, places in several.items()
        ),
    ]


def said_of_several(found: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    """Return long texts that are said of more than one place, with the places.

    Parameters
    ----------
    found
        Place -> what is said of it.
    """
    places: dict[str, list[str]] = {}
    for place, texts in found.items():
        for text in texts:
            places.setdefault(text, []).append(place)
    return {
        text: here
        for text, here in places.items()
        if len(here) > 1 and len(text) > _LONG_TEXT
    }


def _estimates_left(life: LifeFindings, styles: ReportStyles) -> list[Flowable]:
    words = estimates_left_text(life)
    return [paragraph(words, styles.small, styles)] if words else []


def estimate_texts(one: AttributeLife, asked: int) -> list[str]:
    """Return the estimates of one attribute in sentences, cautions behind them."""
    texts: list[str] = []
    life = one.life
    if isinstance(life, NoFit):
        texts.append(life.text)
    elif life is not None:
        texts.append(plain_sentence(life.batch_by_batch.text))
        if life.pooled is not None:
            texts.append(plain_sentence(life.pooled.text))
        if life.pooling is not None:
            # Its own sentence, then what holds for every pooling.
            own, _, always = plain_sentence(life.pooling.text).partition(". ")
            texts += [f"{sentence_case(own)}.", always] if always else [own]
        texts.append(f"{life.carries.capitalize()} carries the request.")
    if one.weight_loss is not None:
        texts.append(plain_sentence(one.weight_loss.text))
    texts += [plain_sentence(each.text) for each in one.cautions]
    share = _share_text(one, asked)
    return [*dict.fromkeys(texts), *([share] if share else [])]


def _share_text(one: AttributeLife, asked: int) -> str:
    """Return the highest share of single containers expected outside; "" for none."""
    shares = [each for each in one.share_outside if each.share is not None]
    worst = max(shares, key=lambda each: each.share or 0.0, default=None)
    if worst is None or worst.share is None:
        return ""
    where = f"outside at {count(asked, 'month')}"
    if worst.share < _LEAST_SHARE:
        return f"Expected share of single containers {where}: below 0.01 %."
    return (
        f"Expected share of single containers {where}: {_percent(worst.share)} "
        f"(batch {worst.batch}, {worst.bound.side} limit)."
    )


def _percent(share: float) -> str:
    """Return a share with two digits, never as a power of ten, and no false 100 %."""
    percent = 100 * share
    if percent > 99:
        return "above 99 %"
    return f"{percent:.0f} %" if percent >= 10 else f"{percent:.2g} %"


def supported_lines(life: LifeFindings) -> list[str]:
    """Return what lies beyond the months shown, for the first page."""
    lines = [plain_sentence(life.request.text)]
    if len({one.request.text for one in life.packs}) > 1:
        lines += by_pack(
            (one.condition, one.pack, plain_sentence(one.request.text))
            for one in life.packs
        )
    supported = life.supported
    if supported.months <= supported.shown:
        lines.append("Nothing is offered beyond what real time shows.")
    lines.append(plain_sentence(life.supported.text))
    return lines


def estimate_line(life: LifeFindings) -> str:
    """Return months shown, estimated and supported in one line.

    An estimate above the cap stays in the chapter: on the first page it would read as
    a promise.
    """
    supported = life.supported
    shown = f"Shown {months(supported.shown)}"
    kept = f"supported {months(supported.months)}"
    if supported.estimated is None or supported.estimate_above_cap:
        return f"{shown}; {kept}."
    estimated = whole_months(supported.estimated)
    return f"{shown}; shortest estimate {estimated} months; {kept}."
