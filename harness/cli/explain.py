"""Words and JSON on one wire: its limits, its loads, what a thinner one would break, how long it is cut."""

from __future__ import annotations

from difflib import get_close_matches

import click

from harness.model.design import Design, LoadResult, Wire
from harness.signs import json_text


def _names(design: Design) -> list[str]:
    """Modes, parts and spare wires, which can be explained too."""
    return [
        *(wire.number for wire in design.spares),
        *(mode.name for mode in design.modes),
        *(part.name for part in design.parts),
    ]


def _found(design: Design, number: str) -> int:
    """Place of a wire in the design; raises click.UsageError for a number that is not there."""
    numbers = [wire.number for wire in design.wires]
    if number not in numbers:
        near = get_close_matches(number, [*numbers, *_names(design)], n=3, cutoff=0.3)
        hint = f"; near it: {', '.join(near)}" if near else ""
        raise click.UsageError(
            f"there is no wire, mode or part {number!r}{hint}. `harness size` lists all wires."
        )
    return numbers.index(number)


def _stuck(design: Design, at: int) -> list[LoadResult]:
    """Loads on a wire that no size feeds."""
    on_it = {load.load for load in design.wires[at].loads}
    return [load for load in design.loads if load.freeing and load.part in on_it]


def _lengths(wire: Wire) -> list[tuple[str, float]]:
    return [
        (f"along {', '.join(wire.runs) or 'no run, both ends at one place'}", wire.run_length_m),
        *((addition.what, addition.length_m) for addition in wire.additions),
    ]


def _spare(wire: Wire) -> list[tuple[str, str]]:
    """What a spare wire is, where it lies and how its length is made up."""
    what = f"{wire.size} {wire.cable} {wire.colour}, on nothing, capped and labelled at both ends"
    lies = f"{wire.from_.place} to {wire.to.place}"
    lengths = [(f"{length_m:.3f} m", words) for words, length_m in _lengths(wire)]
    return [(wire.number, what), ("lies", lies), *lengths, (f"{wire.length_m:.3f} m", "in all")]


def _settled(design: Design, name: str) -> list[tuple[str, str]]:
    """What a mode, a load or a spare wire comes to; nothing for a wire's number, or no name at all."""
    from harness.book.settled import load_words, mode_words

    spare = next((wire for wire in design.spares if wire.number == name), None)
    if spare is not None:
        return _spare(spare)
    if name in [wire.number for wire in design.wires]:
        return []
    return (
        mode_words(design, name) if name in [mode.name for mode in design.modes] else load_words(design, name)
    )


def print_explained(design: Design, number: str) -> None:
    """Everything that decided one wire, or what a mode or load comes to.

    Raises click.UsageError for what is not there.
    """
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from harness.book.explain import print_explain
    from harness.book.summary import writable
    from harness.book.text import one_line

    words = _settled(design, number)
    if words:
        console = Console(highlight=False)
        table = Table.grid(padding=(0, 2))
        for pair in words:
            table.add_row(*(Text(writable(text, console.encoding)) for text in pair))
        console.print(table)
        return
    at = _found(design, number)
    wire = design.wires[at]
    console = Console(highlight=False)
    print_explain(design, number, console)
    for load in _stuck(design, at):
        console.print(f"No size feeds {one_line(load.part)}", style="bold", markup=False)
        for sentence in load.freeing:
            console.print(f"  {one_line(sentence)}", markup=False)
    console.print("Cut length", style="bold")
    for what, length in _lengths(wire):
        console.print(f"  {length:8.3f} m  {what}", markup=False)
    console.print(f"  {wire.length_m:8.3f} m  in all", markup=False)


def explained_json(design: Design, number: str) -> str:
    """The same for a program; raises click.UsageError for what is not there."""
    from harness.book.data import design_dict

    words = _settled(design, number)
    if words:
        rows = [{"about": about, "words": text} for about, text in words]
        return json_text({"name": number, "settled": rows})
    at = _found(design, number)
    wire = design.wires[at]
    data = {
        "wire": design_dict(design)["wires"][at],
        "not_fed": [{"load": load.part, "freeing": load.freeing} for load in _stuck(design, at)],
        "cut_length": [{"what": what, "length_m": length} for what, length in _lengths(wire)],
    }
    return json_text(data)
