"""The test sheet of a machine: everything to measure, by what it is about, in the order of first power."""

from __future__ import annotations

from harness.commissioning import bands
from harness.commissioning.cold import continuity, isolation
from harness.commissioning.cranking import cranking_tests
from harness.commissioning.guarding import backfeeds, interlocks
from harness.commissioning.heavy import heavy_tests
from harness.commissioning.touch import first_touch
from harness.commissioning.trial import Sheet, Test
from harness.model.design import Design


def staged(design: Design) -> dict[str, list[Sheet]]:
    """Stage -> its sheets; a stage with nothing to measure is there and empty."""

    def one(key: str, title: str, rows: list[Test], note: str = "") -> list[Sheet]:
        return [Sheet(key, title, tuple(rows), note)] if rows else []

    return {
        "dead": one("dead", "Dead tests", bands.dead(design), "Battery leads off, all fuses out."),
        "isolation": one(
            "isolation", "Insulation behind each fuse", isolation(design),
            "Battery leads off. An insulation tester of 500 V only with everything unplugged that holds "
            "electronics.",
        ),
        "wires": one(
            "wires", "Wires, end to end", continuity(design),
            "Battery leads off. Take off what the meter's leads show when held together; nothing to any "
            "other wire. An ohmmeter finds an open or a wrong wire, not a thin joint: the volts lost under "
            "load do.",
        ),
        "rest": one("rest", "Battery at rest", bands.rest(design)),
        "lamp": one("lamp", "First touch through a lamp", first_touch(design)),
        "circuits": bands.loads(design),
        "fuses": one("fuses", "Fuses", bands.fuse_tests(design)),
        "interlocks": one(
            "interlocks", "What must refuse to start", interlocks(design),
            "Fuel off, nobody by what may turn, small wire off the starter's solenoid.",
        ),
        "starting": one("starting", "Starting", cranking_tests(design) + bands.starting(design)),
        "joints": one(
            "joints", "Joints of the starter cables", heavy_tests(design),
            "Drive in neutral, brake on, fuel off. Crank 5 s for each reading, 15 s at most, then let it "
            "cool.",
        ),
        "charging": one("charging", "Charging", bands.charging(design)),
        "stopping": one("stopping", "Key off", backfeeds(design)),
        "straps": one("straps", "Straps and ground cables", bands.straps(design)),
        "parked": one("parked", "Parked", bands.parked(design)),
    }  # fmt: skip


def sheets_of(design: Design) -> list[Sheet]:
    """Every sheet in its order."""
    return [sheet for sheets in staged(design).values() for sheet in sheets]


def by_key(design: Design) -> dict[str, Test]:
    """Every test by its key, in its order."""
    return {test.key: test for sheet in sheets_of(design) for test in sheet.rows}
