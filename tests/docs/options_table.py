"""The tables of every command and option that the guide prints, out of what the commands themselves say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import click

from harness.cli import main

SHARED = 4  # an option that so many commands have in the same words is explained once
VALUES = {
    "integer range": "N",
    "float": "N",
    "directory": "DIR",
    "file": "FILE",
    "path": "FILE",
    "text": "WORDS",
}


def every(group: click.Group, name: str) -> Iterator[tuple[str, click.Command]]:
    """Each command with its whole name; those of a command of commands too."""
    for word, command in group.commands.items():
        if isinstance(command, click.Group):
            yield from every(command, f"{name} {word}")
        else:
            yield f"{name} {word}", command


def _options(command: click.Command) -> list[click.Option]:
    return [param for param in command.params if isinstance(param, click.Option)]


def _written(option: click.Option) -> str:
    """An option as it is typed, with what stands behind it."""
    value = ""
    if isinstance(option.type, click.Choice):
        value = " " + "\\|".join(map(str, option.type.choices))
    elif not option.is_flag:
        value = " " + (option.metavar or VALUES[option.type.name])
    return f"`{', '.join(option.opts)}{value}`"


def _said(option: click.Option) -> str:
    usual = f" [{option.default}]" if option.show_default else ""
    must = " Always needed." if option.required else ""
    return f"{(option.help or '').replace('|', chr(92) + '|')}{usual}{must}"


def _shared() -> dict[tuple[str, str], None]:
    found = Counter(
        (_written(option), _said(option))
        for _, command in every(main, "harness")
        for option in _options(command)
    )
    return {row: None for row, count in found.items() if count >= SHARED}


def shared() -> list[str]:
    """The options that many commands have."""
    return ["| option | does |", "|---|---|", *(f"| {option} | {said} |" for option, said in _shared())]


def table() -> list[str]:
    """Each command with the names of its shared options, and below it its own options with what they do."""
    known = _shared()
    rows = ["| command or option | does |", "|---|---|"]
    for name, command in every(main, "harness"):
        options = {(_written(each), _said(each)): each for each in _options(command)}
        arguments = [param for param in command.params if isinstance(param, click.Argument)]
        words = [_argument(param) for param in arguments]
        also = ", ".join(f"`{options[row].opts[-1]}`" for row in options if row in known)
        does = command.get_short_help_str(limit=200)
        rows.append(f"| **`{' '.join([name, *words])}`** | {does}{f' Also {also}.' if also else ''} |")
        rows += [f"| {option} | {said} |" for option, said in options if (option, said) not in known]
    return rows


def _argument(param: click.Argument) -> str:
    many = "..." if param.nargs == -1 else ""
    word = (
        "\\|".join(map(str, param.type.choices))
        if isinstance(param.type, click.Choice)
        else (param.metavar or str(param.name).upper()).strip("[].")
    )
    return f"{word}{many}" if param.required else f"[{word}{many}]"
