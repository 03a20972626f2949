"""What was typed on which day in three invented studies: a cream, a balm, a gel."""

from __future__ import annotations

from tests.lived_products import (
    BALM,
    BALM_PROTOCOL,
    CREAM,
    CREAM_PROTOCOL,
    GEL,
    GEL_PROTOCOL,
)
from tests.lived_studies import Bench, entry_of

ASSESSOR = "Dr Maren Holt, safety assessor"
CHECKED = (
    "--checked", "right sample=yes", "--checked", "calibration=yes",
    "--checked", "repeat reading=yes",
)  # fmt: skip


# The cream: three batches, jar and pump


def _cream_day(at: Bench, day: str) -> None:
    """Calibrate the meter and set what holds all day."""
    at.on(day, "instrument", "calibrate", "PH1", "--slope", "97")
    at.on(
        day, "day", "HMC", "--observer", "Ines", "--observer", "Tomas",
        "--set", "pH.dilution=10 %", "--set", "pH.instrument=PH1",
        "--control", "odour=@A JAR COLD",
    )  # fmt: skip


def _cream_begins(at: Bench) -> None:
    """Plan, open, lodge, read at T0, place, and freeze once."""
    at.write("cream.toml", CREAM_PROTOCOL)
    at.type("2025-03-03", "plan", at.write("study.toml", CREAM))
    oven = ("--temperature", "40", "--tolerance", "2")
    at.on("2025-03-03", "storage", "add", "OVEN", *oven)
    at.start("2025-03-03", "study.toml")
    at.on("2025-03-04", "lodge", "HMC", "--with", ASSESSOR)
    at.on("2025-03-05", "instrument", "add", "PH1", "--kind", "pH meter")
    _cream_day(at, "2025-03-05")
    for name in ("A JAR ROOM", "A JAR T40", "B PUMP ROOM", "C PUMP ROOM", "B PUMP T40",
                 "C PUMP T40"):  # fmt: skip
        before, after = ("90.02", "84.90") if "JAR" in name else ("52.05", "50.50")
        at.on(
            "2025-03-05", "log", f"@{name}", f"w={before}", "pH=5.51/5.52", "sep=none",
            "odour=0/0", "app=0", f"w2={after}",
        )  # fmt: skip
    sound = ("sep=none", "app=0")
    for name in ("A JAR COLD", "A GLASS FT"):
        at.on("2025-03-05", "log", f"@{name}", "pH=5.52/5.53", "odour=0/0", *sound)
    for condition in ("ROOM", "T40", "COLD"):
        at.on("2025-03-06", "place", "--study", "HMC", "--to", condition)
    at.on("2025-03-06", "place", "@A GLASS FT", "--step", "next")
    at.on("2025-03-07", "place", "@A GLASS FT", "--step", "next")
    at.on("2025-03-08", "place", "@A GLASS FT", "--take-out")
    _cream_day(at, "2025-03-08")
    whole = ("pH=5.51/5.53", "sep=none", "odour=0/0", "app=0")
    at.on("2025-03-08", "log", "@A GLASS FT", *whole)


def _cream_in_heat(at: Bench) -> None:
    """Live through the oven's night."""
    cut = ("--from", "2025-03-20T22:00", "--to", "2025-03-21T07:00", "--side", "colder")
    at.on("2025-03-21", "storage", "event", "OVEN", "power cut", *cut)
    at.on("2025-03-21", "storage", "look", "OVEN", "--min", "27.5", "--max", "40.9")
    at.on(
        "2025-03-21", "storage", "answer", "OVEN", "--from", "2025-03-20",
        "--to", "2025-03-21", "--outcome", "continued",
        "--because", "9 h of 12 weeks, colder than meant",
    )  # fmt: skip


def _cream_at_4w_and_8w(at: Bench) -> None:
    """Take in a file, find a pump swollen, miss a check."""
    at.on("2025-04-03", "instrument", "calibrate", "PH1", "--slope", "97")
    table = at.write(
        "april.csv",
        "sample,date,w,pH 1,pH 2,pH.dilution,pH.instrument,separation,odour,"
        "observers,control,appearance,w2\n"
        + "".join(
            f"@{name}@,2025-04-03,{before},{first},{second},10 %,PH1,none,"
            f"Ines:0/Tomas:{nose},Ines; Tomas,@A JAR COLD@,as T0,{after}\n"
            for name, before, first, second, nose, after in (
                ("A JAR ROOM", "84.86", "5.50", "5.52", 0, "79.80"),
                ("A JAR T40", "84.60", "5.45", "5.46", 1, "79.50"),
                ("B PUMP ROOM", "50.47", "5.51", "5.51", 0, "48.95"),
                ("C PUMP ROOM", "50.46", "5.49", "5.50", 0, "48.95"),
                ("B PUMP T40", "50.40", "5.46", "5.46", 0, "48.90"),
                ("C PUMP T40", "50.39", "5.44", "5.45", 0, "48.90"),
            )
        ),
    )
    at.told["file"] = at.type("2025-04-03", "log", "--from", table)
    _cream_day(at, "2025-04-03")
    sound = ("sep=none", "odour=0/0", "app=0")
    at.on("2025-04-03", "log", "@A JAR COLD", "pH=5.52/5.52", *sound)
    at.on(
        "2025-05-01", "miss", "HMC", "8w", "--batch", "C",
        "--because", "laboratory closed for the holiday",
    )  # fmt: skip
    picture = at.photograph("pump.png", (200, 190, 170))
    at.on(
        "2025-05-01", "log", "@B PUMP T40", "app=swollen", "--photo",
        f"appearance={picture}", "--caption", "swollen below the collar",
    )  # fmt: skip
    at.on(
        "2025-05-01", "retire", "@B PUMP T40", "gassing",
        "--because", "swollen, discarded closed",
    )  # fmt: skip
    _cream_day(at, "2025-05-01")
    whole = ("w=79.10", "pH=5.39/5.40", "sep=none", "odour=0/1", "app=0", "w2=74.00")
    at.on("2025-05-01", "log", "@A JAR T40", *whole)


def _cream_ends(at: Bench) -> None:
    """Answer at the screen, follow up, correct, take in certificates."""
    _cream_day(at, "2025-05-29")
    at.told["jar"] = at.on(
        "2025-05-29", "log", "@A JAR T40", "w=73.60", "pH=5.33/5.35", "sep=droplets",
        "odour=1/1", "app=0", "w2=68.50",
    )  # fmt: skip
    at.told["screen"] = at.answer(
        "2025-05-29", "HMC", "@C PUMP T40", "48.70", "0", "0/1", "0", "5.36/5.37",
    )  # fmt: skip
    at.on(
        "2025-05-29", "follow-up", entry_of(at.told["jar"], "HMC", "separation"),
        *CHECKED, "--outcome", "confirmed", "--because", "seen again by both of us",
    )  # fmt: skip
    sound = ("sep=none", "odour=0/0", "app=0")
    at.on("2025-05-29", "log", "@A JAR COLD", "pH=5.51/5.52", *sound)
    for day, jar, pump, ph in (
        ("2025-06-06", ("79.75", "74.70"), ("48.90", "47.40"), "5.47/5.48"),
        ("2025-09-06", ("74.60", "69.60"), ("47.30", "45.80"), "5.43/5.44"),
    ):
        _cream_day(at, day)
        for name, (before, after) in (
            ("A JAR ROOM", jar), ("B PUMP ROOM", pump), ("C PUMP ROOM", pump),
        ):  # fmt: skip
            slip = (day, name) == ("2025-06-06", "A JAR ROOM")
            ran = at.on(
                day, "log", f"@{name}", f"w={before}", "sep=none", "odour=0/0", "app=0",
                f"pH={'5.74/5.84' if slip else ph}", f"w2={after}",
            )  # fmt: skip
            if slip:
                at.on(
                    day, "correct", entry_of(ran, "HMC", "pH"), "pH=5.47/5.48",
                    "--because", "digits exchanged",
                )  # fmt: skip
    _cream_certificates(at)


def _cream_certificates(at: Bench) -> None:
    """Take in a challenge of an earlier version, and one of what is tested."""
    paper = at.photograph("certificate.png", (255, 255, 255))
    for version, number in (("0.9", "25-0311"), ("1.0", "25-0788")):
        at.told[version] = at.on(
            "2025-09-08", "certificate", "HMC", "challenge", paper,
            "--laboratory", "Sandhollow Laboratory", "--number", number,
            "--standard", "ISO 11930:2019", "--batch", "A", "--version", version,
            "--pack", "JAR", "--age", "T0", "--issued", "2025-05-05", "--result", "A",
        )  # fmt: skip


# The balm: a tin, two batches, everything that matters is a score


def _balm_begins(at: Bench) -> None:
    """Open, lodge, read when it has set, place."""
    at.write("balm.toml", BALM_PROTOCOL)
    at.on(
        "2025-01-06", "storage", "add", "BOX", "--temperature", "40", "--tolerance", "2"
    )
    at.start("2025-01-06", at.write("study.toml", BALM))
    at.on("2025-01-14", "day", "TKN", "--set", "hardness.needle=cone 40")
    for name in ("A TIN ROOM", "B TIN ROOM", "A TIN T40", "A TIN T45"):
        at.on(
            "2025-01-14", "log", f"@{name}", "w=41.02", "hardness=8.0/8.2",
            "sweating=none", "grain=smooth", "w2=41.00",
        )  # fmt: skip
    at.told["lodged"] = at.on("2025-01-15", "lodge", "TKN", "--with", ASSESSOR)
    for condition in ("ROOM", "T40", "T45"):
        at.on("2025-01-15", "place", "--study", "TKN", "--to", condition)
    at.on("2025-01-20", "storage", "look", "BOX", "--min", "39.2", "--max", "40.6")


def _balm_in_heat(at: Bench) -> None:
    """Take in a file, see oil at 45 °C, answer at the screen."""
    table = at.write(
        "february.csv",
        "sample;date;w;hardness 1;hardness 2;hardness.needle;sweating;graininess;w2\n"
        "@A TIN ROOM@;12/2/2025;40,98;8,1;8,1;cone 40;none;smooth;40,96\n"
        "@B TIN ROOM@;12/2/2025;40,99;8,0;8,1;cone 40;none;smooth;40,97\n"
        "@A TIN T40@;12/2/2025;40,90;8,4;8,6;cone 40;beads;smooth;40,88\n",
    )
    at.told["file"] = at.type(
        "2025-02-12", "log", "--from", table, "--decimal-comma", "--dates", "dmy"
    )
    picture = at.photograph("tin.png", (240, 235, 220))
    at.told["tin"] = at.on(
        "2025-02-12", "log", "@A TIN T45", "w=40.80", "hardness=9.9/10.1",
        "sweating=oil ring", "grain=1", "w2=40.78", "--set", "hardness.needle=cone 40",
        "--photo", f"sweating={picture}", "--caption", "oil ring after setting",
    )  # fmt: skip
    at.on(
        "2025-02-13", "follow-up", entry_of(at.told["tin"], "TKN", "sweating"),
        *CHECKED, "--outcome", "confirmed", "--because", "the second tin shows it too",
    )  # fmt: skip
    at.on("2025-03-01", "storage", "look", "BOX", "--min", "33.0", "--max", "40.8")
    at.on(
        "2025-03-01", "storage", "answer", "BOX", "--from", "2025-01-20",
        "--to", "2025-03-01", "--outcome", "continued",
        "--because", "door left open; colder, not hotter",
    )  # fmt: skip
    at.on("2025-03-12", "day", "TKN", "--set", "hardness.needle=cone 40")
    at.told["screen"] = at.answer(
        "2025-03-12", "TKN", "@A TIN T40", "40.85", "beads", "0", "8.6/8.8",
    )  # fmt: skip


def _balm_ends(at: Bench) -> None:
    """Miss a check, see grains come inside their limit, correct, take a certificate."""
    at.on(
        "2025-04-15", "miss", "TKN", "3M", "--batch", "B", "--because", "bench flooded"
    )
    at.told["far"] = at.on(
        "2025-04-15", "log", "@A TIN ROOM", "hardness=8.2/2.8",
        "--set", "hardness.needle=cone 40", ends=2,
    )  # fmt: skip
    for day, names in (("2025-04-15", "A"), ("2025-07-15", "AB")):
        at.on(day, "day", "TKN", "--set", "hardness.needle=cone 40")
        for name in names:
            ran = at.on(
                day, "log", f"@{name} TIN ROOM", "w=40.92", "sweating=none", "grain=1",
                "hardness=8.8/8.2", "w2=40.90",
            )  # fmt: skip
            at.on(
                day, "correct", entry_of(ran, "TKN", "hardness"), "hardness=8.2/8.2",
                "--because", "typed 8.8 for 8.2",
            )  # fmt: skip
    at.told["certificate"] = at.on(
        "2025-07-16", "certificate", "TKN", "challenge",
        "--laboratory", "Sandhollow Laboratory", "--number", "25-0912",
        "--standard", "ISO 11930:2019", "--batch", "A", "--version", "2.0",
        "--pack", "TIN", "--age", "T0", "--issued", "2025-03-03", "--result", "A",
    )  # fmt: skip


# The gel: one batch, a viscometer on loan, an electrode that gave out


def _gel_day(at: Bench, day: str, viscometer: str, warm: str) -> None:
    """Set what holds all day."""
    at.on(
        day, "day", "GKV", "--set", "pH.instrument=PH2",
        "--set", f"viscosity.instrument={viscometer}",
        "--set", "viscosity.spindle=R3",
        "--set", f"viscosity.sample_temperature={warm}",
    )  # fmt: skip


def _gel_begins(at: Bench) -> None:
    """Open, lodge, read at T0 clear and hazy when cold, place."""
    at.write("gel.toml", GEL_PROTOCOL)
    at.on(
        "2025-02-03", "storage", "add", "OVEN", "--temperature", "40",
        "--tolerance", "2",
    )  # fmt: skip
    at.on("2025-02-03", "instrument", "add", "PH2", "--kind", "pH meter")
    for meter in ("VLOAN", "VOWN"):
        at.on("2025-02-03", "instrument", "add", meter, "--kind", "viscometer")
    at.start("2025-02-03", at.write("study.toml", GEL))
    at.on("2025-02-04", "lodge", "GKV", "--with", ASSESSOR)
    at.on("2025-02-05", "instrument", "calibrate", "PH2", "--slope", "98")
    at.on(
        "2025-02-05", "instrument", "check", "VLOAN", "--standard", "5000=5030",
    )  # fmt: skip
    _gel_day(at, "2025-02-05", "VLOAN", "24.6")
    for name in ("ROOM", "T40", "COLD"):
        cold = ("cold=hazy",) if name == "COLD" else ()
        at.on(
            "2025-02-05", "log", f"@A BOTTLE {name}", "pH=5.30/5.31", "visc=5200",
            "clarity=clear", *cold,
        )  # fmt: skip
    for name in ("ROOM", "T40", "COLD"):
        at.on("2025-02-06", "place", "--study", "GKV", "--to", name)


def _gel_goes_on(at: Bench) -> None:
    """Give the loaned meter back, answer the oven, lose the electrode."""
    at.on("2025-02-20", "instrument", "calibrate", "PH2", "--slope", "95")
    _gel_day(at, "2025-02-20", "VLOAN", "25.3")
    for name, found in (("ROOM", "5150"), ("T40", "5010")):
        ran = at.on(
            "2025-02-20", "log", f"@A BOTTLE {name}", "pH=5.29/5.30", f"visc={found}",
            "clarity=0",
        )  # fmt: skip
    at.on(
        "2025-02-20", "correct", entry_of(ran, "GKV", "viscosity"), "visc=5100",
        "--because", "read off the wrong line",
    )  # fmt: skip
    at.on(
        "2025-02-20", "miss", "GKV", "2w", "--condition", "COLD",
        "--because", "refrigerator being moved",
    )  # fmt: skip
    at.on("2025-03-06", "instrument", "calibrate", "PH2", "--slope", "93")
    at.on("2025-03-06", "instrument", "check", "VOWN", "--standard", "5000=4990")
    table = at.write(
        "march.csv",
        "sample,date,pH 1,pH 2,pH.instrument,viscosity,viscosity.instrument,"
        "viscosity.spindle,viscosity.sample_temperature,clarity\n"
        "@A BOTTLE ROOM@,2025-03-06,5.28,5.29,PH2,4400,VOWN,R3,25.0,clear\n"
        "@A BOTTLE T40@,2025-03-06,5.20,5.21,PH2,4200,VOWN,R3,24.9,slightly hazy\n",
    )
    at.told["file"] = at.type("2025-03-06", "log", "--from", table)
    cut = ("--from", "2025-03-20T22:00", "--to", "2025-03-21T07:00", "--side", "colder")
    at.on("2025-03-21", "storage", "event", "OVEN", "power cut", *cut)
    at.on(
        "2025-03-21", "storage", "answer", "OVEN", "--from", "2025-03-20",
        "--to", "2025-03-21", "--outcome", "continued",
        "--because", "9 h of 8 weeks, colder than meant",
    )  # fmt: skip
    at.told["slope"] = at.on(
        "2025-04-03", "instrument", "calibrate", "PH2", "--slope", "88"
    )


def _gel_ends(at: Bench) -> None:
    """Follow up a hazy bottle, answer at the screen."""
    _gel_day(at, "2025-04-03", "VOWN", "25.1")
    picture = at.photograph("bottle.png", (225, 230, 235))
    dead = ("pH=not-measured", "--because", "electrode dead")
    at.on("2025-04-03", "log", "@A BOTTLE ROOM", "visc=4350", "clarity=0", *dead)
    at.on(
        "2025-04-03", "log", "@A BOTTLE COLD", "visc=4420", "clarity=0", "cold=hazy",
        *dead,
    )  # fmt: skip
    at.told["hazy"] = at.on(
        "2025-04-03", "log", "@A BOTTLE T40", "visc=4100", "clarity=hazy", *dead,
        "--photo", f"clarity={picture}",
    )  # fmt: skip
    at.on(
        "2025-04-03", "follow-up", entry_of(at.told["hazy"], "GKV", "clarity"),
        *CHECKED, "--outcome", "confirmed", "--because", "hazy on the next day too",
    )  # fmt: skip
    at.on("2025-05-06", "instrument", "calibrate", "PH2", "--slope", "99")
    _gel_day(at, "2025-05-06", "VOWN", "24.8")
    at.told["screen"] = at.answer(
        "2025-05-06", "GKV", "@A BOTTLE ROOM", "0", "5.27/5.28", "4300"
    )


def live_cream(at: Bench) -> None:
    """Live through the study of the cream."""
    _cream_begins(at)
    _cream_in_heat(at)
    _cream_at_4w_and_8w(at)
    _cream_ends(at)


def live_balm(at: Bench) -> None:
    """Live through the study of the balm."""
    _balm_begins(at)
    _balm_in_heat(at)
    _balm_ends(at)


def live_gel(at: Bench) -> None:
    """Live through the study of the gel."""
    _gel_begins(at)
    _gel_goes_on(at)
    _gel_ends(at)
