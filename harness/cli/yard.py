"""The machines of a quote: each with its design and with what was accepted for it at the counter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness.model.accepted import Accepted, Choice

if TYPE_CHECKING:
    from harness.electric.wanted import Wanted
    from harness.model.machine import Machine
    from harness.model.pricing import PriceList
    from harness.model.problem import Problem


@dataclass(frozen=True, slots=True)
class Each:
    """One machine of a quote."""

    path: Path
    machine: Machine | None  # None where only its design data is given
    data: Mapping[str, Any]  # as in design.json
    accepted: Accepted

    def design_data(self, wanted: Wanted | None = None, accepted: Accepted | None = None) -> dict[str, Any]:
        """The design made anew, sized otherwise or with other substitutions. Needs the machine itself.

        Raises click.ClickException where it cannot be designed so.
        """
        from harness.book.data import design_dict
        from harness.cli.build import design_of

        assert self.machine is not None
        machine = self.machine if accepted is None else replace(self.machine, accepted=accepted)
        return design_dict(design_of(machine, wanted, quiet=True))

    def concerns(self, choice: Choice) -> bool:
        """Whether a substitution is of something this machine needs."""
        from harness.counter.choices import BOUGHT

        if choice.section == BOUGHT:
            return any(line["key"] == choice.key for line in self.data["materials"])
        wires = [wire for wire in self.data["wires"] if not wire["kept"]]
        return self.machine is not None and any(choice.key in spool_names(wire) for wire in wires)


def spool_names(wire: Mapping[str, Any]) -> tuple[str, str, str]:
    """What a file of choices may call a wire's spool: size alone, size and colour, as the cut list does."""
    size = f"{wire['cable']} {wire['size']}"
    fine = " fine-stranded" if wire["fine_stranded"] else ""
    return size, f"{size} {wire['colour']}", f"{wire['cable']}{fine} {wire['size']} {wire['colour']}"


def yard_of(
    paths: Sequence[Path],
    choices: Path | Accepted | None,
    lists: Sequence[PriceList] | None = None,
    *,
    as_json: bool,
    to_buy: bool = False,
) -> list[Each]:
    """Every machine with its design; prints what is wrong with one and exits 2.

    ``choices``: one file for all of them, or what it would say; None: that beside each, if there is one.
    ``to_buy``: it goes to a supplier, so a design of a build that was stopped is refused.
    """
    from harness.cli.read import choices_of, design_content, ending, machine_of
    from harness.comparing.stored import design_of_json
    from harness.counter.needs import MOST_BYTES, design_data

    if sum(str(path) == "-" for path in paths) > 1:
        raise click.UsageError("only one survey can come from standard input")
    if isinstance(choices, Path):
        choices = _one_for_all(paths, choices, lists, as_json=as_json)
    found: list[Each] = []
    for path in paths:
        if path.suffix.lower() != ".json":
            machine = machine_of(path, choices=choices, lists=lists, as_json=as_json)
            each = Each(path, machine, {}, machine.accepted)
            found.append(replace(each, data=each.design_data()))
            continue
        name, content = design_content(path, MOST_BYTES, to_buy=to_buy)
        with ending(as_json=as_json):
            data = design_data(content, name)
            design_of_json(content, name)  # every other value too is what the published format says
        found.append(Each(path, None, data, _told(choices_of(path, choices, None, lists), as_json=as_json)))
    return found


def _told(found: Accepted | list[Problem], *, as_json: bool) -> Accepted:
    from harness.cli.read import tell

    if isinstance(found, Accepted):
        return found
    tell(found, as_json=as_json)
    raise SystemExit(2)


def _one_for_all(
    paths: Sequence[Path], choices: Path, lists: Sequence[PriceList] | None, *, as_json: bool
) -> Accepted:
    """One file of choices for several machines, which may name the sizes of any of them."""
    from harness.cli.read import choices_of, machine_of, sizes_of

    known: set[str] = set()
    for path in paths:
        if path.suffix.lower() != ".json" and str(path) != "-":
            known |= set(sizes_of(machine_of(path, choices=Accepted(), as_json=as_json)) or ())
    return _told(choices_of(paths[0], choices, known or None, lists), as_json=as_json)


def with_choices(yard: Sequence[Each], chosen: Sequence[Choice], choices: Path | None) -> list[Each]:
    """The machines with more substitutions accepted, designed anew where that changes the design.

    ``choices``: one file for all; else each has its own. Raises click.UsageError where there is no place for
    it.
    """
    from harness.cli.read import choices_beside
    from harness.counter.choices import joined, read_choices, with_choice

    shared = joined([each.accepted for each in yard])
    found = []
    for each in yard:
        more = [one for one in chosen if choices is not None or each.concerns(one)]
        accepted = shared if choices is not None else each.accepted
        path = choices or choices_beside(each.path)
        if not more:
            found.append(each)
            continue
        if path is None:
            raise click.UsageError("--accept: a survey from standard input needs --choices FILE")
        for one in more:
            accepted = with_choice(accepted, one)
        accepted = replace(read_choices(text_with(path, accepted), path.name), file=path.name)
        if each.machine is None:
            found.append(replace(each, accepted=accepted))
            continue
        other = replace(each, machine=replace(each.machine, accepted=accepted), accepted=accepted)
        found.append(replace(other, data=other.design_data()))
    return found


def text_with(path: Path, accepted: Accepted) -> str:
    """The file of choices that says this, with the remarks of the one that is there. Raises CannotRead."""
    from harness.cli.read import MOST_BYTES, content_of
    from harness.counter.choicestext import changed_text, choices_text

    if not path.is_file():
        return choices_text(accepted)
    return changed_text(content_of(path, MOST_BYTES)[1].decode("utf-8-sig", "replace"), accepted)


def choices_files(before: Sequence[Each], after: Sequence[Each], choices: Path | None) -> dict[Path, bytes]:
    """The files of choices that have to be written."""
    from harness.cli.read import choices_beside

    files = {}
    for was, now in zip(before, after, strict=True):
        path = choices or choices_beside(now.path)
        if path is not None and now.accepted != was.accepted:
            files[path] = text_with(path, now.accepted).encode()
    return files


def names_of(yard: Sequence[Each]) -> list[str]:
    """A name for each machine, unlike the others'."""
    found: list[str] = []
    for each in yard:
        told = each.data.get("machine")
        name = str(told.get("name") or each.path.stem) if isinstance(told, dict) else each.path.stem
        count = sum(one == name or one.startswith(f"{name} (") for one in found)
        found.append(f"{name} ({count + 1})" if count else name)
    return found


def of_no_use(yard: Sequence[Each]) -> list[str]:
    """Notes on substitutions that a design already made cannot take."""
    return [
        f"{each.path.name} is designed already: what {each.accepted.file} says of sizes, colours and cable"
        " does not change it; give the survey itself, or make the design anew"
        for each in yard
        if each.machine is None
        and (each.accepted.sizes or each.accepted.colours or each.accepted.cables)
        and not each.data.get("machine", {}).get("choices")
    ]
