"""A study made of what was typed with `plan`, held to the rules of a study file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, Final
from zoneinfo import ZoneInfo

from stability.errors.codes import NumberFormError
from stability.errors.files import FaultyFileError
from stability.errors.planning import PlanOptionsError
from stability.model.moment import parse_moment
from stability.model.number import parse_number
from stability.model.plan_options import PlanOptions, PlanWishes
from stability.model.protocol import Protocol
from stability.model.study import Study
from stability.records.faults import FORMAT, Faults
from stability.records.record_reader import read_record
from stability.records.study_file import LAYOUT
from stability.records.study_rules import check_study

#: Product name and version of a plan whose maker names none.
NEW_PRODUCT, NEW_VERSION = "New product", "0.1"
_INERT: Final = ":inert"


def study_of_options(options: PlanOptions, protocol: Protocol, today: date) -> Study:
    """Return a study without samples, made of what was typed.

    Parameters
    ----------
    options
        As typed.
    protocol
        The protocol that is planned by.
    today
        The day on which batches are taken to be made that state none.

    Raises
    ------
    PlanOptionsError
        If anything typed cannot be; all of it at once.
    """
    wrong: list[str] = []
    table = _table(options, protocol, today, wrong)
    _raise(wrong)
    faults = Faults("", "plan")
    study = read_record(Study, table, (), faults, LAYOUT)
    check_study(study, protocol, faults)
    try:
        faults.raise_all()
    except FaultyFileError as error:
        wrong += [
            f"{fault.text}; {fault.hint}" if fault.hint else fault.text
            for fault in error.faults
        ]
    _raise(wrong)
    return study


def usable_share(wishes: PlanWishes, usual: Decimal) -> Decimal:
    """Return the share of a batch that can be filled into samples [-].

    Parameters
    ----------
    wishes
        As typed, in percent.
    usual
        The share where nothing was typed [-].

    Raises
    ------
    PlanOptionsError
        If it is no percentage above 0.
    """
    if wishes.usable is None:
        return usual
    wrong: list[str] = []
    share = _number("--usable", wishes.usable.removesuffix("%").strip(), wrong)
    if not wrong and not 0 < share <= 100:
        wrong.append(f"--usable {wishes.usable}: write a share above 0 and up to 100 %")
    _raise(wrong)
    return share / 100


def sent_out_grams(wishes: PlanWishes) -> Decimal | None:
    """Return the mass that is sent out [g]; None where nothing was typed.

    Parameters
    ----------
    wishes
        As typed.

    Raises
    ------
    PlanOptionsError
        If it is no mass.
    """
    if wishes.sent_out is None:
        return None
    wrong: list[str] = []
    grams = _number("--sent-out", wishes.sent_out, wrong)
    if grams < 0:
        wrong.append(f"--sent-out {wishes.sent_out}: write grams, or 0 for none")
    _raise(wrong)
    return grams


def _raise(wrong: Sequence[str]) -> None:
    if wrong:
        raise PlanOptionsError(wrong)


def _table(
    options: PlanOptions, protocol: Protocol, today: date, wrong: list[str]
) -> dict[str, Any]:
    """Return what a study file of this content would hold."""
    batches = _pairs("--batch", options.batches, _number, wrong)
    packs = _pairs("--pack", options.packs, _pack, wrong)
    tares = _pairs("--tare", options.tares, _number, wrong)
    made = _pairs("--made", options.made, _day, wrong)
    _known("--tare", tares, packs, "--pack", wrong)
    _known("--made", made, batches, "--batch", wrong)
    if not batches:
        wrong.append("no batch is named: add --batch A=400, its grams")
    if not packs:
        wrong.append("no pack is named: add --pack JAR=50, its fill in grams")
    if options.months is None:
        wrong.append("no shelf life is asked for: add --months 12")
    masses = sorted(f"{name} {grams} g" for name, grams in batches.items())
    after = {"after_opening": options.after_opening} if options.after_opening else {}
    return {
        "format": FORMAT,
        "product": options.product or NEW_PRODUCT,
        "version": NEW_VERSION,
        "protocol": protocol.name,
        "contains_water": not options.without_water,
        "as_sold": {
            "formula": False,
            "pack": False,
            "scale": f"batches of {', '.join(masses)}",
        },
        "request": {"months": options.months, **after},
        "packs": {
            name: pack | ({"tare_g": tares[name]} if name in tares else {})
            for name, pack in packs.items()
        },
        "batches": {
            name: {"made": made.get(name, today), "grams": grams}
            for name, grams in batches.items()
        },
        "omit": _pairs("--omit", options.omit, _reason, wrong),
        "samples": [],
    }


def _pairs(
    option: str,
    typed: Sequence[str],
    read: Callable[[str, str, list[str]], Any],
    wrong: list[str],
) -> dict[str, Any]:
    """Return name -> value of options written as NAME=VALUE."""
    found: dict[str, Any] = {}
    for text in typed:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not (name and sign and value):
            wrong.append(f"{option} {text}: write {_HOW[option]}")
        elif name in found:
            wrong.append(f"{option} {text}: {name} stands twice; leave one out")
        else:
            found[name] = read(f"{option} {name}", value, wrong)
    return found


#: Option -> how it is written.
_HOW: Final = {
    "--batch": "a name and its grams, such as A=400",
    "--pack": "a name and its fill in grams, such as JAR=50 or GLASS=15:inert",
    "--tare": "a pack and the mean mass of ten empty ones, such as JAR=32.10",
    "--made": "a batch and its day, such as A=2026-03-02",
    "--omit": "what is left out and why, such as 'viscosity=no viscometer'",
}


def _known(
    option: str,
    named: dict[str, Any],
    known: dict[str, Any],
    of: str,
    wrong: list[str],
) -> None:
    wrong += [
        f"{option} {name}: there is no {of} {name}; name one of {', '.join(known)}"
        for name in named
        if known and name not in known
    ]


def _number(option: str, value: str, wrong: list[str]) -> Decimal:
    """Return a number above 0, or 1 in its place with a fault noted."""
    try:
        number = parse_number(value)
    except NumberFormError as error:
        wrong.append(f"{option}: {str(error).removesuffix('.')}")
        return Decimal(1)
    if number.qualifier:
        wrong.append(f"{option}: write the number without {number.qualifier}")
    return number.value


def _pack(option: str, value: str, wrong: list[str]) -> dict[str, Any]:
    inert = value.endswith(_INERT)
    fill = _number(option, value.removesuffix(_INERT).strip(), wrong)
    text = f"{option.rpartition(' ')[2]}, {fill} g"
    return {"text": f"{text}, inert" if inert else text, "fill_g": fill, "inert": inert}


def _day(option: str, value: str, wrong: list[str]) -> date:
    moment = parse_moment(value, ZoneInfo("UTC"))
    if moment is None or moment.time is not None:
        wrong.append(f"{option}: {value!r} is no day; write it as 2026-03-02")
        return date.min
    return moment.day


def _reason(option: str, value: str, wrong: list[str]) -> str:
    del option, wrong
    return value
