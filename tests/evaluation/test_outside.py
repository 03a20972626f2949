"""What lies outside its limit, grouped by what it means for the request."""

from __future__ import annotations

from tests.evaluation.builders import Bench, bulk, sample

WHERE = ("ROOM", "T40", "T45", "COLD")


def bench() -> Bench:
    """Return a bench with one jar in each condition, placed."""
    made = Bench([bulk(), *(sample(f"HDC-{name}", name) for name in WHERE)])
    for name in WHERE:
        made.place(f"HDC-{name}", name)
    return made


def test_groups_follow_the_role_and_what_bears_the_request_stands_first() -> None:
    made = bench()
    for name in reversed(WHERE):
        made.read(f"HDC-{name}", "pH", "4w", "4.9", "4.9", done="2025-02-07")
    made.read("BULK-A", "pH", "T0", "4.9", done="2025-01-09")

    groups = made.evaluate("2025-02-08").outside

    assert [group.meaning for group in groups] == [
        "bearing the request",
        "T0",
        "intermediate and accelerated",
        "stress as declared",
        "control",
    ]
    assert groups[3].findings[0].meaning_text == "storage and transport words"


def test_a_finding_tells_between_which_checks_it_failed() -> None:
    made = bench()
    for check, value, done in (
        ("2w", "5.3", "2025-01-24"),
        ("4w", "5.1", "2025-02-07"),
        ("8w", "4.9", "2025-03-07"),
        ("12w", "4.7", "2025-04-04"),
    ):
        made.read("HDC-T45", "pH", check, value, value, done=done)

    ((finding,),) = [group.findings for group in made.evaluate("2025-04-05").outside]

    assert (finding.first, finding.last_inside) == ("8w", "4w")
    assert len(finding.observations) == 2
    assert finding.read == 4
    assert finding.text == (
        "pH, T45, JAR, batch A: 4.9 at 8w, limit 5.0 to 5.9; last inside at 4w; "
        "2 of 4 observations outside"
    )


def test_nothing_outside_is_no_group() -> None:
    made = bench()
    made.read("HDC-ROOM", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    evaluation = made.evaluate("2025-02-08")

    assert evaluation.outside == ()
    assert not evaluation.anything_outside


def test_a_sample_that_failed_stands_among_them() -> None:
    made = bench()
    made.retire("HDC-ROOM", "separated", "2025-02-20", because="oil on top")

    ((finding,),) = [group.findings for group in made.evaluate("2025-02-21").outside]

    assert finding.attribute == "sample"
    assert finding.first == "3M"
    assert "separated at 41 d (oil on top)" in finding.text
    assert finding.retired[0].sample.code == "HDC-ROOM"


def test_a_twin_counts_as_control_wherever_it_stands() -> None:
    made = Bench([sample("HDC-001-A", "ROOM", twin_of="FT", checks=("c1",))])
    made.place("HDC-001-A", "ROOM")
    made.read("HDC-001-A", "pH", "c1", "4.9", "4.9", done="2025-01-12")

    (group,) = made.evaluate("2025-02-08").outside

    assert group.meaning == "control"


def test_only_what_was_read_and_stands_is_counted() -> None:
    made = bench()
    wrong = made.read("HDC-T40", "pH", "2w", "3.0", done="2025-01-24")
    made.correct(wrong, "5.3", done="2025-01-24")
    made.read("HDC-T40", "pH", "4w", done="2025-02-07", not_measured="meter dead")
    made.read("HDC-T40", "pH", "8w", "4.9", done="2025-03-07")

    ((finding,),) = [group.findings for group in made.evaluate("2025-03-08").outside]

    assert finding.read == 2
    assert (finding.first, finding.last_inside) == ("8w", "2w")
