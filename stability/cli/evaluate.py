"""Commands that evaluate: show, drift, shelf-life, ageing."""

from __future__ import annotations

from stability.cli import options
from stability.cli.app import EVALUATE, Outcome, app, found
from stability.cli.listings_ageing import ageing_listing
from stability.cli.listings_lives import lives_listing
from stability.cli.output import print_listing, tell
from stability.cli.surroundings import occasion
from stability.workflow import evaluate as evaluating
from stability.workflow import figures as drawing


@app.command("show", rich_help_panel=EVALUATE)
def show(
    *,
    study: options.StudyOrFolder,
    sample: options.OnlySample = None,
    attribute: options.OnlyAttribute = None,
    condition: options.OnlyCondition = None,
    check: options.OnlyCheck = None,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> Outcome:
    """List readings with age, limit and mark.

    Every observation that was ever made is listed, corrected and set-aside ones with
    why they take no part; below one outside its limit stands its follow-up. Ends with
    1 if one lies outside its limit.

    Example:

      stability show HDC --attribute pH --condition T40
    """
    from stability.cli.listings_evaluate import readings_listing

    shown = evaluating.shown(
        occasion(records), study, sample=sample, attribute=attribute,
        condition=condition, check=check, as_of=as_of,
    )  # fmt: skip
    print_listing(readings_listing(shown.judged, shown.follow_ups), form)
    return found(any(one.is_outside for one in shown.judged))


@app.command("drift", rich_help_panel=EVALUATE)
def drift(
    *,
    study: options.StudyOrFolder,
    attribute: options.OnlyAttribute = None,
    condition: options.OnlyCondition = None,
    batch: options.OnlyBatch = None,
    figure: options.MayFigure = None,
    font: options.Font = None,
    overwrite: options.Overwrite = False,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> Outcome:
    """Fit the drift of what was measured and forecast its limits.

    A forecast is an early warning and no shelf life. Series are fitted one by one:
    attribute, condition, pack, batch and fixed settings; --figure draws them. Below
    stands what scores and statements say, which have no line. Ends with 1 if what was
    measured lies outside its limit or a forecast inside the life asked for.

    Example:

      stability drift HDC --attribute pH --as-of 2026-11-01
    """
    from stability.cli import listings_evaluate as listings

    evaluation = evaluating.evaluate(occasion(records), study, as_of=as_of)
    series = listings.chosen_series(evaluation, attribute, condition, batch)
    if figure:
        drawing.draw_drift(evaluation, series, figure, font=font, overwrite=overwrite)
        tell(f"{figure}: figure of drift")
    words = listings.chosen_words(evaluation, attribute, condition, batch)
    print_listing(listings.drift_listing(evaluation, series, words), form)
    outside = any(one.state == "outside" for one in series)
    return found(outside or listings.any_forecast_inside(evaluation, series))


@app.command("shelf-life", rich_help_panel=EVALUATE)
def shelf_life(
    *,
    study: options.StudyOrFolder,
    figure: options.MayFigure = None,
    font: options.Font = None,
    overwrite: options.Overwrite = False,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> Outcome:
    """Say which shelf life is shown, estimated and supported.

    Real time carries the request. Every attribute of every batch in every pack has to
    hold; the shortest governs. Estimates and caps follow ICH Q1E, which is written
    for medicines. --figure draws the lines with their bounds. Ends with 1 if the shelf
    life asked for is not supported.

    Example:

      stability shelf-life HDC --as-of 2026-11-01
    """
    evaluation = evaluating.evaluate(occasion(records), study, as_of=as_of)
    if figure:
        drawing.draw_shelf_life(evaluation, figure, font=font, overwrite=overwrite)
        tell(f"{figure}: figure of shelf life")
    print_listing(lives_listing(evaluation), form)
    findings = evaluation.shelf_life
    return found(findings is None or findings.request.outcome == "not supported")


@app.command("ageing", rich_help_panel=EVALUATE)
def ageing(
    *,
    study: options.StudyOrFolder,
    attribute: options.OnlyAttribute = None,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """Hold heat beside real time, by rule of thumb and Arrhenius.

    An estimate, not evidence: nothing here is a shelf life or enters one. What left
    its limit in the heat is not translated, nor is heat at or above the structural
    limit that the study declares. Attributes declared kinetic are fitted after
    Arrhenius. Ends with 0 whatever it says.

    Example:

      stability ageing HDC --attribute pH
    """
    evaluation = evaluating.ageing(
        occasion(records), study, attribute=attribute, as_of=as_of
    )
    print_listing(ageing_listing(evaluation), form)
