"""Protocols and study files of three invented products, as a maker writes them."""

CREAM_PROTOCOL = """\
format = 1
title = "Cream in jar and pump: 12 weeks in heat inside 6 months of real time"
version = "1"
needs = ["pH meter", "balance"]
[t0]
read_after = "48h"
read_before = "96h"
place_within = "7d"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "3M", "6M"]
reason = "homes and shops"
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["4w", "8w", "12w"]
reason = "screens for drift"
[conditions.COLD]
role = "control"
temperature = 5
tolerance = 3
checks = ["4w", "12w"]
reason = "the comparison for noses"
[conditions.FT]
role = "stress"
cycles = 1
steps = [{at = -18, tolerance = 4, for = "24h"}, {at = 22, tolerance = 5, for = "24h"}]
read_after_cycles = [1]
reason = "winter transport"
if_outside_limit = "transport words"
[attributes.pH]
unit = "pH"
method = "10 % in purified water, meter"
readings = 2
resolution = 0.01
instrument = "pH meter"
settings.dilution = "10 %"
settings.instrument = "recorded"
limit.absolute = {lowest = 5.0, highest = 5.9}
limit.reason = "the preservative needs its acid"
limit.reason_kind = "active or preservative"
[attributes.separation]
short = "sep"
method = "opened, at room temperature, not shaken"
scale = ["none", "droplets", "layer"]
limit.highest = "none"
limit.reason = "a parted cream is taken for spoilt"
[attributes.odour]
method = "beside the cold jar"
scale = ["as control", "slightly changed", "changed"]
compared_with = "COLD"
observers = 2
rule = "worst"
limit.highest = "slightly changed"
limit.reason = "a customer would notice"
[attributes.appearance]
short = "app"
method = "closed container first"
scale = ["as T0", "slightly changed", "swollen"]
limit.highest = "slightly changed"
limit.reason = "a swollen pack is not opened"
[attributes.weight_loss]
method = "share of the net weight"
instrument = "balance"
conditions = ["ROOM", "T40"]
limit.absolute = {highest = 3.0}
limit.reason = "felt as thicker"
[attributes.challenge]
method = "preservation efficacy by a laboratory"
statements = ["criteria A", "criteria B", "not met"]
provided_by = "certificate"
when = ["T0"]
limit.required = "criteria A"
limit.reason = "a jar is opened with fingers"
"""
CREAM = """\
format = 1
code = "HMC"
time_zone = "Europe/Dublin"
product = "Harrowmead day cream"
version = "1.0"
protocol = "cream.toml"
product_type = "oil-in-water emulsion"
as_sold = {formula = true, pack = true, scale = "400 g laboratory batches"}
samples = [
    {batch = "A", pack = "JAR", condition = "ROOM", use = "reopened"},
    {batch = "A", pack = "JAR", condition = "T40", use = "reopened"},
    {batch = "A", pack = "JAR", condition = "COLD", use = "reopened"},
    {batch = "A", pack = "GLASS", condition = "FT", use = "reopened"},
    {batch = ["B", "C"], pack = "PUMP", condition = "ROOM", use = "reopened"},
    {batch = ["B", "C"], pack = "PUMP", condition = "T40", use = "reopened"},
    {batch = "B", pack = "PUMP", use = "spare"},
]
[request]
months = 6
after_opening = "6M"
storage = "below 25 °C"
[packs.JAR]
text = "50 g double-wall jar"
fill_g = 50
tare_g = 40
[packs.PUMP]
text = "30 ml airless pump"
fill_g = 30
tare_g = 22
[packs.GLASS]
text = "20 ml glass vial"
fill_g = 15
tare_g = 18
inert = true
[batches.A]
made = 2025-03-03
grams = 400
[batches.B]
made = 2025-03-03
grams = 400
[batches.C]
made = 2025-03-03
grams = 400
[places]
T40 = "OVEN"
"""
BALM_PROTOCOL = """\
format = 1
title = "Balm in a tin: 8 weeks in heat inside 6 months of real time"
version = "1"
needs = ["balance"]
[t0]
read_after = "7d"
read_before = "14d"
reason = "butters set for days"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "3M", "6M"]
reason = "homes and shops"
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["4w", "8w"]
reason = "softens and still holds"
[conditions.T45]
role = "stress"
temperature = 45
tolerance = 2
checks = ["4w"]
reason = "melts by design: judged after it has set again"
if_outside_limit = "storage words; does not shorten the shelf life by itself"
[attributes.hardness]
unit = "mm"
method = "needle, 50 g, 5 s, after a day at room temperature"
readings = 2
resolution = 0.1
takes_surfaces = 1
settings.needle = "fixed at T0"
limit.percent_of_initial = {lowest = 70, highest = 130}
limit.reason = "the finger must take it up"
limit_at.T45 = {recorded_only = true, reason = "melts by design"}
[attributes.sweating]
method = "through the opened tin at room temperature"
scale = ["none", "beads", "oil ring", "pool of oil"]
limit.highest = "beads"
limit.reason = "zinc oxide settles where oil has parted"
[attributes.graininess]
short = "grain"
method = "a pea rubbed out on glass"
scale = ["smooth", "a few grains", "grainy", "sandy"]
limit.highest = "a few grains"
limit.reason = "more is felt as sand"
[attributes.weight_loss]
method = "share of the net weight"
instrument = "balance"
conditions = ["ROOM", "T40"]
limit.absolute = {highest = 3.0}
limit.reason = "tells of the lid"
[attributes.challenge]
method = "preservation efficacy by a laboratory"
statements = ["criteria A", "criteria B", "not met"]
provided_by = "certificate"
when = ["T0"]
limit.required = "criteria A"
limit.reason = "it holds water"
"""
BALM = """\
format = 1
code = "TKN"
time_zone = "Europe/Dublin"
product = "Tarrick zinc balm"
version = "2.1"
protocol = "balm.toml"
product_type = "water-in-oil emulsion"
as_sold = {formula = true, pack = true, scale = "600 g laboratory batch"}
samples = [
    {batch = ["A", "B"], pack = "TIN", condition = "ROOM", use = "reopened"},
    {batch = "A", pack = "TIN", condition = "T40", use = "reopened"},
    {batch = "A", pack = "TIN", condition = "T45", use = "reopened"},
]
[structural_limit]
temperature = 45
reason = "the waxes melt"
[request]
months = 6
[packs.TIN]
text = "30 g aluminium tin, screw lid"
fill_g = 30
tare_g = 11
surfaces = 8
[batches.A]
made = 2025-01-06
grams = 600
[batches.B]
made = 2025-01-06
grams = 600
[places]
T40 = "BOX"
"""
GEL_PROTOCOL = """\
format = 1
title = "Clear gel in a bottle: 8 weeks in heat inside 3 months of real time"
version = "1"
needs = ["pH meter", "viscometer"]
[t0]
read_after = "24h"
read_before = "96h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["2w", "4w", "8w", "3M"]
reason = "bathrooms"
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["2w", "4w", "8w"]
reason = "screens for drift"
[conditions.COLD]
role = "control"
temperature = 5
tolerance = 3
checks = ["2w", "8w"]
reason = "where surfactants cloud"
[attributes.pH]
unit = "pH"
method = "as it is, meter"
readings = 2
resolution = 0.01
instrument = "pH meter"
settings.instrument = "recorded"
limit.absolute = {lowest = 4.8, highest = 5.8}
limit.reason = "the preservative needs its acid"
limit.reason_kind = "active or preservative"
[attributes.viscosity]
short = "visc"
unit = "mPa·s"
method = "rotational viscometer, value after 60 s"
instrument = "viscometer"
settings.instrument = "fixed at T0"
settings.spindle = "fixed at T0"
settings.sample_temperature = {between = [24, 26]}
limit.percent_of_initial = {lowest = 70, highest = 130}
limit.reason = "the bottle must still pour"
[attributes.clarity]
method = "3 mm letters through 5 cm, at room temperature"
scale = ["clear", "slightly hazy", "hazy", "cloudy"]
limit.highest = "slightly hazy"
limit.reason = "it is bought for its clearness"
[attributes.clarity_cold]
short = "cold"
method = "the same letters, at once after the refrigerator"
scale = ["clear", "slightly hazy", "hazy", "cloudy"]
read_at = "in condition"
conditions = ["COLD"]
limit.highest = "hazy"
limit.reason = "hazy when cold since T0; it must clear at room temperature"
"""
GEL = """\
format = 1
code = "GKV"
time_zone = "Europe/Dublin"
product = "Pendreath clear wash"
version = "0.8"
protocol = "gel.toml"
product_type = "surfactant cleanser"
as_sold = {formula = true, pack = true, scale = "2 kg laboratory batch"}
samples = [
    {batch = "A", pack = "BOTTLE", condition = "ROOM", use = "reopened"},
    {batch = "A", pack = "BOTTLE", condition = "T40", use = "reopened"},
    {batch = "A", pack = "BOTTLE", condition = "COLD", use = "reopened"},
]
[request]
months = 3
[packs.BOTTLE]
text = "200 ml clear bottle, flip-top cap"
fill_g = 200
tare_g = 24
[batches.A]
made = 2025-02-03
grams = 2000
[places]
T40 = "OVEN"
"""
