"""What is said once where a place is as hot as the insulation stands, instead of wire by wire."""

from __future__ import annotations

from collections.abc import Iterator

from harness.electric.ruleset import rule_set
from harness.model.machine import Machine
from harness.rules.case import Case
from harness.rules.registry import Say, rule
from harness.tables import load

BETTER = (
    "use cable of a higher class there (SAE GXL, SXL, TXL, and SGX for battery cable: 125 °C; ISO class D:"
    " 150 °C)"
)
ROOM_K = 20.0  # what a better insulation should stand above the place, so that current has some of it


def _hot_zones(machine: Machine, limit_c: float) -> str:
    names = [zone.name for zone in machine.zones.values() if zone.ambient_c >= limit_c]
    return "zone " + ", ".join(f"{name!r}" for name in names) if names else "the way"


def _standing(machine: Machine, hottest_c: float) -> str:
    """The first cable of the system that stands a place: "GXL, which stands 125 °C"; "" for none."""
    if machine.cable.startswith("class "):
        rows = load("cable_temperature_class_iso").rows
        known = {f"class {row['class']}": row["temp_max_C"] for row in rows}
    else:
        light = [row for row in load("sae_j1128_types").rows if row["standard"] == "SAE J1128"]
        usual_first = sorted(light, key=lambda row: row["wall"] != "general purpose")
        known = {row["type"]: row["temp_max_C"] for row in usual_first}
    fits = next((name for name, most in known.items() if most and float(most) >= hottest_c + ROOM_K), None)
    return f"{fits}, which stands {known[fits]} °C" if fits else ""


@rule(
    "place too hot for cable",
    severity="danger",
    summary="it is as hot on the way of a wire as its insulation stands: it may carry nothing, in any size",
    source="sae_j1128_types (SAE J1128, read), cable_temperature_class_iso (ISO 6722-1, read-from-secondary)",
    cure="choose cable that stands more heat, or lead the wires a cooler way",
)
def too_hot(case: Case) -> Iterator[Say]:
    by_cable: dict[str, list[int]] = {}
    for spec, wire in case.wires():
        if spec.index in case.too_hot:
            by_cable.setdefault(wire.cable, []).append(spec.index)
    for cable, indexes in by_cable.items():
        limit_c = rule_set(case.machine.rules, cable).insulation_c
        hottest_c = max(case.design.wires[index].ambient_c for index in indexes)
        better = _standing(case.machine, hottest_c)
        write = f"write cable: {better}, in section machine; or " if better else ""
        if cable != case.machine.cable:  # of single wires
            write = f"{BETTER}; or "
        yield Say(
            case.number(indexes[0]),
            f"{cable} stands {limit_c:g} °C, and it is {hottest_c:g} °C in "
            f"{_hot_zones(case.machine, limit_c)}: with no room left to warm up, wires there may carry "
            f"nothing, however thick: {case.numbers(indexes)}",
            f"{write}lead them a cooler way; ambient is the air in the shade there, so measure that first",
            case.machine.wires[indexes[0]].where,
        )
