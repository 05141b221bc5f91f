"""Words and JSON for kits: what there is, what is in one, and what is wrong with a user's own."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.read import ending
from harness.signs import json_text

if TYPE_CHECKING:
    from harness.kits.form import Content, Figure, Kit

FOLDERS = "HARNESS_KITS"  # folders of a user's own kits, parted as in PATH
BESIDE = "kits"  # a folder of that name beside the survey


def folders(given: Iterable[Path], beside: Path | None = None) -> list[Path]:
    """Where a user's own kits lie: by the environment, beside the survey, as given; the last goes first."""
    found = [Path(each) for each in os.environ.get(FOLDERS, "").split(os.pathsep) if each]
    if beside is not None and (beside / BESIDE).is_dir():
        found.append(beside / BESIDE)
    return list(dict.fromkeys([*found, *given]))


def kits_of(given: Iterable[Path], beside: Path | None = None, *, as_json: bool = False) -> Mapping[str, Kit]:
    """All kits; prints what is wrong with a user's own and exits 2."""
    from harness.kits.shelf import shelf

    with ending(as_json=as_json):
        return shelf(folders(given, beside))


def kit_named(name: str, kits: Mapping[str, Kit]) -> Kit:
    """A kit by its name; raises click.UsageError with the nearest when there is none."""
    if name not in kits:
        near = get_close_matches(name.lower(), kits, n=2)
        hint = f"did you mean {' or '.join(map(repr, near))}?" if near else "`harness kits` lists them."
        raise click.UsageError(f"there is no kit {name!r}; {hint}")
    return kits[name]


def kits_text(kits: Mapping[str, Kit]) -> str:
    """Every kit with what it is, one a line."""
    width = max(len(name) for name in kits)
    lines = [f"{name:<{width}}  {kit.title}{' (your own)' if kit.own else ''}" for name, kit in kits.items()]
    return "\n".join(
        [*lines, "", "`harness kits NAME` shows one; `harness start FOLDER` makes a survey of them."]
    )


def kits_json(kits: Mapping[str, Kit], name: str | None) -> str:
    """All kits, or one, for a program."""
    found = {name: kit_named(name, kits)} if name else kits
    rows = {each: asdict(kit) for each, kit in found.items()}
    return json_text({"kits": rows})


def kit_text(name: str, kits: Mapping[str, Kit]) -> str:
    """What is in one kit: parts with what they usually draw, paths, what to measure."""
    kit = kit_named(name, kits)
    lines = [f"{kit.name}: {kit.title}", kit.purpose, *_where(kit), *_content(kit.content, "")]
    if kit.variants:
        lines.append("variants, the first is taken if you do not choose (--kit 'NAME=VARIANT'):")
        for each in kit.variants:
            volts = ", ".join(f"{v:g} V" for v in each.volts)
            lines += [f"  {each.name} ({volts}): {each.title}", *_content(each.content, "    ")]
    return "\n".join(lines)


def _where(kit: Kit) -> list[str]:
    volts = ", ".join(f"{each:g} V" for each in kit.volts)
    usual = f"; usual on: {', '.join(kit.usual_on)}" if kit.usual_on else ""
    return [f"for {volts}{usual}"]


def _content(content: Content, indent: str) -> list[str]:
    lines = [f"{indent}needs: {', '.join(content.needs)}"] if content.needs else []
    lines += [f"{indent}parts (every figure is assumed until you measure it):"] if content.parts else []
    for part in content.parts:
        body = f", on {part.body}" if part.body else ""
        said = "".join(f"; {key} {figure_words(figure)}" for key, figure in part.figures.items())
        lines.append(f"{indent}  {part.name}: {part.kind} at {part.place}{body}{said}")
    for circuit in content.circuits:
        works = f" (works in {', '.join(circuit.works_in)})" if circuit.works_in else ""
        drop = f", drop {circuit.drop}" if circuit.drop else ""
        lines.append(f"{indent}circuit {circuit.name}{works}{drop}:")
        lines += [f"{indent}  {path.text}" for path in circuit.paths]
    for word, texts in (
        ("measure", content.measure),
        ("caution", content.cautions),
        ("figures", content.figures),
        ("note", content.notes),
    ):
        lines += [f"{indent}{word}: {text}" for text in texts]
    return lines


def figure_words(figure: Figure) -> str:
    """A value in words: by volts and by size where they differ."""
    if figure.least_of:
        return f"as needed, of {', '.join(next(iter(figure.by_volts.values())))}"
    said = {volts: " / ".join(texts) for volts, texts in figure.by_volts.items()}
    if len(set(said.values())) == 1:
        return next(iter(said.values()))
    return ", ".join(f"{text} at {volts:g} V" for volts, text in said.items())
