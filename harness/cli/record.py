"""The commands of the owner's record: `record add`, `change`, `show`, `search`, `verify`, and `as-built`."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click

from harness.cli.options import HOURS, JSON, WHEN, moment, out_file

SURVEY = click.argument("survey", type=click.Path(path_type=Path))


def _entry_options(command: Callable[..., Any]) -> Callable[..., Any]:
    for option in reversed(
        (
            click.option("--text", default="", help="What there is to say; - reads it from standard input."),
            click.option("--subject", default="", help="The part, wire, fuse, circuit or place it is about."),
            click.option("--other", is_flag=True, help="The subject is nothing of the wiring."),
            HOURS,
            click.option("--by", default="", help="Who did it."),
            WHEN,
            click.option(
                "--attach", multiple=True, type=click.Path(path_type=Path),
                help="A photo or another file to keep with it; again for more.",
            ),
        )
    ):  # fmt: skip
        command = option(command)
    return command


_SET = click.option(
    "--set", "sets", multiple=True,
    help="An edit of the survey, as 'parts.left head lamp.power = 70 W'; again for more.",
)  # fmt: skip
_EDITED = click.option(
    "--edited", type=click.Path(path_type=Path), help="A copy of the survey in which the change was made."
)


def _about(
    text: str, subject: str, other: bool, hours: float | None, by: str, when: date | None,
    attach: tuple[Path, ...],
) -> Any:  # fmt: skip
    from harness.cli.recording import About, typed_text

    return About(typed_text(text), subject, other, hours, by, when, attach)


@click.group()
def record() -> None:
    """Keep what happens to a machine, in a folder beside its survey (`harness guide record`).

    SURVEY is the survey; to look into a record its folder will do.
    """


@record.command()
@SURVEY
@click.argument("kind")
@_entry_options
@click.option(
    "--detail", multiple=True, help="One more thing to keep, as 'fitted = 55 W, clear'; again for more."
)
@_SET
@_EDITED
def add(
    survey: Path, kind: str, detail: tuple[str, ...], sets: tuple[str, ...], edited: Path | None, **about: Any
) -> None:  # fmt: skip
    """Add an entry to the record of SURVEY.

    KIND is change, reading, repair, replaced, hours, note or photo. When this comes back the entry is on
    the disk.
    """
    from difflib import get_close_matches

    from harness.cli.recording import added
    from harness.cli.recordsay import say_kept
    from harness.record.entry import KINDS

    if kind not in KINDS:
        near = get_close_matches(kind, KINDS, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(KINDS)}"
        raise click.UsageError(f"there is no kind of entry {kind!r}; {hint}")
    if (sets or edited) and kind != "change":
        raise click.UsageError("--set and --edited belong to a change")
    fields: dict[str, Any] = {}
    for words in detail:
        name, equals, value = words.partition("=")
        if not equals or not name.strip() or name.strip() in ("edits", *fields):
            raise click.UsageError(f"--detail: {words!r} is not 'name = value' with a name of its own")
        fields[name.strip()] = value.strip()
    say_kept(added(survey, kind, _about(**about), fields, sets, edited))


@record.command(short_help="Keep a change of the machine, for `harness as-built`.")
@SURVEY
@_SET
@_EDITED
@_entry_options
def change(survey: Path, sets: tuple[str, ...], edited: Path | None, **about: Any) -> None:
    """Keep what was changed on the machine, so that `harness as-built` knows it; --text says why.

    The change is tried on SURVEY as it is today; one that would make it wrong is refused.
    """
    from harness.cli.recording import added
    from harness.cli.recordsay import say_kept

    if not sets and edited is None:
        raise click.UsageError(
            "say what was changed: --set 'parts.left head lamp.power = 70 W', or --edited FILE"
        )
    say_kept(added(survey, "change", _about(**about), {}, sets, edited))


@record.command()
@SURVEY
@click.option("--kind", default="", help="Only entries of this kind.")
@click.option("--subject", default="", help="Only entries about this.")
@click.option("--since", type=moment, metavar="DAY", help="Only those about this day or later.")
@click.option("--in-order", is_flag=True, help="The oldest first [the latest].")
@JSON
def show(
    survey: Path, kind: str, subject: str, since: date | None, in_order: bool, as_json: bool
) -> None:  # fmt: skip
    """Print what the record of SURVEY holds, the latest first."""
    from harness.cli.recordsay import say_entries

    say_entries(
        survey, kind=kind, subject=subject, since=since.isoformat()[:10] if since else "", in_order=in_order,
        as_json=as_json,
    )  # fmt: skip


@record.command(short_help="Print the entries that hold all WORDS.")
@SURVEY
@click.argument("words", nargs=-1, required=True)
@click.option("--in-order", is_flag=True, help="The oldest first [the latest].")
@JSON
def search(survey: Path, words: tuple[str, ...], in_order: bool, as_json: bool) -> None:
    """Print the entries of SURVEY's record that hold all WORDS, wherever in them."""
    from harness.cli.recordsay import say_entries

    say_entries(survey, words=words, in_order=in_order, as_json=as_json)


@record.command(short_help="Write the record as one page for any browser.")
@SURVEY
@out_file("File to write [record.html in the record's folder].")
def page(survey: Path, out: Path | None) -> None:
    """Write the record of SURVEY as one page for any browser, a phone's too, with its photos."""
    from harness.cli.recordsay import say_page

    say_page(survey, out)


@record.command(short_help="Check that the record is what was written.")
@SURVEY
@JSON
def verify(survey: Path, as_json: bool) -> None:
    """Check that the record of SURVEY is what was written: every line, their order, every attachment.

    Exits with 1 where something is broken, and says what is still good.
    """
    from harness.cli.recordsay import say_verdict

    raise SystemExit(say_verdict(survey, as_json=as_json))


@click.command("as-built")
@SURVEY
@out_file("File to write [standard output].")
@click.option("--at", default="", help="As it was after entry N, or on a day, as 7 or 2026-11-26 [today].")
@click.option("--force", is_flag=True, help="Write over the file if it is there.")
def as_built(survey: Path, out: Path | None, at: str, force: bool) -> None:
    """Print SURVEY as the machine is today, with every change of its record made.

    Remarks and order stay as they are in SURVEY, which itself is not touched. The revision in the title
    blocks becomes the survey's own with the number and day of the last change.
    """
    from harness.cli.recordsay import say_as_built

    raise SystemExit(say_as_built(survey, out, at.strip(), force=force))
