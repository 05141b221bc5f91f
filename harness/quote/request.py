"""A request for a quote: what machines need, in words a counter can pick from, prices left blank."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from harness.lists.measure import natural
from harness.model.pricing import Need
from harness.quote.quoting import amount_words, need_words
from harness.quote.result import Heading

MOST_USES = 6  # wires or runs named in one line
# What must not change where something equal is offered; common practice, as the counter's page of the guide.
OR_EQUAL: Mapping[str, str] = {
    "wire": "copper of this size or thicker, insulation for this heat or more, in this colour",
    "terminals": "the same wire range and the same stud or blade",
    "splices": "the same wire range",
    "heat-shrink": "the same widths before and after, lined where it says so",
    "grommets": "the same hole, inside and plate",
    "covering": "the same inside width, for this heat",
    "ties": "as long or longer, as wide or wider, resistant to weather where it says so",
    "fuses": "the same amps and the same form, nothing else",
    "relays": "the same volts and terminals, amps as many or more",
}
RULES = (
    "Wire: thicker may be offered and is checked against its terminal, seal and loom before it is taken;"
    " thinner never. Insulation for more heat may be offered; a thinner wall changes seals and crimp dies."
    " Copper-clad aluminium never. Another colour only where it is said: drawings and labels go by it.",
    "Lengths: no two ends are joined for one piece. Where a longest piece is named, one length must hold it.",
    "Fuses: the same rating and form, because the rating is matched to the wire. Relays and lamps: for the"
    " voltage of this machine.",
    "Cut wire, odd colours and made-up battery cables can usually not be returned: please say so in the"
    " quote.",
)


@dataclass(frozen=True, slots=True)
class Asked:
    """One line of a request."""

    at: int
    group: str
    what: str
    needed: str
    longest: str
    used_on: str


@dataclass(frozen=True, slots=True)
class Request:
    """A request for a quote, for paper and workbook."""

    heading: Heading
    program: str
    machines: tuple[str, ...]
    letter: bool
    lines: tuple[Asked, ...]

    def groups(self) -> Iterator[tuple[str, list[Asked]]]:
        """The lines by group, in their order."""
        for group in dict.fromkeys(line.group for line in self.lines):
            yield group, [line for line in self.lines if line.group == group]


def request_of(
    needs: Sequence[Need], designs: Sequence[Mapping[str, Any]], *, heading: Heading, program: str,
    machines: Sequence[str], letter: bool,
) -> Request:  # fmt: skip
    """What all machines need, line by line; sizes in gauges with their copper in mm2 beside them."""
    areas = {wire["size"]: float(wire["area_mm2"]) for data in designs for wire in data["wires"]}
    lines = []
    groups = list(dict.fromkeys(need.group for need in needs))
    for at, need in enumerate(sorted(needs, key=lambda one: groups.index(one.group)), start=1):
        what = need_words(need)
        if need.group == "wire" and need.size.endswith("AWG") and need.size in areas:
            what = what.replace(need.size, f"{need.size} ({areas[need.size]:.3g} mm2)", 1)
        longest = max((length for _, length in need.pieces), default=None)
        lines.append(
            Asked(
                at, need.group, what, amount_words(need),
                f"{longest.normalize():f} m" if longest is not None else "", _uses(need),
            )
        )  # fmt: skip
    return Request(heading, program, tuple(machines), letter, tuple(lines))


def _uses(need: Need) -> str:
    names = (
        sorted(dict.fromkeys(name for name, _ in need.pieces), key=natural) if need.group == "wire" else []
    )
    more = len(names) - MOST_USES
    return ", ".join(names[:MOST_USES]) + (f" and {more} more" if more > 0 else "")
