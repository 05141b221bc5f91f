"""What a person has settled for a machine: substitutions of the counter, and sizes that are in it already."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

ARROW = " > "  # between the ends of a wire in its name


@dataclass(frozen=True, slots=True)
class Accepted:
    """What was accepted; a spool is cable, size and colour as the cut list names them: "GXL 12 AWG WH/OG"."""

    bought: Mapping[str, str] = field(default_factory=dict)  # material -> part number of a price list
    sizes: tuple[str, ...] = ()  # not to be had: "GXL 12 AWG", or in one colour: "GXL 12 AWG RD"
    colours: Mapping[str, str] = field(default_factory=dict)  # spool -> colour letters it comes in instead
    cables: Mapping[str, str] = field(default_factory=dict)  # spool -> type or class of cable instead
    words: Mapping[str, str] = field(default_factory=dict, compare=False)  # material -> what is bought for it
    file: str = ""  # where it was read, "" for nothing read
    digest: str = ""
    wired: Mapping[str, str] = field(default_factory=dict)  # "battery + > starter 30" -> "SGX 2 AWG"


@dataclass(frozen=True, slots=True)
class Choice:
    """One substitution as a line of a file of choices."""

    section: str = ""  # "" where nothing can be accepted
    key: str = ""  # size, spool or material
    value: str = ""  # colour, cable or part number; "" for a size
    words: str = ""  # what is bought
