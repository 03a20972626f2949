"""Rules that a study file must keep against its protocol, but for its samples."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from stability.model.ageing import temperature_span
from stability.model.microbial_limits import LIMITS
from stability.model.moment import parse_moment
from stability.model.nearest import did_you_mean
from stability.model.protocol import Protocol
from stability.model.study import Batch, Pack, Study
from stability.records.faults import Faults
from stability.records.protocol_rules import check_known, check_names
from stability.records.record_reader import where

#: No shelf life is longer than 100 years.
MOST_MONTHS: Final = 1200
#: Between which a structural limit is plausible [°C].
POSSIBLE_LIMIT: Final = (Decimal(0), Decimal(150))
#: Within which the shares of a formula are to sum [%]: rounding, not an ingredient.
FORMULA_SUMS: Final = (Decimal("99.5"), Decimal("100.5"))


def check_study(study: Study, protocol: Protocol, faults: Faults) -> None:
    """Check everything but the samples."""
    _check_time(study, faults)
    _check_request(study, faults)
    _check_formula(study.formula, faults)
    _check_structure(study, protocol, faults)
    _check_category(study, faults)
    _check_follows(study, faults)
    for names, key in ((study.batches, "batches"), (study.packs, "packs")):
        here = (key,)
        faults.check(bool(names), here, f"the study has no {key}")
        check_names(names, here, "batch" if key == "batches" else "pack", (), faults)
    for batch in study.batches.values():
        _check_batch(batch, faults)
    for pack in study.packs.values():
        _check_pack(pack, faults)
    _check_places(study, protocol, faults)
    _check_omit(study, protocol, faults)


def _check_time(study: Study, faults: Faults) -> None:
    if study.time_zone is not None:
        known = _is_time_zone(study.time_zone)
        hint = "" if known else _zone_hint(study.time_zone)
        text = f"there is no time zone “{study.time_zone}”"
        faults.check(known, ("time_zone",), text, hint)
    if study.opened is not None:
        moment = parse_moment(study.opened, ZoneInfo("UTC"))
        text = f"“opened” is to be a day or a time, not “{study.opened}”"
        hint = 'write "2026-03-02T09:15"'
        faults.check(moment is not None, ("opened",), text, hint)


def _is_time_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _zone_hint(name: str) -> str:
    hint = did_you_mean(name, sorted(available_timezones()))
    usual = "write the name of a large city of your zone, such as “Europe/Dublin”"
    return hint if hint.startswith("did") else usual


def _check_request(study: Study, faults: Faults) -> None:
    months = study.request.months
    text = f"a shelf life of {months} months cannot be asked for"
    holds = 0 < months <= MOST_MONTHS
    hint = f"write whole months, 1 to {MOST_MONTHS}"
    faults.check(holds, ("request", "months"), text, hint)
    opened = study.request.after_opening
    holds = opened is None or opened.count > 0
    text = f"a period after opening of {opened} is none"
    faults.check(holds, ("request", "after_opening"), text)
    markets = study.request.markets
    twice = sorted({one for one in markets if markets.count(one) > 1})
    text = f"the markets name {', '.join(twice)} more than once"
    faults.check(not twice, ("request", "markets"), text)


def _check_formula(formula: Mapping[str, Decimal], faults: Faults) -> None:
    for name, share in formula.items():
        text = f"{share} % of {name} cannot be"
        faults.check(0 < share <= 100, ("formula", name), text, "write its share in %")
    total = sum(formula.values(), Decimal(0))
    low, high = FORMULA_SUMS
    faults.check(
        not formula or low <= total <= high,
        ("formula",),
        f"the formula sums to {total} %",
        f"bring it between {low} and {high} %, or leave [formula] out",
        ("formula",),
    )


def _check_structure(study: Study, protocol: Protocol, faults: Faults) -> None:
    """Check that the structure gives way somewhere above the storage."""
    limit = study.structural_limit
    if limit is None:
        return
    here = ("structural_limit", "temperature")
    low, high = POSSIBLE_LIMIT
    holds = low <= limit.temperature <= high
    text = f"no product's structure gives way at {limit.temperature} °C"
    hint = f"write a temperature in °C, {low} to {high}"
    faults.check(holds, here, text, hint)
    for condition in protocol.conditions.values():
        span = temperature_span(condition)
        if not holds or condition.role != "long-term" or span is None:
            continue
        text = (
            f"the structure would give way at {limit.temperature} °C, inside the "
            f"long-term storage {condition.name} ({condition.words()})"
        )
        hint = "write the temperature above which it melts, inverts or softens"
        faults.check(limit.temperature > span[0], here, text, hint)


def _check_category(study: Study, faults: Faults) -> None:
    category = study.microbial_category
    text = f"there is no category {category} for plate counts"
    hint = "write 1 for eye area, mucous membranes and children under 3, else 2"
    holds = category in {None, *LIMITS}
    faults.check(holds, ("microbial_category",), text, hint)


def _check_follows(study: Study, faults: Faults) -> None:
    faults.check(
        study.follows is None or bool((study.changed or "").strip()),
        ("follows",),
        "the study follows another and does not say what was changed",
        'add changed = "…"',
        ("changed",),
    )
    faults.check(
        study.changed is None or study.follows is not None,
        ("changed",),
        "something was changed, but against which study is not said",
        'add follows = "…" with the code of the earlier study',
        ("follows",),
    )


def _check_batch(batch: Batch, faults: Faults) -> None:
    path = ("batches", batch.name)
    filled = batch.filled
    text = f"batch {batch.name} was filled on {filled}, before it was made"
    holds = filled is None or filled >= batch.made
    faults.check(holds, (*path, "filled"), text, "", (*path, "made"))
    holds = batch.grams is None or batch.grams > 0
    faults.check(holds, (*path, "grams"), f"a batch of {batch.grams} g is none")
    pH = batch.pH_at_make  # noqa: N806 - pH is written so
    text = f"a pH of {pH} cannot be measured"
    holds = pH is None or 0 <= pH <= 14
    faults.check(holds, (*path, "pH_at_make"), text)


def _check_pack(pack: Pack, faults: Faults) -> None:
    for key in ("fill_g", "tare_g"):
        value = getattr(pack, key)
        text = f"{key} of pack {pack.name} is to be above 0, not {value}"
        holds = value is None or value > 0
        faults.check(holds, ("packs", pack.name, key), text)
    holds = pack.surfaces is None or pack.surfaces > 0
    text = f"a pack with {pack.surfaces} surfaces offers none to read on"
    hint = "count the places, each far enough from the next; or leave it out"
    faults.check(holds, ("packs", pack.name, "surfaces"), text, hint)


def _check_places(study: Study, protocol: Protocol, faults: Faults) -> None:
    for key in ("places", "place_on"):
        for name in getattr(study, key):
            known = protocol.conditions
            check_known(name, known, (key, name), "condition", faults)
    for name, place in study.places.items():
        faults.check(bool(place.strip()), ("places", name), f"{name} has no place")
    for name, day in study.place_on.items():
        for batch in study.batches.values():
            if not _stands_in(study, batch.name, name):
                continue
            text = f"{day} lies before batch {batch.name} was made ({batch.made})"
            made = ("batches", batch.name, "made")
            faults.check(day >= batch.made, ("place_on", name), text, "", made)


def _stands_in(study: Study, batch: str, condition: str) -> bool:
    return any(
        batch in row.batch and row.condition == condition for row in study.samples
    )


def _check_omit(study: Study, protocol: Protocol, faults: Faults) -> None:
    known = (*protocol.attributes, *protocol.conditions)
    for name, reason in study.omit.items():
        here = ("omit", name)
        check_known(name, known, here, "attribute or condition", faults)
        text = f"{name} is left out without a reason"
        faults.check(bool(reason.strip()), here, text, "say why in the quotes")
    for group, names in _groups(protocol).items():
        faults.check(
            any(name not in study.omit for name in names),
            ("omit", names[-1]),
            f"nothing is left of {group}: {', '.join(names)}",
            "keep one of them",
        )
    kept = [name for name in protocol.attributes if name not in study.omit]
    text = f"{where(('omit',))} leaves no attribute"
    faults.check(bool(kept), ("omit",), text)


def _groups(protocol: Protocol) -> dict[str, list[str]]:
    """Return group -> attributes of which a study keeps one at least."""
    groups: dict[str, list[str]] = {}
    for attribute in protocol.attributes.values():
        if attribute.one_of is not None:
            groups.setdefault(attribute.one_of, []).append(attribute.name)
    return groups
