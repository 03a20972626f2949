"""What the figure of shelf life says, held against the evaluation that it draws."""

from __future__ import annotations

import pytest

from stability.evaluation.life_findings import AttributeLife
from stability.model.limit import Limit
from stability.model.protocol import Analysis
from stability.model.scores import WeightLossLife
from stability.model.shelf_life import ShelfLife
from stability.report.outlook_life import life_panels
from stability.report.outlook_panels import OutlookPanel
from tests.evaluation.builders import band
from tests.report.outlooks import falling, life_of, long_study, lowest, only_panel
from tests.report.printed import evaluated


def fitted(life: AttributeLife) -> ShelfLife:
    """Return the estimates of a life."""
    assert isinstance(life.life, ShelfLife)
    return life.life


def value_at(panel: OutlookPanel, label: str, edge: int, age: float) -> float:
    """Return a bound of a line between the ages at which it is drawn."""
    (one,) = [line for line in panel.lines if line.label == label]
    ages, values = one.ages, one.edges[edge]
    after = next(at for at, each in enumerate(ages) if each >= age)
    share = (age - ages[after - 1]) / (ages[after] - ages[after - 1])
    return values[after - 1] + share * (values[after] - values[after - 1])


@pytest.mark.parametrize(
    "limit",
    [
        lowest("5.0"),
        Limit(change=band("-0.4", "0.5")),
        Limit(percent_of_initial=band("92", "110")),
    ],
    ids=["value", "change", "share"],
)
def test_the_drawn_bound_meets_the_limit_where_the_estimate_says(limit: Limit) -> None:
    evaluation = long_study("AB", limit=limit)
    panel, life = only_panel(evaluation), fitted(life_of(evaluation))

    for batch in life.carrying.batches:
        assert batch.months is not None
        drawn = value_at(panel, batch.batch, 0, batch.months)
        assert drawn == pytest.approx(panel.limits[0].value, abs=2e-3 * abs(drawn))
        assert any(
            f"{batch.batch}: bound meets" in meeting.text
            and f"at {batch.months:.1f} months" in meeting.text
            for meeting in panel.meetings
        )


def test_marks_tell_request_caps_and_what_is_shown() -> None:
    panel = only_panel(long_study("A", asked=30))

    assert [(one.age, one.text) for one in panel.marks] == [
        (18, "cap, shown: 18 months"),
        (30, "asked for: 30 months"),
    ]
    assert panel.end > 30


def test_caps_that_differ_are_told_apart_by_batch() -> None:
    (life,) = [
        one
        for one in evaluated("day_cream").shelf_life.attributes  # type: ignore[union-attr]
        if (one.attribute, one.pack) == ("pH", "PUMP")
    ]
    (panel,) = life_panels(evaluated("day_cream"), life)
    assert {one.text for one in panel.marks} == {
        "cap of C, shown: 12 months",
        "asked for: 24 months",
        "cap of B: 30 months",
    }


def test_a_bound_that_meets_beyond_the_axis_is_said_beside_it() -> None:
    panel = only_panel(long_study("A", falling(0.006)))

    assert panel.meetings == ()
    (line,) = panel.lines
    assert line.said.startswith("bound meets 5.0 at ")
    assert line.said.endswith("beyond this axis →")
    assert 24 < panel.end < 26


def test_a_bound_that_meets_after_ten_years_gets_no_number() -> None:
    panel = only_panel(long_study("A", falling(0.001)))

    (line,) = panel.lines
    assert line.said == "bound does not meet 5.0 within 120 months"


def test_an_axis_is_made_a_little_longer_for_a_meeting_near_it() -> None:
    evaluation = long_study("A", falling(0.0165))
    months = fitted(life_of(evaluation)).carrying.months

    assert months is not None
    assert 24 < months < 30
    assert only_panel(evaluation).end > months
    assert len(only_panel(evaluation).meetings) == 1


def test_an_estimate_that_does_not_count_is_hollow_and_says_why() -> None:
    panel = only_panel(long_study("A", months=(3, 6)))

    assert [one.counts for one in panel.meetings] == [False]
    assert "fewer than 5 checks carry no estimate" in panel.lines[0].said


@pytest.mark.parametrize(
    ("rate", "scatter", "limit", "words"),
    [
        (0.02, 0.6, "5.0", "not precise enough: no estimate"),
        (0.01, 0.01, "5.6", "failed at T0: 0 months"),
        (-0.02, 0.001, "5.0", "bound does not meet the limit"),
    ],
)
def test_outcomes_without_a_crossing_are_words(
    rate: float, scatter: float, limit: str, words: str
) -> None:
    value = falling(rate, 0.0, scatter)
    panel = only_panel(
        long_study("A", value, limit=lowest(limit), direction="decreasing")
    )

    assert panel.lines[0].said == words
    assert panel.meetings == ()


def test_the_bound_that_is_drawn_is_the_one_that_was_declared() -> None:
    one_sided = only_panel(long_study("A", direction="decreasing"))
    two_sided = only_panel(long_study("A", limit=Limit(absolute=band("5.0", "6.0"))))

    assert one_sided.edge_text == "thin: one-sided 95 % bound of the mean"
    assert len(one_sided.lines[0].edges) == 1
    assert (
        two_sided.edge_text == "thin: ends of the two-sided 95 % interval of the mean"
    )
    assert len(two_sided.lines[0].edges) == 2


def test_the_estimate_that_carries_the_request_is_drawn() -> None:
    value = falling(0.02, 0.01, 0.05)
    alone = long_study("ABC", value)
    together = long_study("ABC", value, analysis=Analysis(carries_request="pooled"))

    drawn = {one.line for one in only_panel(together).lines}
    model = fitted(life_of(together)).pooling
    assert model is not None
    assert drawn != {one.line for one in only_panel(alone).lines}
    for name, line in model.lines:
        (one,) = [each for each in only_panel(together).lines if each.label == name]
        assert one.line[0] == pytest.approx(line.intercept)


def test_of_many_batches_the_governing_one_has_its_bounds() -> None:
    evaluation = long_study([f"B{number}" for number in range(12)])
    panel = only_panel(evaluation)
    governing = fitted(life_of(evaluation)).carrying.governing.batch

    assert [one.label for one in panel.lines if one.edges] == [governing]
    assert panel.edge_text.endswith(f"of {governing} only")
    assert sum(bool(one.text) for one in panel.meetings) == 1
    said = [one for one in panel.lines if one.label != governing]
    assert all("bound meets 5.0 at" in one.said for one in said)


def test_a_failure_marks_the_last_pass_before_it() -> None:
    panel = only_panel(long_study("A", falling(0.06)))

    assert "last pass before a failure" in panel.marks[0].text
    assert panel.marks[0].age == 6
    assert "outside" in {point.mark for point in panel.lines[0].points}


def test_loss_of_weight_is_drawn_with_its_rates() -> None:
    evaluation = evaluated("plain_lotion")
    assert evaluation.shelf_life is not None
    life = evaluation.shelf_life.attributes[-1]
    (panel,) = life_panels(evaluation, life)

    rates = life.weight_loss
    assert isinstance(rates, WeightLossLife)
    mean = panel.lines[-1]
    (edge,) = mean.edges
    assert list(mean.line) == pytest.approx([0.0, rates.mean_rate * panel.end])
    assert list(edge) == pytest.approx([0.0, rates.upper_rate * panel.end])
    assert f"bound meets 3 % at {rates.months:.1f} months" in mean.said


def test_words_and_what_was_not_read_draw_nothing() -> None:
    evaluation = evaluated("plain_lotion")
    assert evaluation.shelf_life is not None

    worded = [one for one in evaluation.shelf_life.attributes if one.kind == "worded"]

    assert worded
    assert [life_panels(evaluation, one) for one in worded] == [[]] * len(worded)
    unread = long_study("A", months=())
    assert life_panels(unread, life_of(unread)) == []
