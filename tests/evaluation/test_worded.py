"""Scores and statements: counted container by container."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stability.model.attribute import Attribute
from stability.model.limit import Limit
from tests.evaluation.builders import Bench, bulk, protocol, sample, worded

ODOUR = protocol().attributes["odour"]


def bench(attribute: Attribute = ODOUR, jars: int = 1) -> Bench:
    """Return a bench with some jars at 40 °C, placed."""
    samples = [sample(f"HDC-00{place}-A", "T40") for place in range(jars)]
    made = Bench(
        [bulk(), *samples], protocol=protocol(attributes={attribute.name: attribute})
    )
    for one in samples:
        made.place(one.code, "T40")
    return made


def smell(made: Bench, check: str, *words: str, done: str, jar: int = 0) -> int:
    """Log the words of two observers."""
    values = [
        f"{name}:{word}" for name, word in zip(("Ana", "Ben"), words, strict=False)
    ]
    return made.read(f"HDC-00{jar}-A", "odour", check, *values, done=done)


def test_the_worst_word_and_the_first_failed_age_come_first() -> None:
    made = bench()
    smell(made, "2w", "as control", "slightly changed", done="2025-01-24")
    smell(made, "4w", "changed", "as control", done="2025-02-07")
    smell(made, "8w", "changed", "changed", done="2025-03-07")

    series = worded(made.evaluate("2025-03-10"), "odour")

    assert series.state == "outside"
    assert (series.worst, series.first_outside, series.first_failed_age) == (
        "changed",
        "4w",
        28.0,
    )
    assert series.text == (
        "worst “changed”; first outside at 4w (28 d); 1 of 1 container outside"
    )


@pytest.mark.parametrize(
    ("start", "later", "lead"),
    [
        ("as control", "as control", "no change seen, always “as control”"),
        ("slightly changed", "slightly changed", "no change seen, always “slightly"),
        ("", "slightly changed", "worst “slightly changed”"),
        ("as control", "slightly changed", "worst “slightly changed”"),
    ],
)
def test_words_that_are_all_as_at_the_start_show_no_change(
    start: str, later: str, lead: str
) -> None:
    made = bench()
    if start:
        made.read("BULK-A", "odour", "T0", f"Ana:{start}", done="2025-01-09")
    smell(made, "2w", later, later, done="2025-01-24")
    smell(made, "4w", later, later, done="2025-02-07")

    series = worded(made.evaluate("2025-02-10"), "odour")

    assert series.text.startswith(lead)
    assert series.text.endswith("; 0 of 1 container outside")


def test_a_reopened_container_failed_between_its_last_pass_and_its_first_fail() -> None:
    made = bench()
    smell(made, "2w", "as control", "as control", done="2025-01-24")
    smell(made, "4w", "as control", "as control", done="2025-02-07")
    smell(made, "8w", "changed", "changed", done="2025-03-07")

    (jar,) = worded(made.evaluate("2025-03-10"), "odour").containers

    assert (jar.last_passed, jar.first_failed) == (28.0, 56.0)


def test_a_score_that_climbed_inside_its_limit_is_news() -> None:
    made = bench()
    smell(made, "4w", "slightly changed", "as control", done="2025-02-07")

    assert worded(made.evaluate("2025-02-10"), "odour").state == "changed, inside"


@pytest.mark.parametrize(
    ("rule", "worst"),
    [
        ("worst", "changed"),
        ("both agree", "as control"),
        ("majority", "slightly changed"),
    ],
)
def test_several_observers_count_by_the_rule_and_each_is_kept(
    rule: str, worst: str
) -> None:
    attribute = replace(ODOUR, observers=3, rule=rule)  # type: ignore[arg-type]
    made = bench(attribute)
    position = made.read(
        "HDC-000-A", "odour", "4w", "Ana:as control", "Ben:slightly changed",
        "Cas:changed", done="2025-02-07",
    )  # fmt: skip
    evaluation = made.evaluate("2025-02-10")

    series = worded(evaluation, "odour")
    assert series.worst == worst
    assert series.observers_text == (
        f"3 observers, not blind; rule fixed beforehand: {rule}; "
        "no significance can be claimed"
    )
    seen = next(one for one in evaluation.judged if one.position == position)
    assert seen.readings_text == (
        "Ana: as control / Ben: slightly changed / Cas: changed"
    )


def test_containers_failed_are_counted_of_containers_read() -> None:
    made = bench(jars=3)
    for jar, word in enumerate(("as control", "changed", "as control")):
        smell(made, "4w", word, word, done="2025-02-07", jar=jar)

    series = worded(made.evaluate("2025-02-10"), "odour")

    assert (series.failed, series.read, series.may_fail) == (1, 3, None)


# 63 % for three: exact bound 1 - 0.05^(1/3), computed, two programs.
def test_none_failed_of_three_still_allows_many_to_fail() -> None:
    made = bench(jars=3)
    for jar in range(3):
        smell(made, "4w", "as control", "as control", done="2025-02-07", jar=jar)

    series = worded(made.evaluate("2025-02-10"), "odour")

    assert series.may_fail == pytest.approx(0.6316, abs=5e-5)


def test_a_jar_that_gassed_counts_as_failed_for_what_can_no_longer_be_read() -> None:
    made = bench(jars=2)
    for jar in (0, 1):
        smell(made, "4w", "as control", "as control", done="2025-02-07", jar=jar)
    made.retire("HDC-001-A", "gassing", "2025-02-20")

    series = worded(made.evaluate("2025-02-21"), "odour")

    assert series.state == "outside"
    assert (series.failed, series.read) == (1, 2)
    assert (series.first_outside, series.first_failed_age) == ("8w", 41.0)
    assert series.containers[1].retired == "gassing"
    assert series.containers[1].last_passed == 28.0


def test_a_jar_that_failed_before_its_first_reading_still_counts() -> None:
    made = bench()
    made.retire("HDC-000-A", "mouldy", "2025-01-20")

    series = worded(made.evaluate("2025-01-21"), "odour")

    assert (series.failed, series.read, series.worst) == (1, 1, None)


def test_a_broken_jar_did_not_fail() -> None:
    made = bench()
    smell(made, "4w", "as control", "as control", done="2025-02-07")
    made.retire("HDC-000-A", "broken", "2025-02-20")

    assert worded(made.evaluate("2025-02-21"), "odour").failed == 0


def test_a_required_statement_that_is_not_made_is_outside() -> None:
    attribute = Attribute(
        "lid closes", "stated", scale=("yes", "no"), limit=Limit(required="yes")
    )
    made = bench(attribute)
    made.read("HDC-000-A", "lid closes", "2w", "yes", done="2025-01-24")
    made.read("HDC-000-A", "lid closes", "4w", "no", done="2025-02-07")

    series = worded(made.evaluate("2025-02-10"), "lid closes")

    assert (series.kind, series.worst, series.first_outside) == ("stated", "no", "4w")


def test_the_word_at_t0_is_what_a_later_one_is_changed_from() -> None:
    made = bench()
    made.read("BULK-A", "odour", "T0", "Ana:slightly changed", done="2025-01-09")
    smell(made, "4w", "slightly changed", "slightly changed", done="2025-02-07")

    series = worded(made.evaluate("2025-02-10"), "odour")

    assert (series.initial, series.state) == ("slightly changed", "inside")
