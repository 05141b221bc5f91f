"""The command line: each command reads, calls one library function, prints, and sets the exit code.

Exit codes: 0 good; 1 the design holds a danger; 2 the survey or the call is wrong, nothing written;
3 a file could not be read or written; 4 a fault of the program itself.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness import __version__
from harness.cli.group import SafeGroup
from harness.cli.prices import prices
from harness.cli.quote import quote
from harness.cli.startcommands import kits, start
from harness.cli.wanted import Options, size_options, wanted_of

if TYPE_CHECKING:
    from harness.model.design import Design
    from harness.model.machine import Machine

SURVEY = click.argument("survey", type=click.Path(path_type=Path, allow_dash=True))
RULES = click.option(
    "--rules", type=click.Choice(["sae", "iso"]), help="Size by this rule set instead of the survey's."
)
CATALOGUE = click.option(
    "--catalogue", type=click.Path(path_type=Path),
    help="Your own items, in place of those the survey names (`harness guide catalogue`).",
)  # fmt: skip
OFFCUTS = click.option(
    "--offcuts",
    type=click.Path(path_type=Path, allow_dash=True),
    help="Use first what lies on the shelf, by this CSV list (`harness guide counter`).",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON for programs.")


@click.group(
    cls=SafeGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(__version__, prog_name="harness")
def main() -> None:
    """Design the new wiring of an old machine: a survey in; sized wires, drawings, lists and findings out.

    Start with `harness guide`, which lists the pages of the guide.
    """


main.add_command(start)
main.add_command(kits)


@main.command()
@SURVEY
@CATALOGUE
@JSON
def check(survey: Path, catalogue: Path | None, as_json: bool) -> None:
    """Read SURVEY and report every mistake in it, with its place and what would be right."""
    from harness.cli.read import machine_of
    from harness.cli.say import checked_json, checked_text

    machine = machine_of(survey, catalogue=catalogue, as_json=as_json)
    click.echo(checked_json(machine) if as_json else checked_text(machine))


@main.command()
@SURVEY
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for the results [exports/NAME]."
)
@RULES
@CATALOGUE
@size_options
@OFFCUTS
@click.option("--no-paper", is_flag=True, help="Leave out book.pdf, which takes longest.")
@JSON
def build(
    survey: Path,
    out: Path | None,
    no_paper: bool,
    rules: str | None,
    catalogue: Path | None,
    offcuts: Path | None,
    as_json: bool,
    **picking: Any,
) -> None:
    """Design the loom of SURVEY and write drawings, workbook, shop book and data into a folder."""
    from harness.cli.second import Second

    with Second() as second:
        from harness.cli.build import build_files, default_out
        from harness.cli.say import built_json, print_built

        design = _stocked(survey, rules, catalogue, offcuts, picking, as_json=as_json)
        left_out = ["book.pdf"] if no_paper else []
        folder = out or default_out(survey)
        written = build_files(design, folder, second=second, leave_out=left_out, quiet=as_json)
    if as_json:
        click.echo(built_json(design, written))
    else:
        print_built(design, written)
    raise SystemExit(_code(design))


@main.command()
@SURVEY
@click.option(
    "--out",
    "-o",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the book [exports/NAME].",
)
@click.option(
    "--paper", type=click.Choice(["A4", "Letter"]), help="Paper of the PDF [Letter with gauges, A4 with mm2]."
)
@RULES
@CATALOGUE
@size_options
@OFFCUTS
def book(
    survey: Path,
    out: Path | None,
    paper: str | None,
    rules: str | None,
    catalogue: Path | None,
    offcuts: Path | None,
    **picking: Any,
) -> None:
    """Write the shop book of SURVEY twice: a page to be ticked off at the bench, and a PDF to print.

    The page opens in any browser, on a phone too, and needs no network.
    """
    from harness.cli.second import Second

    with Second() as second:
        from harness.cli.build import book_files, default_out

        design = _stocked(survey, rules, catalogue, offcuts, picking, as_json=False)
        written = book_files(design, out or default_out(survey), paper=paper, second=second, quiet=False)
    for path in written:
        click.echo(f"wrote {path}")
    raise SystemExit(_code(design))


@main.command()
@click.argument("survey", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for the results [exports/NAME]."
)
@click.option("--open", "show", is_flag=True, help="Open the book in the browser.")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8127,
    show_default=True,
    help="Port of this computer the book is shown at; 0 for any free one.",
)
@RULES
@CATALOGUE
@size_options
@OFFCUTS
def watch(
    survey: Path, out: Path | None, show: bool, port: int, rules: str | None, catalogue: Path | None,
    offcuts: Path | None, **picking: Any,
) -> None:  # fmt: skip
    """Make everything anew whenever SURVEY is saved; the book in the browser follows by itself.

    Only book.pdf is left out, for the sake of speed: `harness build` makes it.

    Findings are printed here, at first all, then those that came and went. While the survey is wrong its
    mistakes are listed, here and above the book, and the last good results stay. The book is shown at an
    address that only this computer can reach. Ctrl-C ends it.
    """
    from harness.cli.build import default_out
    from harness.cli.watch import watched

    watched(
        survey, out or default_out(survey), show=show, port=port, rules=rules, catalogue=catalogue,
        lists=tuple(path for path in (offcuts, picking["prices"]) if path is not None),
        design=lambda machine: _with_offcuts(machine, offcuts, picking, as_json=False),
    )  # fmt: skip


@main.command()
@SURVEY
@RULES
@CATALOGUE
@size_options
@JSON
def size(survey: Path, rules: str | None, catalogue: Path | None, as_json: bool, **picking: Any) -> None:
    """Print the table of wires of SURVEY: current, length, drop, ampacity and what decided each size."""
    from harness.cli.say import print_wires, wires_json

    design = _design(_machine(survey, rules, as_json, catalogue), picking, quiet=as_json)
    if as_json:
        click.echo(wires_json(design))
    else:
        print_wires(design)
    raise SystemExit(_code(design))


@main.command()
@SURVEY
@RULES
@CATALOGUE
@JSON
def assumed(survey: Path, rules: str | None, catalogue: Path | None, as_json: bool) -> None:
    """Print what was assumed of SURVEY, and what would change if it were 30 % more or less.

    What changes most comes first: measure that before you buy. Each figure is made wrong by itself and the
    machine designed again, its wires never thinner than they are; that takes a while.
    """
    from harness.cli.assumed import print_assumed

    print_assumed(_machine(survey, rules, as_json, catalogue), as_json=as_json)


@main.command("survey-sheets")
@click.argument("survey", type=click.Path(path_type=Path, allow_dash=True), required=False)
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="File to write [exports/NAME/survey-sheets.pdf, blank ones survey-sheets.pdf].",
)
@click.option("--sheet", type=click.Choice(["A4", "Letter"]), help="Paper [Letter with gauges, else A4].")
@click.option("--quick", is_flag=True, help="Do not work out what hangs on each assumed figure.")
@CATALOGUE
def survey_sheets(
    survey: Path | None, out: Path | None, sheet: str | None, quick: bool, catalogue: Path | None
) -> None:  # fmt: skip
    """Write sheets to take to the machine and fill in; blank ones without a SURVEY.

    Runs to measure with a string, parts to identify, old wires to tag, holes to calliper, zones to feel.
    What is known is filled in; what is assumed is asked for first, *** where a wire, a fuse or a fault
    hangs on it.
    """
    from harness.cli.assumed import sheets_content
    from harness.cli.build import default_out
    from harness.cli.files import write_all

    machine = _machine(survey, None, False, catalogue) if survey is not None else None
    name = Path("survey-sheets.pdf")
    file = out or (default_out(survey) / name if survey is not None else name)
    for path in write_all(file.parent, {file.name: sheets_content(machine, sheet, quick=quick)}):
        click.echo(f"wrote {path}")


@main.command("old-wires")
@SURVEY
@RULES
@CATALOGUE
@size_options
@JSON
def old_wires(survey: Path, rules: str | None, catalogue: Path | None, as_json: bool, **picking: Any) -> None:
    """Print what became of every old wire traced in SURVEY, and which new wires had none before them."""
    from harness.cli.oldwires import compared_json, compared_text

    machine = _machine(survey, rules, as_json, catalogue)
    design = _design(machine, picking, quiet=as_json)
    click.echo(compared_json(machine, design) if as_json else compared_text(machine, design))


@main.command()
@SURVEY
@click.argument("wire")
@RULES
@CATALOGUE
@size_options
@JSON
def explain(
    survey: Path, wire: str, rules: str | None, catalogue: Path | None, as_json: bool, **picking: Any
) -> None:
    """Print why one WIRE of SURVEY has its size, or what a mode or a part comes to.

    Every limit with its numbers, slack, formula and source, and which one decided; what the next size down
    would break; the loads on it and what they have to spare; how its length is made up. In place of the
    number of a wire the name of a mode or part tells what it settles at: volts, currents, charge balance.
    """
    from harness.cli.build import designed_of
    from harness.cli.explain import explained_json, print_explained

    wanted = wanted_of(**picking, as_json=as_json)
    machine, design = designed_of(_machine(survey, rules, as_json, catalogue), wanted, quiet=as_json)
    if as_json:
        click.echo(explained_json(machine, design, wire))
    else:
        print_explained(machine, design, wire)


@main.command()
@SURVEY
@click.argument(
    "kind", type=click.Choice(["circuit", "circuits", "loom", "board", "labels", "cards", "hookup"])
)
@click.option(
    "--sheet",
    type=click.Choice(["A4", "A3", "Letter", "Tabloid"]),
    help="Paper to print on [A4; circuits and loom choose].",
)
@click.option("--page", type=click.IntRange(min=1), help="This sheet alone, of circuits or loom [all].")
@click.option(
    "--board", default="2.4 x 1.2 m", show_default=True, help="Size of the board the loom is laid on."
)
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="File to write [exports/NAME/KIND.*].",
)
@RULES
@CATALOGUE
@size_options
def draw(
    survey: Path, kind: str, sheet: str | None, page: int | None, board: str, out: Path | None,
    rules: str | None, catalogue: Path | None, **picking: Any,
) -> None:  # fmt: skip
    """Make one drawing of SURVEY by itself: circuits, the loom's layout, or a PDF to print at full size.

    `circuit` draws the machine as current tracks: supply above, chassis below, a column for each load;
    `circuits` every circuit alone on a sheet, with the volts to expect at each point; `loom` every loom to
    scale, with what lands at each end.

    `board` gives a PDF to print at 100 % and glue together: the loom flat at 1:1, its trunk to and fro where
    it is longer than the board, with a nail at every tick and an overview of the sheets before them.
    `labels` are those for both ends of every wire; `cards` say what each fuse and coupler way is for;
    `hookup` shows every part with what lands on its terminals.
    """
    from harness.cli.draw import Wish, board_size, default_file, drawn
    from harness.cli.files import write_all

    wish = Wish(sheet, board_size(board), page)
    file = out or default_file(survey, kind)
    machine = _machine(survey, rules, False, catalogue)
    content = drawn(_design(machine, picking, quiet=False), kind, wish)
    for path in write_all(file.parent, {file.name: content}):
        click.echo(f"wrote {path}")


@main.command()
@SURVEY
@click.option("--mode", required=True, help="The mode to solve, as the survey names it.")
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="File to write [standard output]."
)
@click.option("--inrush", is_flag=True, help="Every load that has a peak at its peak.")
@RULES
@CATALOGUE
def netlist(
    survey: Path, mode: str, out: Path | None, inrush: bool, rules: str | None, catalogue: Path | None
) -> None:
    """Print the operating point of one mode of SURVEY as a SPICE netlist, to be checked with ngspice."""
    from harness.cli.files import write_all
    from harness.cli.netlist import netlist_text

    text = netlist_text(_machine(survey, rules, False, catalogue), mode, inrush=inrush)
    if out is None:
        click.echo(text, nl=False)
    else:
        write_all(out.parent, {out.name: text.encode()})
        click.echo(f"wrote {out}")


@main.command()
@SURVEY
@click.option("--mode", required=True, help="The mode the machine is in, as the survey names it.")
@click.option(
    "--reading",
    "readings",
    multiple=True,
    required=True,
    help="'left lamp + = 9.1 V', 'battery - to engine = 0.4 V', 'F4 = 3.2 A', 'horn = dead'; again for more.",
)
@RULES
@CATALOGUE
@JSON
def diagnose(
    survey: Path, mode: str, readings: tuple[str, ...], rules: str | None, catalogue: Path | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Print which single faults explain what was measured on SURVEY's machine, and where to measure next.

    Every wire, joint, contact, fuse, load and source is made bad in turn and the network solved; what a
    meter would then show is held against the readings. Volts are against the chassis post of the battery.
    """
    from harness.cli.faultfinding import diagnosed

    click.echo(diagnosed(_machine(survey, rules, as_json, catalogue), mode, readings, as_json=as_json))


@main.command()
@SURVEY
@click.argument("name")
@RULES
@CATALOGUE
@JSON
def without(survey: Path, name: str, rules: str | None, catalogue: Path | None, as_json: bool) -> None:
    """Print what stops or works wrongly when NAME is lost: a wire, fuse, strap, relay or splice."""
    from harness.cli.faultfinding import lost

    click.echo(lost(_machine(survey, rules, as_json, catalogue), name, as_json=as_json))


@main.command()
@click.argument("which", type=click.Choice(["design", "survey"]))
@click.option(
    "-o", "--out", type=click.Path(path_type=Path, dir_okay=False), help="File to write [standard output]."
)
def schema(which: str, out: Path | None) -> None:
    """Print the JSON Schema of design.json or of the survey.

    An editor that knows JSON Schema then completes and checks a survey while it is typed:
    `harness guide survey` says how.
    """
    from harness.cli.files import write_all
    from harness.cli.say import schema_json

    if out is None:
        click.echo(schema_json(which))
    else:
        write_all(out.parent, {out.name: f"{schema_json(which)}\n".encode()})
        click.echo(f"wrote {out}")


@main.command()
@SURVEY
@click.argument("target", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--force", is_flag=True, help="Write over TARGET if it is there.")
def convert(survey: Path, target: Path, force: bool) -> None:
    """Write SURVEY as TARGET in its other form: YAML as a workbook (.xlsx), or a workbook as YAML.

    Nothing is lost on the way. A workbook keeps the text it was made from; on the way back only what was
    changed in its cells is changed in the text, remarks and order stay.
    """
    from harness.cli.convert import converted

    converted(survey, target, force=force)


@main.command()
@SURVEY
@click.option("--check", is_flag=True, help="Write nothing; exit with 1 if it is not tidy.")
def tidy(survey: Path, check: bool) -> None:
    """Lay out the YAML of SURVEY evenly: order of sections, rows in braces, blank space; remarks stay.

    With - the survey comes from standard input and goes to standard output.
    """
    from harness.cli.tidy import tidy_file

    raise SystemExit(tidy_file(survey, check=check))


@main.command()
@click.argument("topic", required=False)
def guide(topic: str | None) -> None:
    """Print a page of the guide, or the list of pages."""
    from harness.cli.guide import page

    click.echo_via_pager(page(topic)) if topic else click.echo(page(None))


@main.command()
@JSON
def rules(as_json: bool) -> None:
    """List the design rules that make findings."""
    from harness.cli.say import rules_json, rules_text

    click.echo(rules_json() if as_json else rules_text())


@main.command()
@click.argument("kind", required=False)
@JSON
def kinds(kind: str | None, as_json: bool) -> None:
    """List the kinds of part, or show what is known about one KIND."""
    from harness.cli.kinds import kind_text, kinds_json, kinds_text

    if kind is None:
        click.echo(kinds_json() if as_json else kinds_text())
    else:
        click.echo(kind_text(kind))


@main.command()
@click.argument("kind", required=False)
@CATALOGUE
@JSON
def catalogue(kind: str | None, catalogue: Path | None, as_json: bool) -> None:
    """List the kinds of items that can be fitted, or every item of one KIND with its source."""
    from harness.cli.catalogue import catalogue_json, catalogue_text
    from harness.cli.read import catalogue_of

    own = catalogue_of(catalogue, as_json=as_json)
    click.echo(catalogue_json(kind, own) if as_json else catalogue_text(kind, own))


main.add_command(prices)
main.add_command(quote)


def _machine(survey: Path, rules: str | None, as_json: bool, catalogue: Path | None = None) -> Machine:
    from harness.cli.read import machine_of

    return machine_of(survey, rules=rules, catalogue=catalogue, as_json=as_json)


def _stocked(
    survey: Path,
    rules: str | None,
    catalogue: Path | None,
    offcuts: Path | None,
    picking: Options,
    *,
    as_json: bool,
) -> Design:
    """The design of a survey with what lies on the shelf used first."""
    if str(survey) == str(offcuts) == "-":
        raise click.UsageError("only one of survey and offcuts can come from standard input")
    return _with_offcuts(_machine(survey, rules, as_json, catalogue), offcuts, picking, as_json=as_json)


def _with_offcuts(machine: Machine, offcuts: Path | None, picking: Options, *, as_json: bool) -> Design:
    from harness.cli.build import designed_of
    from harness.cli.read import offcuts_of
    from harness.tables import extended

    with extended(machine.catalogue.rows):
        shelf = offcuts_of(offcuts, as_json=as_json) if offcuts is not None else ()
    return designed_of(machine, wanted_of(**picking, as_json=as_json), shelf, quiet=as_json)[1]


def _design(machine: Machine, picking: Options, *, quiet: bool) -> Design:
    from harness.cli.build import design_of

    return design_of(machine, wanted_of(**picking, as_json=quiet), quiet=quiet)


def _code(design: Any) -> int:
    return 1 if any(finding.severity == "danger" for finding in design.findings) else 0
