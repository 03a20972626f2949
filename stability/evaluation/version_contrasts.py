"""Two studies beside each other: version against version, the batch being the unit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from stability.evaluation.contrast_findings import (
    Beside,
    Contrasts,
    DriftContrast,
    Side,
    WordContrast,
)
from stability.evaluation.contrast_pairs import S, StudySeries
from stability.evaluation.contrast_words import worded
from stability.evaluation.contrasts import (
    counted,
    difference_unit,
    general_cautions,
    line_cautions,
    never_fitted,
    other_settings,
)
from stability.evaluation.explaining import explained_by
from stability.evaluation.series import MeasuredSeries, SeriesKey, WordSeries
from stability.evaluation.word_contrasts import moved, words_say
from stability.model.attribute import Attribute
from stability.model.contrast import Contrast
from stability.model.estimate import Caution, Drift, NoFit
from stability.statistics.comparison import between_versions

#: (attribute, condition, pack), what both studies may share.
Place = tuple[str, str, str]


def version_contrasts(first: StudySeries, second: StudySeries) -> Contrasts:
    """Hold two studies beside each other: attribute, condition and pack they share.

    Parameters
    ----------
    first, second
        The series of the two studies.
    """
    ours, theirs = _by_place(first.measured), _by_place(second.measured)
    drifts: list[DriftContrast] = []
    left_out: dict[tuple[str, str], None] = dict.fromkeys(_only_in_one(first, second))
    for place in [place for place in ours if place in theirs]:
        sides = _sides(first, second, place, ours[place], theirs[place])
        never = never_fitted(sides, (*ours[place], *theirs[place]))
        if never is not None:
            left_out[never] = None
        else:
            drifts += _of_place(first, second, sides, ours[place], theirs[place])
    words = _words(first, second)
    confidence = _confidence(first, second)
    return Contrasts(
        tuple(drifts),
        words,
        counted(drifts, confidence),
        tuple(left_out),
        (*_of_studies(first, second), *general_cautions(drifts, words)),
    )


def _confidence(first: StudySeries, second: StudySeries) -> float:
    """Return the stricter of the two levels declared."""
    return max(first.protocol.analysis.confidence, second.protocol.analysis.confidence)


def _by_place(series: Iterable[S]) -> dict[Place, list[S]]:
    found: dict[Place, list[S]] = {}
    for one in series:
        if not one.key.twin_of:
            found.setdefault(_place(one.key), []).append(one)
    return found


def _place(key: SeriesKey) -> Place:
    return key.attribute, key.condition, key.pack


def _sides(
    first: StudySeries,
    second: StudySeries,
    place: Place,
    ours: Sequence[MeasuredSeries | WordSeries],
    theirs: Sequence[MeasuredSeries | WordSeries],
) -> Beside:
    attribute, condition, pack = place
    one, other = (
        Side(
            name=f"{series.study.code} {series.study.version}",
            study=series.study.code,
            condition=condition,
            pack=pack,
            batches=tuple(dict.fromkeys(each.key.batch for each in keys)),
        )
        for series, keys in ((first, ours), (second, theirs))
    )
    return Beside("versions", "", attribute, one, other)


# Drifts


def _of_place(
    first: StudySeries,
    second: StudySeries,
    sides: Beside,
    ours: Sequence[MeasuredSeries],
    theirs: Sequence[MeasuredSeries],
) -> Iterator[DriftContrast]:
    settings = [
        found
        for found in dict.fromkeys(one.key.settings for one in ours)
        if any(other.key.settings == found for other in theirs)
    ]
    refused = _incomparable(first, second, sides)
    if refused is None and not settings:
        refused = other_settings(sides, ours, theirs)
    if refused is not None:
        one = ours[0]
        unit = difference_unit(one)
        yield worded(DriftContrast(sides, (), one.scale, unit, (), refused, (), ()))
        return
    for found in settings:
        yield _contrast(
            first,
            second,
            sides,
            [one for one in ours if one.key.settings == found],
            [one for one in theirs if one.key.settings == found],
        )


def _incomparable(
    first: StudySeries, second: StudySeries, sides: Beside
) -> NoFit | None:
    """Return why an attribute or condition is another in the second study."""
    name, place = sides.attribute, sides.first.condition
    one, other = first.protocol.attributes[name], second.protocol.attributes[name]
    if one.unit != other.unit:
        return _otherwise(sides, "other-unit", one.unit, other.unit, "measured in")
    if one.fit_scale != other.fit_scale:
        return _otherwise(
            sides, "other-scale", one.fit_scale, other.fit_scale, "fitted on the scale"
        )
    here, there = (
        series.protocol.conditions[place].words() for series in (first, second)
    )
    if here != there:
        return _otherwise(sides, "other-condition", here, there, f"in {place} kept at")
    return None


def _otherwise(sides: Beside, code: str, here: str, there: str, how: str) -> NoFit:
    return NoFit(
        code,
        f"Not compared: {how} {here or 'nothing stated'} in {sides.first.name}, "
        f"{there or 'nothing stated'} in {sides.second.name}.",
    )


def _contrast(
    first: StudySeries,
    second: StudySeries,
    sides: Beside,
    ours: Sequence[MeasuredSeries],
    theirs: Sequence[MeasuredSeries],
) -> DriftContrast:
    chosen, others = _one_each(ours), _one_each(theirs)
    sides = replace(
        sides,
        first=_standing(sides.first, chosen),
        second=_standing(sides.second, others),
    )
    lines, other_lines = _lines(chosen), _lines(others)
    result = _result(sides, lines, other_lines, _confidence(first, second))
    contrast = DriftContrast(
        sides=sides,
        settings=ours[0].key.settings,
        scale=ours[0].scale,
        unit=difference_unit(ours[0]),
        checks=(),
        result=result,
        explains=explained_by(first, second, sides),
        cautions=tuple(_cautions(sides, (ours, chosen), (theirs, others), result)),
    )
    return worded(contrast)


def _one_each(series: Sequence[MeasuredSeries]) -> list[MeasuredSeries]:
    """Return one series for each batch: that read at most checks, then the first."""
    found: dict[str, MeasuredSeries] = {}
    for one in series:
        known = found.get(one.key.batch)
        if known is None or len(one.points) > len(known.points):
            found[one.key.batch] = one
    return list(found.values())


def _standing(side: Side, chosen: Sequence[MeasuredSeries]) -> Side:
    """Return a side with the batches that have a line, or with all if none has."""
    fitted = _fitted(chosen) or chosen
    return replace(
        side,
        batches=tuple(one.key.batch for one in fitted),
        samples=tuple(one.key.sample for one in fitted if one.key.sample),
    )


def _lines(chosen: Sequence[MeasuredSeries]) -> list[Drift]:
    return [one.drift for one in chosen if isinstance(one.drift, Drift)]


def _result(
    sides: Beside,
    lines: Sequence[Drift],
    others: Sequence[Drift],
    confidence: float,
) -> Contrast | NoFit:
    for side, found in ((sides.first, lines), (sides.second, others)):
        if not found:
            return NoFit("no-line", f"No batch of {side.name} has a line.")
    return between_versions(lines, others, confidence=confidence)


def _cautions(
    sides: Beside,
    first: tuple[Sequence[MeasuredSeries], Sequence[MeasuredSeries]],
    second: tuple[Sequence[MeasuredSeries], Sequence[MeasuredSeries]],
    result: Contrast | NoFit,
) -> Iterator[Caution]:
    for side, (series, chosen) in ((sides.first, first), (sides.second, second)):
        for one in chosen:
            batch = f"{side.name}, batch {one.key.batch}"
            if isinstance(one.drift, NoFit):
                yield Caution("no-line", f"{batch} takes no part: {one.drift.text}")
            elif sum(each.key.batch == one.key.batch for each in series) > 1:
                stands = one.key.sample or "the fresh containers"
                yield Caution(
                    "one-for-the-batch",
                    f"{batch}: {stands}, read at most checks, stand for the batch.",
                )
    if isinstance(result, Contrast):
        yield from line_cautions(sides, *(_fitted(one) for _, one in (first, second)))


def _fitted(chosen: Sequence[MeasuredSeries]) -> list[MeasuredSeries]:
    return [one for one in chosen if isinstance(one.drift, Drift)]


# Words


def _words(first: StudySeries, second: StudySeries) -> tuple[WordContrast, ...]:
    ours, theirs = _by_place(first.worded), _by_place(second.worded)
    return tuple(
        _word_contrast(
            _sides(first, second, place, ours[place], theirs[place]),
            first.protocol.attributes[place[0]],
            second.protocol.attributes[place[0]],
            ours[place],
            theirs[place],
        )
        for place in ours
        if place in theirs
    )


def _word_contrast(
    sides: Beside,
    attribute: Attribute,
    other: Attribute,
    ours: Sequence[WordSeries],
    theirs: Sequence[WordSeries],
) -> WordContrast:
    said = moved(*ours, *theirs), "other words are on the scale: not compared"
    if attribute.scale == other.scale:
        said = words_say(sides, attribute, ours, theirs)
    return WordContrast(sides, _batch_words(ours), _batch_words(theirs), *said)


def _batch_words(series: Sequence[WordSeries]) -> str:
    """Return what is said of each batch; batches of which the same is said together."""
    alike: dict[str, list[str]] = {}
    for one in series:
        alike.setdefault(one.text, []).append(one.key.batch)
    return "; ".join(f"{', '.join(names)}: {text}" for text, names in alike.items())


# The two studies


def _only_in_one(first: StudySeries, second: StudySeries) -> Iterator[tuple[str, str]]:
    """Yield the attributes, conditions and packs that were read in one study only."""
    ours, theirs = _read(first), _read(second)
    for mine, other, study in (
        (ours, theirs, first.study.code),
        (theirs, ours, second.study.code),
    ):
        for what, names in mine.items():
            for name in names:
                if name not in other[what]:
                    yield name, f"The {what} was read in {study} only."
    for name in ours["attribute"]:
        kinds = [
            series.protocol.attributes[name].kind
            for series in (first, second)
            if name in theirs["attribute"]
        ]
        if len(set(kinds)) > 1:
            codes = f"in {first.study.code}, {kinds[1]} in {second.study.code}"
            yield name, f"The attribute is {kinds[0]} {codes}."


def _read(series: StudySeries) -> Mapping[str, dict[str, None]]:
    keys = [one.key for one in series.measured] + [one.key for one in series.worded]
    return {
        "attribute": dict.fromkeys(key.attribute for key in keys),
        "condition": dict.fromkeys(key.condition for key in keys),
        "pack": dict.fromkeys(key.pack for key in keys if key.pack),
    }


def _of_studies(first: StudySeries, second: StudySeries) -> Iterator[Caution]:
    """Yield what must be known of two studies that stand beside each other."""
    one, other = first.study, second.study
    if one.product != other.product:
        yield Caution(
            "other-product",
            f"Two products stand beside each other: {one.product} ({one.code}) and "
            f"{other.product} ({other.code}).",
        )
    elif one.version == other.version:
        yield Caution(
            "same-version",
            f"Both studies are of version {one.version}: what differs are batches, "
            "places and days.",
        )
    for name, pack in one.packs.items():
        there = other.packs.get(name)
        if there is not None and there.text != pack.text:
            yield Caution(
                "other-pack",
                f"{name} is “{pack.text}” in {one.code} and “{there.text}” in "
                f"{other.code}: the difference holds that of the pack too.",
            )
    for name, attribute in first.protocol.attributes.items():
        known = second.protocol.attributes.get(name)
        if known is not None and known.method != attribute.method:
            yield Caution(
                "other-method",
                f"{name} was read by other methods: “{attribute.method}” in "
                f"{one.code}, “{known.method}” in {other.code}.",
            )
