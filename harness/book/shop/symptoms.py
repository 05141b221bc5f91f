"""The fault-finding chapter: from the symptom to the bad joint, with what a sound machine shows."""

from __future__ import annotations

from harness.book.shop.blocks import Block, Chapter, Grid, Head, Line, Warning_, Words
from harness.lists.symptoms import FuseFacts, LoadTests, Symptom, fuse_facts, load_tests, symptoms
from harness.model.design import Design

_TESTS = (Head("Test"), Head("Where"), Head("Healthy"), Head("If not"))
_LOADS = (Head("Load"), Head("In mode"), Head("At it"), Head("Live side, back to its fuse"), Head("Return"))
_FUSES = (
    Head("Fuse"), Head("Without it dies"), Head("First contacts behind it"), Head("May add A", "number"),
    Head("Held by"),
)  # fmt: skip


def _symptom(one: Symptom) -> Grid:
    rows = tuple(Line((test.what, test.where, test.healthy, test.if_not)) for test in one.tests)
    return Grid(_TESTS, rows, f"{one.title} (mode {one.mode})")


def _load(one: LoadTests) -> Line:
    return Line((one.load, one.mode, one.at_it, one.live_side, one.return_side))


def _fuse(one: FuseFacts) -> Line:
    return Line((one.fuse, one.dies, one.contacts, f"{one.spare_a:.1f}", one.held_by))


def fault_finding(design: Design) -> Chapter:
    """Return the chapter; `harness trace` and `harness diagnose` go by the same network."""
    blocks: list[Block] = [
        Warning_(
            (
                "Machine chocked, nobody near what may start to turn, rings and watch off. Cranking tests "
                "with the fuel off.",
                "A likely fault is not a proven one: measure before you part or renew anything. The machine "
                "maker's instructions and local codes go first.",
            )
        ),
        Words(
            "Volts are from the chassis post of the battery, black probe there, with everything of the mode "
            "on; a battery that stands some tenths higher or lower shifts them all. Where the volts are "
            "right at one point and wrong at the next, the fault lies between the two. Where a motor does "
            "not turn, or a load does not draw, all before the fault stands near the battery's own volts."
        ),
        *map(_symptom, symptoms(design)),
        Words(
            "Dead: no volts on its live side, or volts on both sides (its return is open). Dim or slow: "
            "less on the live side, or more on the return side, than stands here. Go back point by point.",
        ),
        Grid(_LOADS, tuple(map(_load, load_tests(design))), "Any load: dead or dim", cards=True),
        Words(
            "A fuse that blows at once has its short before the first contact behind it; one that blows when "
            "a contact closes has it behind that contact. Never a larger fuse. May add: what fuses, wires "
            "and charging leave over on the way to that fuse, all else on. Not the volts: put the new load "
            "into the survey and design again before it is fitted."
        ),
        Grid(_FUSES, tuple(map(_fuse, fuse_facts(design))), "Fuse by fuse", cards=True),
    ]
    kept = tuple(block for block in blocks if not isinstance(block, Grid) or block.rows)
    return Chapter("faults", "Fault-finding", kept)
