"""What the law of a market asks a label to say about how long a product keeps.

Only the request decides which wording applies; whether the months hold is another
question. A period after opening is repeated as it was asked for and never computed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stability.model.study import Market, Request

#: Up to so many months a date is mandatory in the EU and the UK; above it is not
#: [months]. Article 19(1)(c) of Regulation (EC) No 1223/2009.
DATE_UP_TO: Final = 30
#: From so many months on, an ASEAN file holds the whole report [months].
WHOLE_REPORT_FROM: Final = 30
#: Said wherever a period after opening is named.
NEVER_COMPUTED: Final = "A period after opening is never computed."
_ARTICLE: Final = "Regulation (EC) No 1223/2009, Article 19(1)(c)"


@dataclass(frozen=True, slots=True)
class DurabilityRule:
    """What one market asks for, by the shelf life asked for."""

    #: The market.
    market: Market
    #: The rule by name.
    rule: str
    #: Whether a date is mandatory on the label; None where the rule says nothing of it.
    date_mandatory: bool | None
    #: What follows for this request, in words.
    text: str


def durability_rules(
    request: Request, supported: int | None = None
) -> tuple[DurabilityRule, ...]:
    """Return what each market of a request asks for; nothing where none is named.

    Parameters
    ----------
    request
        What the maker wants to print.
    supported
        Months that the evaluation supports [months]; None before one.
    """
    return tuple(_rule(market, request, supported) for market in request.markets)


def _rule(market: Market, request: Request, supported: int | None) -> DurabilityRule:
    if market == "US":
        return _united_states()
    if market == "ASEAN":
        return _asean(request)
    rule = _ARTICLE if market == "EU" else f"assimilated {_ARTICLE}"
    mandatory = request.months <= DATE_UP_TO
    text = _date(request.months) if mandatory else _opening(request)
    also = _if_supported(request.months, supported)
    return DurabilityRule(market, rule, mandatory, f"{text}{also}")


def _date(months: int) -> str:
    return (
        f"{_are(months)} not more than {DATE_UP_TO}: the date of minimum durability is "
        "mandatory, as month and year or as day, month and year, behind the hourglass "
        "symbol or the words that the Article gives. What has to be kept to so that "
        "the product lasts until then is printed too."
    )


def _opening(request: Request) -> str:
    asked = request.after_opening
    period = f"{asked} is asked for" if asked else "none is asked for"
    return (
        f"{_are(request.months)} more than {DATE_UP_TO}: a date is not mandatory; a "
        "period after opening is printed (open-jar symbol with months or years), "
        "except where a pack is used once, does not open, or nothing can deteriorate: "
        f"{period}. {NEVER_COMPUTED} What has to be kept to so that the product lasts "
        "is printed too."
    )


def _if_supported(months: int, supported: int | None) -> str:
    """Say that the months supported fall under the other wording; "" where not."""
    if not supported or months <= DATE_UP_TO or supported > DATE_UP_TO:
        return ""
    return (
        f" Were the {supported} months printed that this evaluation supports, a date "
        "would be mandatory."
    )


def _united_states() -> DurabilityRule:
    return DurabilityRule(
        market="US",
        rule="MoCRA, section 608 (safety substantiation)",
        date_mandatory=False,
        text=(
            "No date is required on a cosmetic. How long it keeps is part of the "
            "safety that its maker has to substantiate with records."
        ),
    )


def _asean(request: Request) -> DurabilityRule:
    if request.months >= WHOLE_REPORT_FROM:
        text = (
            f"{_are(request.months)} not less than {WHOLE_REPORT_FROM}: the file holds "
            "stability data with their report, or a stability assessment."
        )
    else:
        text = (
            f"{_are(request.months)} less than {WHOLE_REPORT_FROM}: the file holds a "
            "summary report of stability."
        )
    rule = "ASEAN product information file, Part III (quality of the finished product)"
    return DurabilityRule("ASEAN", rule, None, text)


def _are(months: int) -> str:
    return f"{months} {'month is' if months == 1 else 'months are'}"
