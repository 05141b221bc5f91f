"""The commands about the survey itself: `assumed`, `survey-sheets`, `convert`, `schema` and their kin."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from harness.cli.options import CATALOGUE, JSON, RULES, SURVEY, designed, machine_from, out_file
from harness.cli.wanted import size_options


@click.command()
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

    print_assumed(machine_from(survey, rules, as_json, catalogue), as_json=as_json)


@click.command("survey-sheets")
@click.argument("survey", type=click.Path(path_type=Path, allow_dash=True), required=False)
@out_file(
    "File to write [exports/NAME/survey-sheets.pdf, blank ones survey-sheets.pdf]; with .xlsx a blank"
    " survey workbook."
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
    hangs on it. Without a SURVEY, -o MACHINE.xlsx writes a blank workbook, to be filled in on a computer or
    a phone and then built from (`harness guide workbook`).
    """
    from harness.cli.assumed import sheets_content
    from harness.cli.build import default_out
    from harness.cli.files import check_out, write_one

    if out is not None and out.suffix.lower() == ".xlsx":
        blank_survey(survey, out)
        return
    name = Path("survey-sheets.pdf")
    file = out or (default_out(survey) / name if survey is not None else name)
    check_out(file, ".pdf")
    machine = machine_from(survey, None, False, catalogue) if survey is not None else None
    write_one(file, sheets_content(machine, sheet, quick=quick), ".pdf")


def blank_survey(survey: Path | None, out: Path) -> None:
    """Write a workbook to fill in as ``out``; never over one that is there: it may be filled in."""
    from harness.book.text import one_line
    from harness.cli.files import NotThere, check_out, write_file
    from harness.signs import file_shown
    from harness.survey import blank_workbook

    if survey is not None:
        raise click.UsageError(
            f"sheets of a survey come as PDF; harness convert {survey} {out} writes the survey as a workbook"
        )
    check_out(out, ".xlsx")
    if out.exists():
        raise NotThere(one_line(f"{out} is there already and may be filled in; name another file"))
    write_file(out, blank_workbook())
    click.echo(f"wrote {file_shown(str(out))}")
    click.echo(f"Fill it in, sheet by sheet; then: harness check {file_shown(str(out))}")


@click.command("old-wires")
@SURVEY
@RULES
@CATALOGUE
@size_options
@JSON
def old_wires(survey: Path, rules: str | None, catalogue: Path | None, as_json: bool, **picking: Any) -> None:
    """Print what became of every old wire traced in SURVEY, and which new wires had none before them."""
    from harness.cli.oldwires import compared_json, compared_text

    machine = machine_from(survey, rules, as_json, catalogue)
    design = designed(machine, picking, quiet=as_json)
    click.echo(compared_json(machine, design) if as_json else compared_text(machine, design))


@click.command()
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


@click.command()
@SURVEY
@click.option("--check", is_flag=True, help="Write nothing; exit with 1 if it is not tidy.")
def tidy(survey: Path, check: bool) -> None:
    """Lay out the YAML of SURVEY evenly: order of sections, rows in braces, blank space; remarks stay.

    With - the survey comes from standard input and goes to standard output.
    """
    from harness.cli.tidy import tidy_file

    raise SystemExit(tidy_file(survey, check=check))


@click.command()
@click.argument("which", type=click.Choice(["design", "survey"]))
@out_file("File to write [standard output].")
def schema(which: str, out: Path | None) -> None:
    """Print the JSON Schema of design.json or of the survey.

    An editor that knows JSON Schema then completes and checks a survey while it is typed:
    `harness guide survey` says how.
    """
    from harness.cli.files import write_one
    from harness.cli.say import schema_json

    if out is None:
        click.echo(schema_json(which))
    else:
        write_one(out, f"{schema_json(which)}\n".encode(), ".json")
