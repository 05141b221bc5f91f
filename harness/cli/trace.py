"""`harness trace`: the way from the battery to a part and back, or what a found wire is."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness.cli.options import CATALOGUE, JSON, RULES, SURVEY, machine_from
from harness.signs import json_text

if TYPE_CHECKING:
    from harness.lists.lookup import Found, Sought
    from harness.lists.wayto import Atlas, WayTo
    from harness.model.design import Design

MOST_WAYS = 1  # through a switch, fuse or wire: the rest is named


@click.command()
@SURVEY
@click.argument("name", metavar="[PART]", required=False, default="")
@click.option("--mode", help="The mode the volts are for [the one in which the part draws].")
@click.option("--label", default="", help="What is written on a wire that was found.")
@click.option("--colour", default="", help="Its colour: 'RD/BK', or 'RD' with any tracer.")
@click.option("--place", default="", help="A place where it ends or that it passes.")
@click.option("--terminal", default="", help="A terminal it lands on: '87', or 'horn relay 87'.")
@RULES
@CATALOGUE
@JSON
def trace(
    survey: Path, name: str, mode: str | None, label: str, colour: str, place: str, terminal: str,
    rules: str | None, catalogue: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Print the way from the battery to PART and back, with the volts to expect at every point.

    PART is a load, relay, switch, fuse, splice, terminal, wire or label. In place of it --label, --colour,
    --place and --terminal, one or more, tell which wires a wire found on the machine can be.
    """
    from harness.book.text import one_line
    from harness.cli.faultfinding import bedded_of
    from harness.lists.lookup import NotThere, Sought

    sought = Sought(label, colour, place, terminal)
    if bool(name) == (sought != Sought()):
        raise click.UsageError(
            "give a PART, or what is known of a wire: --label, --colour, --place, --terminal"
        )
    design, _ = bedded_of(machine_from(survey, rules, as_json, catalogue))
    try:
        told = traced(design, name, mode, as_json=as_json) if name else _wires(design, sought, mode, as_json)
    except NotThere as error:
        raise click.UsageError(one_line(str(error))) from None
    click.echo(told)


def _mode(design: Design, mode: str | None, part: str) -> str:
    from harness.cli.sizable import mode_named
    from harness.lists.wayto import best_mode, modes_of

    return best_mode(design, part) if mode is None else mode_named(mode, modes_of(design))


def _busiest(design: Design, found: Found) -> str:
    """The part whose mode is taken for a thing that draws nothing itself: the first that it feeds."""
    from harness.lists.wayto import Atlas, modes_of

    for mode in reversed(modes_of(design)):
        for way in Atlas(design, mode).through(found.keys, found.spots)[:1]:
            return way.part
    return ""


def _ways(atlas: Atlas, found: Found) -> tuple[list[WayTo], list[WayTo]]:
    """A part's own loads, and the loads whose current passes through it."""
    own = [way for way in atlas.loads if found.part and way.part == found.part]
    through = [way for way in atlas.through(found.keys, found.spots) if way.part != found.part]
    return own, through


def _heading(found: Found, own: list[WayTo], through: list[WayTo]) -> list[str]:
    lines = [found.about]
    if not own and not through:
        lines.append("no load's current passes here")
    return lines


def traced(design: Design, name: str, mode: str | None, *, as_json: bool) -> str:
    """What a name stands for and the ways through it, in words or as JSON; raises NotThere."""
    from harness.book.text import one_line
    from harness.lists.lookup import looked_up
    from harness.lists.wayto import Atlas

    found = looked_up(Atlas(design, ""), name)
    atlas = Atlas(design, _mode(design, mode, found.part or _busiest(design, found)))
    own, through = _ways(atlas, found)
    if as_json:
        return json_text(_data(atlas, found, own, through))
    return "\n".join(map(one_line, _text(atlas, found, own, through)))


def _text(atlas: Atlas, found: Found, own: list[WayTo], through: list[WayTo]) -> list[str]:
    from harness.lists.waywords import shared_words, state_words, way_lines

    lines = _heading(found, own, through)
    lines.append("volts from the chassis post of the battery, all sound; black probe there")
    for way in own:
        lines += ["", *way_lines(atlas, way)]
    others = [way for way in through if (way.part, way.link) in atlas.on] or through[:1]
    for way in others[: 1 if own else MOST_WAYS]:
        head = f"through {found.about.partition(':')[0]} to "
        first, *rest = way_lines(atlas, way, found.keys)
        lines += ["", head + first, *rest]
    left = [way for way in through if way not in others[: 1 if own else MOST_WAYS]]
    if left:
        names = list(dict.fromkeys(way.part for way in left))
        lines += ["", f"also on it: {shared_words(names)}"]
    if found.part and not own:
        lines += ["", f"no way leads from the battery to {found.part}: {atlas.mode}"]
    if own and not any((way.part, way.link) in atlas.on for way in own):
        lines += ["", f"{found.part} draws nothing in mode {atlas.mode}: {state_words(atlas, own[0])}"]
    return lines


def _data(atlas: Atlas, found: Found, own: list[WayTo], through: list[WayTo]) -> dict[str, Any]:
    from harness.lists.waywords import way_data

    return {
        "about": found.about,
        "mode": atlas.mode,
        "ways": [way_data(atlas, way) for way in own],
        "through": [way_data(atlas, way) for way in through],
    }


def _wires(design: Design, sought: Sought, mode: str | None, as_json: bool) -> str:
    from harness.book.text import one_line
    from harness.lists.lookup import wires_like
    from harness.lists.waywords import wire_about

    wires = wires_like(design, sought)
    spares = {wire.number for wire in design.spares}
    if len(wires) == 1 and wires[0].number not in spares:
        return traced(design, f"wire {wires[0].number}", mode, as_json=as_json)
    if as_json:
        rows = [
            {
                "wire": wire.number, "about": wire_about(wire), "spare": wire.number in spares,
                "labels": [wire.from_end.label, wire.to_end.label],
            }
            for wire in wires
        ]  # fmt: skip
        return json_text({"wires": rows})
    if not wires:
        return "no wire fits all of that: leave one of them out"
    note = {True: "; a spare, capped at both ends", False: ""}
    return "\n".join(one_line(wire_about(wire) + note[wire.number in spares]) for wire in wires)
