"""The list of mistakes people make when they rewire old machines: each has a rule, or a reason why not.

The forty are those of the practitioners' list the rules were written from, in its order and with its numbers.
"""

from __future__ import annotations

import pytest

from harness.rules import register
from tests.rules.trials import TRIALS

# number, mistake -> the rules that catch it
RULES: dict[tuple[int, str], tuple[str, ...]] = {
    (1, "feed with no fuse"): ("unfused feed", "starter cable unfused", "no battery isolator"),
    (2, "fuse too far from the source"): ("fuse far from source",),
    (3, "fuse bigger than the wire"): ("fuse above wire", "fuses side by side", "fuse too slow for its wire"),
    (4, "fuse too close to the load"): ("fuse too close to load", "fuse blows on inrush"),
    (5, "charge wire left at dynamo size"): ("charge wire too small", "charge fuse too small"),
    (6, "ammeter carries everything"): ("ammeter carries everything", "starter through ammeter"),
    (7, "alternator on the wrong side of the ammeter"): ("alternator past the ammeter",),
    (8, "ammeter across the supply"): ("ammeter across the supply",),
    (9, "exciter backfeed"): ("exciter backfeed",),
    (10, "no exciter path, or of a wrong value"): ("no exciter path", "exciter lamp too weak"),
    (11, "preheat through the key switch"): ("preheat through the key", "contact overloaded"),
    (12, "series plugs taken as parallel"): ("heater plugs in series", "part of another voltage"),
    (13, "pull coil left energised, or on a small switch"): (
        "pull coil left energised", "pull-in through a small switch",
    ),
    (14, "coil without suppression"): ("coil without suppression", "polarised part reversed"),
    (15, "start interlock missing"): ("start interlock missing",),
    (16, "starter trigger too thin, too many contacts"): ("starter trigger drop",),
    (17, "return through a hinge, pivot, mount or paint"): ("body with no strap", "thin way round a strap"),
    (18, "no return from an insulated cab or hood"): ("body with no strap", "strap overloaded"),
    (19, "strap below the starter cable"): ("strap smaller than starter cable", "starter ground drop"),
    (20, "return too small although the feed is right"): ("load starved", "charge line drop"),
    (21, "positive-earth machine treated as negative"): ("polarised part reversed", "positive ground"),
    (22, "fuse in the earth side"): ("fuse in the ground side",),
    (23, "mixed 6, 12 and 24 V parts"): ("part of another voltage", "battery voltage differs"),
    (24, "12 V from the middle of a 24 V pair"): ("load on the middle of a pair",),
    (25, "mid-point tap and isolator in the earth lead"): ("middle tap with isolator in the ground lead",),
    (26, "isolator opened with the engine running"): ("isolator under a running engine",),
    (27, "both batteries joined under crank, or unfused"): ("split-charge relay", "unfused feed"),
    (28, "metal hole without grommet"): ("hole without grommet", "bundle does not fit its hole"),
    (29, "loom on an edge, toolbox or hydraulic pipe"): ("run on an edge or hose",),
    (30, "wire near exhaust or manifold"): ("run near exhaust", "place too hot for cable"),
    (31, "too many terminals on one stud"): (
        "terminal with too many wires", "terminal does not fit", "stud overloaded",
    ),
    (32, "rings of different metal"): ("copper on aluminium",),
    (33, "insulated return with a chassis-return gauge"): ("sender needs its own return", "no return path"),
    (34, "sender value does not match the gauge"): ("sender does not match gauge",),
    (35, "reverse feed between lamps by a lost earth"): (
        "filaments share one bracket", "open ground feeds the engine",
    ),
    (36, "one failure kills both head lamps or all brake lamps"): (
        "head lamps on one fuse", "brake lamps on one fuse", "safety function shares its fuse",
    ),
    (37, "load sum greater than the charger"): ("alternator overloaded", "battery not charged"),
    (38, "clamp-on repair ends, thin modern leads"): ("clamp-on cable end", "kept wire too small"),
    (39, "all one colour, unlabelled"): ("wire without label",),
    (40, "hidden link, diode or ballast"): ("hidden parts not looked for",),
}  # fmt: skip

# What the issue asks for beyond that list.
ASKED: dict[str, tuple[str, ...]] = {
    "two circuits sharing a fuse, one a safety function": ("safety function shares its fuse",),
    "lamp load on a switch above its contact rating": ("contact overloaded",),
    "relay contact or connector above rating": ("contact overloaded", "connector overloaded"),
    "wire near fuel line": ("run near fuel line",),
    "moving-joint wire not fine-stranded": ("moving wire not fine-stranded", "strap over a hinge"),
    "three lugs on a stud": ("terminal with too many wires",),
    "dissimilar spare ways": ("dissimilar spare ways", "few spare ways"),
    "missing main isolator": ("no battery isolator", "alive past the isolator"),
    "missing label": ("wire without label",),
    "starter main without a fuse named once": ("starter cable unfused",),
    "heater without relay": ("preheat through the key",),
    "return current of every body against what carries it": ("strap overloaded", "body off ground"),
}


def test_all_forty_mistakes_are_there() -> None:
    assert [number for number, _ in RULES] == list(range(1, 41))


@pytest.mark.parametrize("names", [*RULES.values(), *ASKED.values()], ids=[*map(str, RULES), *ASKED])
def test_each_has_a_rule_that_a_survey_triggers(names: tuple[str, ...]) -> None:
    known = {name for name, *_ in register()}
    tried = {trial.rule for trial in TRIALS}
    assert names
    for name in names:
        assert name in known
        assert name in tried


def test_the_register_is_more_than_forty_rules() -> None:
    assert len(register()) >= 40
