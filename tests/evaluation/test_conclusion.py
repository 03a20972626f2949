"""The drafted conclusion: every rule where it applies, and where it does not.

No outside source fixes these words. That 45 °C may fail where 40 °C holds without
shortening a shelf life, and that it asks for storage words, is common practice.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from stability.evaluation.certificate_findings import (
    Asked,
    CertificateFinding,
    CertificateMark,
    Certificates,
)
from stability.evaluation.conclusion import DRAFT, DRAFT_MEANS, RULES, conclusion_of
from stability.evaluation.findings import Evaluation
from stability.model.age import Age
from stability.model.certificate import Certificate, CertificateKind
from stability.model.condition import Condition
from stability.model.moment import Moment
from stability.model.protocol import Analysis, Protocol, Provisional
from stability.model.study import AsSold, Request, StructuralLimit
from tests.evaluation.builders import Bench, bulk, sample, study
from tests.evaluation.lived import Readings, jar, lived, small_protocol

AS_OF = "2026-02-01"
#: What no passage may hold: numbers that are none, doubled stops and spaces.
ODD = re.compile(r"\bnan\b|\binf\b|None\b(?! of)|\.\.|  |\( ")
DONE = Moment(date(2025, 6, 1), None)
ENTERED = datetime(2025, 6, 1, 12, tzinfo=UTC)


def drafted(evaluation: Evaluation) -> dict[str, str]:
    """Return code -> passage."""
    return {one.code: one.text for one in conclusion_of(evaluation)}


def read(*conditions: str, said: Readings | None = None, **more: Any) -> Evaluation:
    """Return a study of some conditions, read to its end."""
    return lived(conditions or ("ROOM",), said, **more).evaluate(AS_OF)


def outside(*places: str, **more: Any) -> Evaluation:
    """Return a study in which odour left its limit at `CONDITION:check`."""
    said: Readings = {}
    for place in places:
        condition, _, check = place.partition(":")
        said["odour", condition, check] = "changed"
    usual = ("ROOM", "T40", "T45", "COLD", "FT")
    return read(*more.pop("conditions", usual), said=said, **more)


def certified(
    mark: CertificateMark, kind: CertificateKind = "challenge", **study_file: Any
) -> Evaluation:
    """Return a study with one certificate of some mark."""
    certificate = Certificate(
        position=40, attribute=kind, kind=kind, laboratory="Corran Laboratory",
        number="C-17", standard="ISO 11930", batch="A", version="1.0", pack="JAR",
        sample=None, age="3M", issued=date(2025, 6, 1), results=(), verdict="",
        file=None, done=DONE, entered=ENTERED, person="Mara",
    )  # fmt: skip
    found = CertificateFinding(
        certificate, mark, (), None, None, (), "criterion A", "", "", (),
        among_readings=False, microbiological=True,
        text="challenge C-17 of Corran Laboratory: criterion A.",
        speaks_against=mark == "outside",
    )  # fmt: skip
    return replace(read(**study_file), certificates=Certificates((found,)))


def provisional_rules(**changes: Any) -> Protocol:
    """Return a protocol that grants 12 months on 12 weeks at 40 °C."""
    rule = Provisional(
        12, "T40", "12w", "3M", "12 weeks at 40 °C taken as a year", "trade custom",
        ("6M", "12M"),
    )  # fmt: skip
    analysis = Analysis(provisional=rule, evaluate_at=("3M", "12M"))
    return small_protocol("pH", analysis=replace(analysis, **changes))


def provisional() -> Evaluation:
    """Return a study at 3M whose request is provisional."""
    bench = lived(("ROOM", "T40"), rules=provisional_rules(), until="3M")
    return bench.evaluate("2025-05-10")


def extrapolated() -> Evaluation:
    """Return two batches with a flat pH, asked for more than was shown."""
    return read(
        "ROOM", "T40", rules=small_protocol("pH"), batches=("A", "B"),
        request=Request(18),
    )  # fmt: skip


def interim() -> Evaluation:
    """Return a study that stands between the checks that judge its request."""
    rules = small_protocol(analysis=Analysis(evaluate_at=("12M",)))
    return lived(rules=rules, until="6M").evaluate("2025-08-01")


def scattered() -> Evaluation:
    """Return a pH that scatters from limit to limit, and stays inside."""
    checks = ("4w", "3M", "6M", "9M", "12M")
    values = ("5.8", "5.1", "5.8", "5.1", "5.8")
    said = {
        ("pH", "ROOM", check): one for check, one in zip(checks, values, strict=True)
    }
    return read(said=said)


def two_packs() -> Evaluation:
    """Return a jar that holds to 12M beside a pump that fails at 9M."""
    bench = lived(("ROOM",))
    pump = sample("HDC-PUMP", "ROOM", pack="PUMP")
    both = Bench([*bench.samples, pump], protocol=bench.protocol, study=bench.study)
    both.drafts += [replace(one) for one in bench.drafts[1:]]
    both.place("HDC-PUMP", "ROOM")
    for check, done, odour in (
        ("4w", "2025-02-07", "as control"),
        ("3M", "2025-04-10", "as control"),
        ("6M", "2025-07-10", "as control"),
        ("9M", "2025-10-10", "changed"),
    ):
        both.read("HDC-PUMP", "pH", check, "5.50", done=done)
        both.read("HDC-PUMP", "odour", check, odour, done=done)
    return both.evaluate(AS_OF)


def used(odour: str) -> Evaluation:
    """Return a jar at room beside one in use, whose odour at 6M is given."""
    use = Condition(
        "USE", "stress", between=(Decimal(15), Decimal(27)), checks=("4w", "6M"),
        age_from="first opening", if_outside_limit="a shorter period after opening",
    )  # fmt: skip
    rules = small_protocol()
    bench = lived(rules=replace(rules, conditions={**rules.conditions, "USE": use}))
    both = Bench(
        [*bench.samples, sample("HDC-USE", "USE", use="in use")],
        protocol=bench.protocol,
        study=study(request=Request(12, after_opening=Age(6, "M"))),
    )
    both.drafts += [replace(one) for one in bench.drafts[1:]]
    both.place("HDC-USE", "USE")
    for check, done, smelt in (
        ("4w", "2025-02-07", "as control"),
        ("6M", "2025-07-10", odour),
    ):
        both.read("HDC-USE", "pH", check, "5.50", done=done)
        both.read("HDC-USE", "odour", check, smelt, done=done)
    return both.evaluate(AS_OF)


def not_bearing() -> Evaluation:
    """Return an odour that failed on the shelf and bears no request."""
    rules = small_protocol()
    odour = replace(rules.attributes["odour"], bears_request=False)
    rules = replace(rules, attributes={**rules.attributes, "odour": odour})
    return outside("ROOM:9M", conditions=("ROOM",), rules=rules)


def answered(outcome: str) -> Evaluation:
    """Return a failure in heat whose follow-up came to something."""
    bench = lived(("ROOM", "T40"), {("odour", "T40", "12w"): "changed"})
    judged = bench.evaluate(AS_OF).judged
    position = next(one.position for one in judged if one.is_outside)
    bench.answer(position, outcome, "2026-01-20")
    return bench.evaluate(AS_OF)


def amended(after: bool) -> Evaluation:
    """Return a plan amended before or after anything was read."""
    bench = (
        lived() if after else Bench([bulk(), jar("ROOM")], small_protocol(), study())
    )
    odour = replace(
        bench.protocol.attributes["odour"],
        limit=replace(bench.protocol.attributes["odour"].limit, highest="as control"),
    )
    rules = {**bench.protocol.attributes, "odour": odour}
    done = "2026-01-20" if after else "2025-01-07"
    bench.amend(replace(bench.protocol, attributes=rules), done=done)
    return bench.evaluate(AS_OF)


def taken_over() -> Evaluation:
    """Return a study that began in a notebook."""
    bench = lived()
    bench.take_over("a notebook", done="2026-01-20")
    return bench.evaluate(AS_OF)


def stopped() -> Evaluation:
    """Return a study stopped at its end."""
    bench = lived()
    bench.stop("2026-01-28", because="off sale")
    return bench.evaluate(AS_OF)


def nothing_read() -> Evaluation:
    """Return a study of which nothing was read."""
    return Bench([bulk(), jar("ROOM")], small_protocol(), study()).evaluate(
        "2025-01-07"
    )


def asked(storage: str) -> Evaluation:
    """Return a study that asks for storage words."""
    return read(request=Request(12, storage=storage))


def sold(**changes: bool) -> Evaluation:
    """Return a study of something else than what will be sold."""
    whole = {"formula": True, "pack": True}
    return read(as_sold=AsSold(**(whole | changes), scale="400 g"))


def awaited() -> Evaluation:
    """Return a study that waits for a certificate."""
    asking = (Asked("count", "12M", "not received", ()),)
    return replace(read(), certificates=Certificates(asked=asking))


Case = Callable[[], Evaluation]
#: Code -> a study in which the rule applies, and words that it then writes.
CASES: dict[str, tuple[Case, str]] = {
    "nothing-read": (nothing_read, "Nothing has been read yet"),
    "nothing-outside": (read, "None of 12 observations lies outside its limit."),
    "long-term-outside": (
        lambda: outside("ROOM:9M"),
        (
            "Under long-term storage odour at 9M (ROOM, JAR, batch A) left the "
            "limit. A failure that was seen ends what is supported at the last "
            "check passed before it; a later reading inside does not undo it. 6 "
            "months are supported."
        ),
    ),
    "initial-outside": (
        lambda: outside("T0:T0"),
        "At T0 odour at T0 (T0, batch A) lay outside the limit",
    ),
    "not-bearing-outside": (not_bearing, "does not bear the request"),
    "certificate-outside": (
        lambda: certified("outside"),
        "Certificates outside: challenge C-17 of Corran Laboratory: criterion A.",
    ),
    "accelerated-outside": (
        lambda: outside("T40:12w"),
        (
            "odour at 12w (T40, JAR, batch A) left the limit (JAR: something that "
            "bears the request left its limit at T40 (no intermediate condition "
            "in this pack)). It is no proof"
        ),
    ),
    "stress-and-accelerated-outside": (
        lambda: outside("T40:12w", "T45:8w"),
        (
            "T45 left its limits (odour between 4w and 8w (JAR, batch A)) and T40 "
            "did too: nothing beyond real-time data is offered."
        ),
    ),
    "stress-alone-outside": (lambda: outside("T45:8w"), "T45 (45 °C) left its limits"),
    "other-stress-outside": (
        lambda: outside("FT:c3"),
        "Under stress odour after 3 cycles (FT, JAR, batch A) left the limit.",
    ),
    "in-use-outside": (
        lambda: used("changed"),
        (
            "In use odour at 6M (USE, JAR, batch A) left the limit. It speaks against "
            "a period after opening as long as that"
        ),
    ),
    "control-outside": (
        lambda: outside("COLD:12w"),
        "In a control odour at 12w (COLD, JAR, batch A) left the limit",
    ),
    "follow-up-open": (lambda: outside("T45:8w"), "1 follow-up is open: odour changed"),
    "fault-not-set-aside": (
        lambda: answered("measuring fault found"),
        "measuring fault found",
    ),
    "shown": (
        read,
        (
            "The 12 months asked for are shown by real-time readings and not "
            "extrapolated: JAR shown to 12M (12 months), 1 batch: A."
        ),
    ),
    "extrapolated": (
        extrapolated,
        (
            "The 18 months asked for are supported by extrapolation within the cap "
            "and not shown: real time shows 12 months."
        ),
    ),
    "provisional": (
        provisional,
        "12 months provisional on 12w at T40 (40 ± 2 °C)",
    ),
    "not-supported": (
        lambda: read(request=Request(24)),
        (
            "The 24 months asked for are not supported; 12 months are. Of all that "
            "bears it, pH of batch A (JAR, ROOM) governs"
        ),
    ),
    "interim": (
        interim,
        (
            "Interim evaluation after 6M: the request is judged at 12M. It carries "
            "no request: judging at every look would overstate more often. So far 6"
            " months are supported of the 12 months asked for."
        ),
    ),
    "no-real-time": (
        lambda: read("T40"),
        "the 12 months asked for rest on nothing here",
    ),
    "packs-differ": (
        two_packs,
        "JAR at ROOM 12 months, PUMP at ROOM 6 months. The shortest governs.",
    ),
    "not-precise-enough": (
        scattered,
        (
            "pH, JAR, batch A: scatter 0.383, it takes less than 0.283 or 9 checks."
            " That blocks every extrapolation and never lowers the months shown."
        ),
    ),
    "few-checks": (
        lambda: lived(until="6M").evaluate("2025-08-01"),
        "Fewer than 5 checks carry no estimate: pH, JAR, batch A (4).",
    ),
    "scores": (
        read,
        (
            "Scores and statements bear the request too (odour). No line is drawn "
            "through words; they govern as numbers do, up to the last check passed "
            "before a first failure. None of them left its limit in real time. In "
            "the series with the fewest (1 container) none failed, which still "
            "allows that up to 95 % would"
        ),
    ),
    "one-batch": (read, "One batch cannot show how batches differ"),
    "not-as-sold": (lambda: sold(pack=False), "Not tested as it will be sold: pack."),
    "checks-gone": (
        lambda: lived(until="6M").evaluate(AS_OF),
        "2 sample checks in long-term storage were missed, lost or not recorded",
    ),
    "limits-late": (
        lambda: read(opened="2025-03-01"),
        "after the first reading on 2025-01-09. Limits that come after a reading may",
    ),
    "amended": (
        lambda: amended(after=True),
        (
            "The plan was amended on 2026-01-20, after readings had been made: no "
            "reading is judged otherwise."
        ),
    ),
    "taken-over": (taken_over, "taken over from older notes (a notebook)"),
    "stopped": (stopped, "Stopped: the study stopped: off sale."),
    "storage-within": (
        lambda: asked("below 25 °C"),
        "(“below 25 °C”) lie within long-term storage as planned: ROOM (15 to 27 °C",
    ),
    "storage-beyond": (
        lambda: asked("up to 30 °C"),
        "(“up to 30 °C”) allow more heat than long-term storage, which reaches 27 °C",
    ),
    "storage-no-temperature": (read, "No storage words are asked for: what is shown"),
    "storage-untested": (
        lambda: asked("keep from frost and sunlight"),
        "The storage words name light and frost, which no condition here tests",
    ),
    "storage-called-for": (
        lambda: outside("T45:8w"),
        (
            "something left its limit in T45 (45 °C), which asks for words on "
            "storage, transport or pack; none are asked for."
        ),
    ),
    "stress-held": (
        outside,
        "Nothing left its limit in T45 (45 °C) and FT (3 cycles of 24h at -18 °C",
    ),
    "no-challenge": (read, "its microbiological quality is open"),
    "no-water": (lambda: read(contains_water=False), "declared to contain no water"),
    "challenge": (
        lambda: certified("inside"),
        "Preservation efficacy, by certificate: challenge C-17 of Corran Laboratory",
    ),
    "certificate-to-decide": (
        lambda: certified("needs justification"),
        "For the assessor to decide: challenge C-17",
    ),
    "certificate-awaited": (awaited, "not received: count at 12M."),
    "after-opening": (
        lambda: read(request=Request(12, Age(6, "M"))),
        (
            "6M after opening are asked for. No container was read in use. Opened at "
            "their checks only: 1 container (1 at ROOM). A period after opening is "
            "never computed"
        ),
    ),
    "next-checks": (
        interim,
        (
            "Next checks: 9M at ROOM, due 2025-10-10 (coming); 12M at ROOM, due "
            "2026-01-10 (coming). The request is judged next at 12M."
        ),
    ),
    "complete": (read, "No check is waiting: the study is complete as planned."),
}

#: Code -> a study in which the rule must be silent.
SILENT: dict[str, Case] = {
    "nothing-read": read,
    "nothing-outside": lambda: outside("T45:8w"),
    "long-term-outside": lambda: outside("T40:12w", "T45:8w", "T0:T0", "COLD:12w"),
    "initial-outside": lambda: outside("ROOM:9M"),
    "not-bearing-outside": lambda: outside("ROOM:9M"),
    "certificate-outside": lambda: certified("mismatch"),
    "accelerated-outside": lambda: outside("ROOM:9M", "T45:8w", "FT:c3"),
    "stress-and-accelerated-outside": lambda: outside("T45:8w", "FT:c3"),
    "stress-alone-outside": lambda: outside("T40:12w", "T45:8w"),
    "other-stress-outside": lambda: outside("T45:8w"),
    "in-use-outside": lambda: used("as control"),
    "control-outside": lambda: outside("T45:8w"),
    "follow-up-open": lambda: answered("confirmed"),
    "fault-not-set-aside": lambda: answered("confirmed"),
    "shown": lambda: read(request=Request(24)),
    "extrapolated": read,
    "provisional": lambda: read(rules=small_protocol("pH")),
    "not-supported": read,
    "interim": read,
    "no-real-time": read,
    "packs-differ": read,
    "not-precise-enough": read,
    "few-checks": read,
    "scores": lambda: read(rules=small_protocol("pH")),
    "one-batch": lambda: read(batches=("A", "B")),
    "not-as-sold": read,
    "checks-gone": read,
    "limits-late": read,
    "amended": lambda: amended(after=False),
    "taken-over": read,
    "stopped": read,
    "storage-within": lambda: asked("below 28 °C"),
    "storage-beyond": lambda: asked("below 27 °C"),
    "storage-no-temperature": lambda: asked("below 25 °C"),
    "storage-untested": lambda: read(
        "ROOM", "FT", request=Request(12, storage="no frost")
    ),
    "storage-called-for": lambda: outside("T40:12w"),
    "stress-held": lambda: outside("T45:8w", "FT:c3"),
    "no-challenge": lambda: certified("inside"),
    "no-water": read,
    "challenge": lambda: certified("mismatch"),
    "certificate-to-decide": lambda: certified("inside"),
    "certificate-awaited": read,
    "after-opening": read,
    "next-checks": read,
    "complete": interim,
}


def test_every_rule_has_a_study_that_it_writes_for_and_one_that_it_does_not() -> None:
    codes = [rule.code for rule in RULES]
    assert len(set(codes)) == len(codes)
    assert set(CASES) == set(SILENT) == set(codes)


@pytest.mark.parametrize("code", list(CASES))
def test_a_rule_writes_where_it_applies_and_is_silent_where_it_does_not(
    code: str,
) -> None:
    case, words = CASES[code]
    assert words in drafted(case())[code]
    assert code not in drafted(SILENT[code]())


def test_rules_are_written_in_the_order_of_the_table_failures_first() -> None:
    found = [one.code for one in conclusion_of(outside("ROOM:9M", "T45:8w"))]
    order = [rule.code for rule in RULES]
    assert found == sorted(found, key=order.index)
    assert RULES[0].topic == "Outside limits"
    assert [rule.topic for rule in RULES] == sorted(
        (rule.topic for rule in RULES),
        key=list(dict.fromkeys(rule.topic for rule in RULES)).index,
    )


def test_every_rule_says_in_words_when_it_applies() -> None:
    assert all(rule.when and rule.when[0].islower() for rule in RULES)
    assert DRAFT == "Draft for the assessor."
    assert "adds no verdict" in DRAFT_MEANS


@pytest.mark.parametrize("code", list(CASES))
def test_no_passage_shows_an_odd_number_or_an_unfinished_sentence(code: str) -> None:
    for text in drafted(CASES[code][0]()).values():
        assert text.endswith(".")
        assert not ODD.search(text), text
        assert "supports, and does not replace" not in text


@pytest.mark.parametrize("outcome", ["shown", "extrapolated", "provisional", "interim"])
def test_one_outcome_alone_is_told_of_a_request(outcome: str) -> None:
    found = drafted(CASES[outcome][0]())
    outcomes = {
        "shown", "extrapolated", "provisional", "not-supported", "interim",
        "no-real-time",
    }  # fmt: skip
    assert outcomes & found.keys() == {outcome}


# 45 °C fails where 40 °C holds


def test_stress_heat_alone_is_told_with_numbers_and_what_follows() -> None:
    text = drafted(outside("T45:8w"))["stress-alone-outside"]
    assert text == (
        "T45 (45 °C) left its limits and T40 did not: odour between 4w and 8w (JAR, "
        "batch A). T40 (40 ± 2 °C) to 12w: none outside of 8 observations that bear "
        "the request; odour “as control” 4 ×. ROOM (15 to 27 °C, not controlled) to "
        "12M: none outside of 10 observations that bear the request; odour “as "
        "control” 5 ×. Between 40 and 45 °C the structure gives way, which is another "
        "process than ageing on a shelf, so no rate from T45 enters the shelf life. It "
        "does not shorten the life shown on the shelf (shown to 12M (12 months), 1 "
        "batch: A). It does ask for storage and transport words (the protocol: storage "
        "and transport words). Nothing beyond real-time data is offered here; had T40 "
        "failed too, nothing could be."
    )


def test_what_a_failure_in_heat_would_take_away_is_told_where_it_is_offered() -> None:
    said = {("odour", "T45", "8w"): "changed"}
    rules = small_protocol("pH", "odour")
    odour = replace(rules.attributes["odour"], bears_request=False)
    rules = replace(rules, attributes={**rules.attributes, "odour": odour})
    offered = read(
        "ROOM", "T40", "T45", said=said, rules=rules, batches=("A", "B"),
        request=Request(18),
    )  # fmt: skip
    assert offered.shelf_life is not None
    assert offered.shelf_life.supported.months > offered.shelf_life.supported.shown
    assert drafted(offered)["stress-alone-outside"].endswith(
        "Had T40 failed too, nothing beyond real-time data would be offered."
    )


def test_stress_heat_alone_leaves_the_months_supported_as_they_are() -> None:
    without, failed = read("ROOM", "T40", "T45"), outside("T45:8w")
    assert without.shelf_life is not None
    assert failed.shelf_life is not None
    assert failed.shelf_life.supported.months == without.shelf_life.supported.months
    assert failed.months_shown == without.months_shown == 12


def test_a_number_that_failed_in_stress_heat_is_told_in_numbers_and_left_open() -> None:
    said = {("pH", "T45", "8w"): "4.80", ("pH", "T40", "12w"): "5.20"}
    text = drafted(read("ROOM", "T40", "T45", said=said))["stress-alone-outside"]
    assert "pH between 4w and 8w (JAR, batch A)" in text
    assert "pH 5.20 to 5.50 in 4 readings" in text
    assert "which these readings cannot tell apart" in text
    assert "structure gives way" not in text


def test_a_declared_structural_limit_is_named_in_place_of_a_guess() -> None:
    limit = StructuralLimit(Decimal(43), "the wax melts")
    text = drafted(outside("T45:8w", structural_limit=limit))["stress-alone-outside"]
    assert "From 43 °C on the structure gives way, as declared (the wax melts)" in text


def test_a_failure_at_the_first_check_was_inside_at_no_check_before() -> None:
    text = drafted(outside("T45:2w"))["stress-alone-outside"]
    assert "odour by 2w, inside at no check before" in text


def test_heat_that_stood_in_another_pack_says_so() -> None:
    bench = lived(("ROOM", "T40"))
    vial = sample("HDC-V", "T45", pack="PUMP")
    both = Bench([*bench.samples, vial], protocol=bench.protocol, study=bench.study)
    both.drafts += bench.drafts[1:]
    both.place("HDC-V", "T45")
    both.read("HDC-V", "odour", "2w", "changed", done="2025-01-24")
    text = drafted(both.evaluate(AS_OF))["stress-alone-outside"]
    assert "It stood in PUMP there, and in JAR in the cooler place" in text


def test_with_an_intermediate_condition_all_beyond_would_hang_on_it() -> None:
    rules = small_protocol()
    warm = Condition("T30", "intermediate", temperature=Decimal(30), checks=("12w",))
    rules = replace(rules, conditions={**rules.conditions, "T30": warm})
    conditions = ("ROOM", "T30", "T40", "T45")
    failed = outside("T45:8w", rules=rules, conditions=conditions)
    text = drafted(failed)["stress-alone-outside"]
    assert "Had T40 failed too, all beyond real time would hang on T30." in text
    both = outside("T45:8w", "T40:12w", rules=rules, conditions=conditions)
    text = drafted(both)["stress-and-accelerated-outside"]
    assert text.endswith("all beyond real time hangs on T30.")


def test_a_container_that_failed_as_a_whole_is_told_with_its_reason() -> None:
    bench = lived(("ROOM", "T40"))
    vial = jar("T45")
    both = Bench([*bench.samples, vial], protocol=bench.protocol, study=bench.study)
    both.drafts += bench.drafts[1:]
    both.place("HDC-T45-A", "T45")
    both.retire("HDC-T45-A", "separated", "2025-03-01", because="4 mm of oil")
    text = drafted(both.evaluate(AS_OF))["stress-alone-outside"]
    assert "sample HDC-T45-A left as separated (4 mm of oil)" in text


def test_stress_at_the_heat_of_the_accelerated_condition_is_other_stress() -> None:
    rules = small_protocol()
    same = replace(rules.conditions["T45"], temperature=Decimal(40))
    rules = replace(rules, conditions={**rules.conditions, "T45": same})
    found = drafted(outside("T45:8w", rules=rules))
    assert "other-stress-outside" in found
    assert "stress-alone-outside" not in found


def test_untreated_twins_are_not_counted_as_the_shelf() -> None:
    bench = lived(("ROOM", "T40", "T45"), {("odour", "T45", "8w"): "changed"})
    twin = sample("HDC-TWIN", "ROOM", twin_of="FT", checks=("c1", "c3"))
    both = Bench([*bench.samples, twin], protocol=bench.protocol, study=bench.study)
    both.drafts += bench.drafts[1:]
    both.place("HDC-TWIN", "ROOM")
    both.read("HDC-TWIN", "odour", "c1", "as control", done="2025-01-14")
    text = drafted(both.evaluate(AS_OF))["stress-alone-outside"]
    assert "to 12M: none outside of 10 observations" in text


def test_a_fault_that_was_set_aside_is_not_told_as_kept() -> None:
    bench = lived(("ROOM", "T40"), {("odour", "T40", "12w"): "changed"})
    judged = bench.evaluate(AS_OF).judged
    position = next(one.position for one in judged if one.is_outside)
    bench.answer(position, "wrong sample", "2026-01-20")
    assert "fault-not-set-aside" in drafted(bench.evaluate(AS_OF))
    bench.invalidate(position, "wrong sample", "2026-01-21")
    assert "fault-not-set-aside" not in drafted(bench.evaluate(AS_OF))


def test_what_failed_in_use_is_told_where_a_period_after_opening_is_asked_for() -> None:
    found = drafted(used("changed"))
    assert found["after-opening"].startswith(
        "6M after opening are asked for. In use: 1 container read to 6M; outside: "
        "odour at 6M (USE, JAR, batch A). Opened at their checks only: 1 container (1 "
        "at ROOM). A period after opening is never computed"
    )
    assert found["in-use-outside"].endswith(
        "By the protocol: USE: a shorter period after opening."
    )
    assert "other-stress-outside" not in found
    held = drafted(used("as control"))
    assert (
        "In use: 1 container read to 6M; none left its limits."
        in (held["after-opening"])
    )


def test_limits_of_the_day_of_the_first_reading_are_not_late() -> None:
    assert "limits-late" not in drafted(read(opened="2025-01-09"))
    assert "limits-late" in drafted(read(opened="2025-01-10"))


# Storage words


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("below 25 °C", "storage-within"),
        ("below 27°C", "storage-within"),
        ("15 to 25 °C", "storage-within"),
        ("15–25 °C", "storage-within"),
        ("not above 27 °C", "storage-within"),
        ("not above 27,5 °C", "storage-beyond"),
        ("5 to 30 °C", "storage-beyond"),
        ("above 5 °C", "storage-no-temperature"),
        ("above 5 °C and below 25 °C", "storage-within"),
        ("in a cool place", "storage-no-temperature"),
        ("", "storage-no-temperature"),
    ],
)
def test_storage_words_are_held_against_long_term_storage(
    words: str, code: str
) -> None:
    found = drafted(asked(words))
    told = {"storage-within", "storage-beyond", "storage-no-temperature"}
    assert told & found.keys() == {code}


def test_light_that_was_tested_is_not_called_untested() -> None:
    words = Request(12, storage="below 25 °C, out of direct sun")
    assert "storage-untested" in drafted(read(request=words))
    assert "storage-untested" not in drafted(read("ROOM", "WINDOW", request=words))


def test_an_amendment_tells_what_it_judges_otherwise() -> None:
    rules = small_protocol()
    said = {("odour", "ROOM", "9M"): "slightly changed"}
    bench = lived(("ROOM",), said, rules=rules)
    limit = replace(rules.attributes["odour"].limit, highest="as control")
    odour = replace(rules.attributes["odour"], limit=limit)
    stricter = replace(rules, attributes={**rules.attributes, "odour": odour})
    bench.amend(stricter, done="2026-01-20")
    text = drafted(bench.evaluate(AS_OF))["amended"]
    assert "1 reading is judged otherwise by one limit than by the other" in text


def test_a_withdrawn_provisional_life_is_told_with_what_broke_it() -> None:
    said = {("pH", "ROOM", "6M"): "4.80"}
    bench = lived(("ROOM", "T40"), said, rules=provisional_rules())
    text = drafted(bench.evaluate(AS_OF))["not-supported"]
    assert "The provisional life declared is withdrawn by pH of batch A at 6M." in text


def test_several_open_follow_ups_are_counted_and_the_first_named() -> None:
    found = outside("T45:2w", "T45:4w", "T45:8w", "T45:12w")
    text = drafted(found)["follow-up-open"]
    assert text.startswith("4 follow-ups are open: ")
    assert "; and 1 more." in text
