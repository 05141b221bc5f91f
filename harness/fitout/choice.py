"""What the rules for wire ends look at and what they answer, before shrink and label are added."""

from __future__ import annotations

from dataclasses import dataclass

from harness.model.design import Point, Wire
from harness.model.machine import Machine, Part, Terminal
from harness.tables import load, names, remembered


@dataclass(frozen=True, slots=True)
class Surroundings:
    """How hard it is on a joint at a place."""

    wet: bool
    closed: bool

    @property
    def sheltered(self) -> bool:
        """Dry and out of reach: an insulated terminal is enough there."""
        return self.closed and not self.wet


@dataclass(frozen=True, slots=True)
class Landing:
    """One end of a wire with the terminal it lands on and the other ends there."""

    wire: Wire
    point: Point
    part: Part | None  # None at a splice
    terminal: Terminal | None  # None at a splice, or when the part has no such terminal
    around: Surroundings
    together: tuple[Wire, ...]  # every wire on this terminal, this one too, as they stand in the design
    mates: tuple[Wire, ...] = ()  # on the other half of this way of a coupler

    @property
    def new(self) -> tuple[Wire, ...]:
        """The wires on this terminal that are made, not kept."""
        return tuple(wire for wire in self.together if not wire.kept)

    @property
    def first(self) -> bool:
        """Whether this is the first new wire on its terminal."""
        return self.new[0].number == self.wire.number


@dataclass(frozen=True, slots=True)
class Choice:
    """What goes on a wire end."""

    terminal: str = ""
    stud: str = ""
    strip_mm: float = 0.0
    notes: tuple[str, ...] = ()
    tables: tuple[str, ...] = ()
    covers_mm: float | None = None  # diameter of what the heat-shrink covers, None when there is none
    covers_long_mm: float = 0.0  # length of it
    splices: bool = False  # with wire at both sides of it
    sealed: bool = False  # adhesive-lined whatever the place
    seal: str = ""  # what is threaded on last, behind the contact
    joins: str = ""  # the barrel it shares, in words: "splice S1"; "" when it has its own terminal
    capped: bool = False  # nothing is crimped: the end is shut with heat-shrink
    die: str = ""  # what it is crimped with, in the words of ``dies``
    barrel_of: tuple[Wire, ...] = ()  # all wires of the barrel, where several share it


def none(*notes: str, tables: tuple[str, ...] = ()) -> Choice:
    """No terminal, and why."""
    return Choice(notes=notes, tables=tables)


def surroundings(machine: Machine, place: str) -> Surroundings:
    """The zone of a place; a place with none is taken as wet and open, the harder case."""
    zone = machine.zones.get(machine.place_zones.get(place, ""))
    return Surroundings(zone.wet, zone.closed) if zone else Surroundings(wet=True, closed=False)


@remembered
def citation(tables: tuple[str, ...]) -> str:
    """The sources of some tables, each once, in the order given; what is no table stands for itself."""
    return "; ".join(dict.fromkeys(str(load(name).source) if name in names() else name for name in tables))
