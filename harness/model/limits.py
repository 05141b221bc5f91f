"""How large, long, deep or many anything that is read may be: every limit once, with its reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limit:
    """The most of one thing, and why; what goes beyond is a mistake told where it stands."""

    name: str
    of: str  # what it is a limit of, as a heading
    what: str
    most: int
    unit: str
    why: str

    def __str__(self) -> str:
        return f"{self.most:,} {self.unit}" if self.unit != "bytes" else size(self.most)


def size(many: int) -> str:
    """Bytes in words: "2 MB", "200 kB", "1.5 MB"."""
    return f"{many / 1e6:,.12g} MB" if many >= 1_000_000 else f"{many / 1e3:,.12g} kB"


SURVEY, BOOK, COUNTS, WORDS = "survey in YAML", "workbook", "what a machine has", "names and figures"
CATALOGUE, KITS, LISTS = "catalogue", "kits", "price lists and what belongs to a quote"
DATA, RECORD = "design data and readings", "record"
_TABLE = (
    ("survey bytes", SURVEY, "size of the file", 2_000_000, "bytes",
     "a machine of 10,000 wires with its remarks has about 1.5 MB"),
    ("survey depth", SURVEY, "lists and mappings inside one another", 12, "levels", "a survey needs 5"),
    ("survey entries", SURVEY, "entries; an alias (`*name`) counts as all it stands for", 150_000, "entries",
     "a machine of 10,000 wires has some 110,000; a few aliases of aliases would be millions"),
    ("key letters", SURVEY, "length of a key", 1_024, "letters", "YAML 1.2 looks no further for the colon"),
    ("mistakes told", SURVEY, "mistakes told at once", 200, "mistakes",
     "more than anybody reads; the rest is told when these are mended"),
    ("message letters", SURVEY, "letters told of one mistake; the middle is left out", 1_000, "letters",
     "a value of a million letters would hide all other mistakes"),
    ("workbook bytes", BOOK, "size of the file, photos and all", 100_000_000, "bytes",
     "photos may lie in it; they are never opened"),
    ("workbook parts", BOOK, "files packed inside it", 5_000, "files",
     "a photo is one; more is no workbook of a machine"),
    ("unzipped bytes", BOOK, "all parts that are read, unzipped", 60_000_000, "bytes",
     "10,000 wires have some 15 MB; a few kB can unpack to thousands of MB"),
    ("workbook cells", BOOK, "filled cells", 1_000_000, "cells", "more than any machine fills"),
    ("workbook letters", BOOK, "letters in all cells, a text counted each time it is used", 20_000_000,
     "letters",
     "one long text may be used by every cell"),
    ("name letters", WORDS, "name of a part, place, body, zone, mode or circuit", 80, "letters",
     "more fits no label and no drawing"),
    ("note letters", WORDS, "a note, and the text of one path", 2_000, "letters", "a page"),
    ("quantity letters", WORDS, "a figure with its unit", 60, "letters", "no honest figure is longer"),
    ("branch depth", WORDS, "parentheses inside one another in a path", 6, "levels",
     "deeper, nobody follows it with a finger: write several paths"),
    ("wires", COUNTS, "wires, a hop of two paths counted once", 10_100, "wires",
     "the largest that was built, all but the print, has 10,028"),
    ("parts", COUNTS, "parts", 6_000, "parts", "that machine has 5,592"),
    ("runs", COUNTS, "runs", 2_000, "runs", "that machine has 495; a chain of 1,000 was designed"),
    ("circuits", COUNTS, "circuits", 2_500, "circuits", "that machine has 2,031"),
    ("modes", COUNTS, "modes of work", 100, "modes", "each is solved by itself; 95 were designed"),
    ("zones", COUNTS, "zones", 100, "zones", "a machine has a handful of sorts of place"),
    ("ways of a panel", COUNTS, "ways of a fuse panel or coupler", 60, "ways",
     "more is a second one"),
    ("extra pieces", COUNTS, "spare pieces of one thing", 1_000, "pieces", "more is a slip of the pen"),
    ("spare wires", COUNTS, "spare wires on one line", 50, "wires", "more is a slip of the pen"),
    ("item letters", CATALOGUE, "a text of one item", 60, "letters", "more fits no line of the lists"),
    ("pieces in a pack", CATALOGUE, "pieces or metres in a pack", 100_000, "pieces",
     "more is a slip of the pen"),
    ("kit bytes", KITS, "size of one kit", 200_000, "bytes", "a kit has a few dozen lines"),
    ("kits in a folder", KITS, "kits in one folder", 500, "kits", "a folder with more is not one of kits"),
    ("small list bytes", LISTS, "list of offcuts, substitutions or pairings", 2_000_000, "bytes",
     "some 40,000 lines"),
    ("offcuts alike", LISTS, "offcuts of one length on a line", 1_000, "pieces", "more is a slip of the pen"),
    ("price list bytes", LISTS, "size of a price list", 20_000_000, "bytes", "100,000 lines of 200 letters"),
    ("price list rows", LISTS, "rows of a price list", 100_000, "rows", "a longer list is split"),
    ("price list columns", LISTS, "columns of a price list", 200, "columns", "a list needs 10"),
    ("price list cell", LISTS, "read of one cell; the rest is left out", 1_000, "letters",
     "a description has some 60"),
    ("price digits", LISTS, "digits of a figure", 15, "digits",
     "more cannot be held exactly by spreadsheets"),
    ("price", LISTS, "one price", 10_000_000, "of its currency", "more is a comma in the wrong place"),
    ("cable price", LISTS, "price of one metre of cable", 1_000_000, "of its currency",
     "more is a comma in the wrong place"),
    ("terms bytes", LISTS, "terms under a quote", 20_000, "bytes", "some five pages"),
    ("design bytes", DATA, "size of a design.json", 200_000_000, "bytes", "10,028 wires have 103 MB"),
    ("readings bytes", DATA, "file of readings", 50_000_000, "bytes",
     "the workbook of 10,028 wires has 7.5 MB"),
    ("reading letters", DATA, "one reading", 40, "letters", "no meter shows more"),
    ("record bytes", RECORD, "size of the record", 200_000_000, "bytes", "some 300,000 entries"),
    ("entry bytes", RECORD, "one entry with everything in it", 2_000_000, "bytes", "a note of 1 MB fits"),
    ("entry depth", RECORD, "lists and mappings inside one another in an entry", 20, "levels",
     "more than any entry has"),
    ("hours", RECORD, "hours of the machine", 10_000_000, "h", "more than any hours meter shows"),
    ("entry number", RECORD, "whole numbers in an entry", 2**53, "",
     "what every reader of JSON holds exactly (RFC 8259, section 6)"),
    ("attachment bytes", RECORD, "one file attached", 50_000_000, "bytes", "a photo is smaller"),
    ("attachments", RECORD, "files attached to one entry", 20, "files", "make two entries of more"),
)  # fmt: skip
LIMITS: Mapping[str, Limit] = {row[0]: Limit(*row) for row in _TABLE}
