"""The small study with a protocol that says with what its attributes are read."""

from __future__ import annotations

from tests.records.small_study import PROTOCOL

VISCOSITY = """\
[attributes.viscosity]
method = "rotational"
unit = "mPa·s"
instrument = "viscometer"
settings.instrument = "fixed at T0"
limit.percent_of_initial = {lowest = 80, highest = 120}
limit.reason = "felt"
limit.reason_kind = "felt or seen"
"""

METERED = (
    PROTOCOL.replace("[attributes.pH]", '[attributes.pH]\ninstrument = "pH meter"')
    .replace(
        "[attributes.weight_loss]", '[attributes.weight_loss]\ninstrument = "balance"'
    )
    .replace("[attributes.spread]", f"{VISCOSITY}[attributes.spread]")
    .replace('needs = ["pH meter", ', 'needs = ["pH meter", "viscometer", ')
)
