"""What a maker knows before T0, as typed with `plan`: scatter, start, spread."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from stability.errors.codes import NumberFormError
from stability.errors.planning import PlanOptionsError
from stability.model.attribute import Attribute
from stability.model.nearest import did_you_mean
from stability.model.number import parse_number
from stability.model.plan_options import PlanKnowledge
from stability.model.prospects import PlanAssumptions, Scatter
from stability.model.protocol import Protocol

#: Widest spread between batches that is taken, of the room to the limit [%]: at 100
#: every third batch would start or end outside.
WIDEST_SPREAD = 100


def assumptions_of(knowledge: PlanKnowledge, protocol: Protocol) -> PlanAssumptions:
    """Return what a plan assumes, the maker's own values before the defaults.

    Parameters
    ----------
    knowledge
        As typed.
    protocol
        Whose attributes are named.

    Raises
    ------
    PlanOptionsError
        If anything typed cannot be; all of it at once.
    """
    wrong: list[str] = []
    measured = {
        name: one for name, one in protocol.attributes.items() if one.kind == "measured"
    }
    found = PlanAssumptions(
        scatter={
            one.name: scatter
            for option, one, value in _pairs(
                "--scatter", knowledge.scatter, measured, wrong
            )
            if (scatter := _scatter(option, value, wrong)) is not None
        },
        start={
            one.name: float(number)
            for option, one, value in _pairs(
                "--start", knowledge.start, measured, wrong
            )
            if (number := _number(option, value, wrong)) is not None
        },
    )
    if knowledge.batch_spread is not None:
        share = _share("--batch-spread", knowledge.batch_spread, wrong)
        found = replace(found, batch_spread=share)
    if wrong:
        raise PlanOptionsError(wrong)
    return found


def _pairs(
    option: str,
    typed: Iterable[str],
    measured: dict[str, Attribute],
    wrong: list[str],
) -> Iterator[tuple[str, Attribute, str]]:
    """Yield option as typed, attribute and value of every NAME=VALUE."""
    named = {**measured, **{one.short: one for one in measured.values() if one.short}}
    for text in typed:
        name, sign, value = (part.strip() for part in text.partition("="))
        said = f"{option} {text!r}"
        if not sign or not value:
            wrong.append(f"{said}: write an attribute and a value, such as pH=0.03")
        elif name not in named:
            hint = did_you_mean(name, measured)
            wrong.append(f"{said}: the protocol measures no {name}; {hint}")
        else:
            yield said, named[name], value


def _scatter(said: str, value: str, wrong: list[str]) -> Scatter | None:
    is_share = value.endswith("%")
    number = _number(said, value.removesuffix("%").rstrip(), wrong)
    if number is None:
        return None
    if number <= 0:
        wrong.append(f"{said}: readings always scatter; write a value above 0")
        return None
    return Scatter(float(number) / (100 if is_share else 1), is_share=is_share)


def _share(option: str, value: str, wrong: list[str]) -> float:
    said = f"{option} {value!r}"
    number = _number(said, value.removesuffix("%").rstrip(), wrong)
    if number is not None and not 0 <= number <= WIDEST_SPREAD:
        hint = f"write a share of the way to the limit from 0 to {WIDEST_SPREAD} %"
        wrong.append(f"{said}: {hint}")
    return float(number or 0) / 100


def _number(said: str, value: str, wrong: list[str]) -> Decimal | None:
    try:
        number = parse_number(value)
    except NumberFormError as error:
        wrong.append(f"{said}: {str(error).rstrip('.')}")
        return None
    if number.qualifier:
        wrong.append(f"{said}: write the value without {number.qualifier}")
        return None
    return number.value
