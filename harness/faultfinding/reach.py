"""How hard it is to get a probe onto a point: it counts when the next measurement is chosen, and is said."""

from __future__ import annotations

from harness.electric.graph import Node
from harness.faultfinding.patient import Patient

# Shares of what a reading tells that are left for the trouble of getting there: a choice of ours.
COVERED, COUPLED = 0.97, 0.92


def _closed(place: str, patient: Patient) -> bool:
    machine = patient.plant.machine
    zone = machine.zones.get(machine.place_zones.get(place, ""))
    return zone is not None and zone.closed


def ease(node: Node, patient: Patient) -> float:
    """1 where the point lies open, less where something is in the way."""
    part = patient.plant.machine.parts.get(node.name) if node.kind == "terminal" else None
    if part is None:
        return 1.0
    return (COVERED if _closed(part.place, patient) else 1.0) * (COUPLED if part.role == "coupler" else 1.0)


def reach_words(node: Node, patient: Patient) -> str:
    """Where the point is and what has to come off or be reached past."""
    part = patient.plant.machine.parts.get(node.name) if node.kind == "terminal" else None
    if part is None:
        return "scraped bright" if node.kind == "body" else ""
    said = [part.place]
    if part.role == "coupler":
        said.append("with a thin probe from behind, beside the wire")
    if _closed(part.place, patient):
        said.append("behind a cover")
    return ", ".join(said)
