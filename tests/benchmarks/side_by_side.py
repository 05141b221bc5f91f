"""One network solved by us and by ngspice: ours within the process, and each as a process from a file.

On terms as equal as can be had: each side gets the whole network and its loads, nothing of an answer, and
hands back the volts of every node. ngspice reads its netlist; ours, which reads none, the network pickled.
"""

from __future__ import annotations

import pickle
import re
import subprocess
import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from harness.electric.currents import Plant
from harness.electric.netlist import netlist, node_numbers
from harness.electric.operating import Bench, Model, operating_point
from harness.electric.ruleset import rule_set
from harness.electric.sizing import Sizing, size_machine
from harness.loom.routing import route
from harness.model.machine import Machine
from harness.survey import read
from tests.benchmarks.machines import survey

MODE = "night work"
OURS = """
import pickle, sys
from harness.electric.operating import operating_point
volts = operating_point(pickle.load(open(sys.argv[1], "rb"))).volts
print("\\n".join(f"{each:.9g}" for each in volts.values()))
"""


@cache
def machine_of(wires: int) -> Machine:
    """A generated machine, read."""
    return read("generated.yaml", text=survey(wires).encode())


@cache
def sizing_of(wires: int) -> Sizing:
    """The same, routed and sized."""
    machine = machine_of(wires)
    return size_machine(machine, route(machine), rule_set(machine.rules, machine.cable))


@cache
def model_of(wires: int) -> Model:
    """The network of a generated machine at night, sized, with every load on."""
    sizing = sizing_of(wires)
    plant = Plant(machine_of(wires), sizing.edges)
    found = next(each for each in plant.activities if each.mode.name == MODE)
    model = Bench(plant, found, sizing.ohms).model("all on")
    assert model is not None
    return model


def written(wires: int, folder: Path) -> tuple[Path, Path]:
    """The same network as a netlist and pickled."""
    model = model_of(wires)
    spice, ours = folder / f"{wires}.cir", folder / f"{wires}.pickle"
    spice.write_text(netlist(model, "generated"), encoding="ascii")
    ours.write_bytes(pickle.dumps(model))
    return spice, ours


def by_ngspice(path: Path) -> str:
    """What ngspice prints as a process of its own."""
    ran = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, check=False)
    return ran.stdout


def by_our_process(path: Path) -> str:
    """What our solve prints as a process of its own, the start of Python with it."""
    return subprocess.run(
        [sys.executable, "-c", OURS, str(path)], capture_output=True, text=True, check=True
    ).stdout


def by_us(model: Model) -> Mapping[object, float]:
    """Our solve within the process."""
    return operating_point(model).volts


def furthest_apart_v(model: Model, printed: str) -> float:
    """Most that any node differs between ours and what ngspice printed [V]."""
    theirs = {int(at): float(volts) for at, volts in re.findall(r"^v?\(?(\d+)\)? = (\S+)", printed, re.M)}
    ours = by_us(model)
    return max(abs(ours[node] - theirs[at]) for node, at in node_numbers(model).items() if at)
