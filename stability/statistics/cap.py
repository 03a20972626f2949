"""How far beyond the months shown a shelf life may be claimed."""

from __future__ import annotations

from typing import Literal

from stability.model.shelf_life import Cap, Evidence, SignificantChange, StorageClass

Rule = Literal["2X, +12", "1.5X, +6", "+3", "none"]

#: Said wherever a cap is printed.
BORROWED = "The rule is borrowed from ICH Q1E, which is written for medicines."

_FROZEN = "kept in a freezer: long-term readings only"
_ROOM: dict[SignificantChange, dict[Evidence, Rule]] = {
    "none": {
        "little change": "2X, +12",
        "analysed": "2X, +12",
        "not analysed": "1.5X, +6",
    },
    "intermediate passed": {
        "little change": "1.5X, +6",
        "analysed": "1.5X, +6",
        "not analysed": "+3",
    },
}
_REFRIGERATED: dict[SignificantChange, dict[Evidence, Rule]] = {
    "none": {
        "little change": "1.5X, +6",
        "analysed": "1.5X, +6",
        "not analysed": "+3",
    },
}


def extrapolation_cap(
    shown: float,
    *,
    storage: StorageClass = "room",
    significant_change: SignificantChange = "none",
    evidence: Evidence = "analysed",
    accelerated_finished: bool = True,
    blocked: bool = False,
    longest: float | None = None,
) -> Cap:
    """Return the longest life that may be claimed for one batch and attribute.

    Parameters
    ----------
    shown : float
        Months shown by this batch and attribute itself. [months]
    storage : {"room", "refrigerated", "freezer"}, default "room"
        Storage that the product is meant for.
    significant_change : str, default "none"
        In conditions whose role is accelerated; "intermediate failed" also where
        there is no intermediate condition. Conditions of stress never enter.
    evidence : {"little change", "analysed", "not analysed"}, default "analysed"
        Whether the readings hardly move, were fitted, or neither.
    accelerated_finished : bool, default True
        Whether the accelerated arm was finished as the protocol defines it.
    blocked : bool, default False
        True where a caution forbids extrapolation.
    longest : float or None, default None
        Longest extrapolation that the protocol allows. [months]

    Returns
    -------
    Cap
        The cap with its rule and reason.

    Notes
    -----
    "2X, +12" is min(2X, X + 12), "1.5X, +6" is min(1.5X, X + 6), "+3" is X + 3,
    "none" is X, after ICH Q1E [1]_ 2.4, 2.5 and appendix A.

    References
    ----------
    .. [1] ICH Q1E, Evaluation of Stability Data, Step 4, 2003.

    Examples
    --------
    >>> extrapolation_cap(18).months
    30.0
    """
    if blocked:
        rule, reason = _none("a caution forbids extrapolation")
    elif not accelerated_finished:
        rule, reason = _none("no finished accelerated condition")
    else:
        rule, reason = _rule(storage, significant_change, evidence)
    months = capped_by(rule, shown)
    if longest is not None and months > shown + longest:
        months = shown + longest
        reason = f"{reason}; the protocol allows {longest:g} months beyond"
    return Cap(months, float(shown), rule, f"{reason}. {BORROWED}")


def capped_by(rule: Rule, shown: float) -> float:
    """Return the cap that a rule gives.

    Parameters
    ----------
    rule : {"2X, +12", "1.5X, +6", "+3", "none"}
        The rule.
    shown : float
        Months shown. [months]

    Returns
    -------
    float
        The cap. [months]

    Examples
    --------
    >>> [capped_by("1.5X, +6", x) for x in (9, 18)]
    [13.5, 24.0]
    """
    caps = {
        "2X, +12": min(2.0 * shown, shown + 12.0),
        "1.5X, +6": min(1.5 * shown, shown + 6.0),
        "+3": shown + 3.0,
        "none": float(shown),
    }
    return caps[rule]


def worded_cap(shown: float, *, declared_before_t0: bool, moved: bool) -> Cap:
    """Return the longest life that scores and statements may bear.

    Parameters
    ----------
    shown : float
        Months shown before the first failure. [months]
    declared_before_t0 : bool
        Whether the protocol declared beforehand that they may be extrapolated.
    moved : bool
        Whether any score or statement moved in long-term or accelerated conditions.

    Returns
    -------
    Cap
        At most min(1.5X, X + 6), and only where nothing moved.

    Examples
    --------
    >>> worded_cap(12, declared_before_t0=True, moved=False).months
    18.0
    """
    if not declared_before_t0:
        rule, reason = _none(
            "no extrapolation of scores and statements was declared before T0"
        )
    elif moved:
        rule, reason = _none("a score or statement moved")
    else:
        rule, reason = "1.5X, +6", "no score or statement moved, as declared beforehand"
    return Cap(capped_by(rule, shown), float(shown), rule, f"{reason}. {BORROWED}")


def _none(reason: str) -> tuple[Rule, str]:
    return "none", reason


def _rule(
    storage: StorageClass, change: SignificantChange, evidence: Evidence
) -> tuple[Rule, str]:
    if storage == "freezer":
        return _none(_FROZEN)
    table = _ROOM if storage == "room" else _REFRIGERATED
    row = table.get(change)
    if row is None:
        return _none(f"{storage} storage, significant change: {change}")
    words = "no significant change" if change == "none" else f"accelerated: {change}"
    return row[evidence], f"{storage} storage, {words}, {evidence}"
