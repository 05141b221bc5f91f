"""The command line: each command reads, calls one library function, prints, and sets the exit code.

Exit codes: 0 good; 1 the design holds a danger; 2 the survey or the call is wrong, nothing written;
3 a file could not be read or written; 4 a fault of the program itself; 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import click

from harness import __version__
from harness.cli.aswired import as_wired
from harness.cli.buildcommands import book, build, check, draw, size, watch
from harness.cli.commissioningcommands import reading, tests
from harness.cli.compare import compare
from harness.cli.export import export
from harness.cli.group import SafeGroup
from harness.cli.prices import prices
from harness.cli.provingcommands import diagnose, explain, netlist, without
from harness.cli.quote import quote
from harness.cli.record import as_built, record
from harness.cli.referencecommands import catalogue, guide, kinds, rules
from harness.cli.startcommands import kits, start
from harness.cli.surveycommands import assumed, convert, old_wires, schema, survey_sheets, tidy
from harness.cli.trace import trace


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
main.add_command(check)
main.add_command(build)
main.add_command(book)
main.add_command(watch)
main.add_command(size)
main.add_command(draw)
main.add_command(assumed)
main.add_command(survey_sheets)
main.add_command(old_wires)
main.add_command(explain)
main.add_command(netlist)
main.add_command(tests)
main.add_command(reading)
main.add_command(diagnose)
main.add_command(without)
main.add_command(record)
main.add_command(as_built)
main.add_command(as_wired)
main.add_command(trace)
main.add_command(compare)
main.add_command(export)
main.add_command(prices)
main.add_command(quote)
main.add_command(convert)
main.add_command(tidy)
main.add_command(schema)
main.add_command(guide)
main.add_command(rules)
main.add_command(kinds)
main.add_command(catalogue)
