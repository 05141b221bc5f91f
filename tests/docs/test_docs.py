"""What the pages show works: surveys build, fragments read, links lead somewhere, outputs are real."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from openpyxl import load_workbook
from ruamel.yaml import YAML

from harness.cli import main
from harness.making.outputs import OUTPUTS
from harness.survey import read, read_catalogue
from tests.docs.options_table import every
from tests.docs.pages import ALL_BLOCKS, GUIDES, PAGES, ROOT, Block, blocks, commands, headings, links, marked
from tests.docs.shown import fresh


def _load(text: str) -> dict[str, object]:
    yaml = YAML(typ="safe", pure=True)
    # every scalar as text, as the survey reader takes it
    yaml.resolver.yaml_implicit_resolvers.clear()  # type: ignore[union-attr]
    loaded = yaml.load(text)
    assert isinstance(loaded, dict)
    return loaded


def _dump(survey: dict[str, object], path: Path) -> None:
    yaml = YAML()
    yaml.default_flow_style = False
    with path.open("w", encoding="utf-8") as file:
        yaml.dump(survey, file)


def test_there_are_blocks_of_every_sort() -> None:
    assert len(marked("example: survey")) >= 4
    assert len(marked("example: fragment")) >= 5
    assert len(marked("output: ")) >= 2
    assert [block.mark for block in marked("command: ")] == ["command: build", "command: test"]


@pytest.mark.parametrize("block", [block for block in ALL_BLOCKS if block.language == "yaml"], ids=str)
def test_every_survey_text_is_marked_so_that_it_is_tried(block: Block) -> None:
    assert block.mark in (
        "example: survey",
        "example: fragment",
        "example: catalogue",
        "example: kit",
        "adding: kit",
    )


@pytest.mark.parametrize("block", marked("example: catalogue"), ids=str)
def test_every_example_catalogue_is_read(block: Block) -> None:
    assert read_catalogue(block.text, "example.yaml").own


@pytest.mark.parametrize("block", marked("example: survey"), ids=str)
def test_every_example_survey_builds(block: Block, tmp_path: Path) -> None:
    survey = tmp_path / "example.yaml"
    survey.write_text(block.text, encoding="utf-8")
    result = CliRunner().invoke(main, ["build", str(survey), "--out", str(tmp_path / "out")])
    assert result.exit_code == 0, result.output
    assert sorted(OUTPUTS) == sorted(path.name for path in (tmp_path / "out").iterdir())


def _merged(base: dict[str, object], fragment: dict[str, object]) -> dict[str, object]:
    """The fragment's sections added to those of the base; within one named thing, key by key."""
    merged = dict(base)
    for section, more in fragment.items():
        have = merged.get(section)
        if isinstance(have, list) and isinstance(more, list):
            merged[section] = have + more
        elif isinstance(have, dict) and isinstance(more, dict):
            merged[section] = _merged(have, more)
        else:
            merged[section] = more
    return merged


@pytest.mark.parametrize("block", marked("example: fragment"), ids=str)
def test_every_fragment_fits_the_survey_its_page_begins_with(block: Block, tmp_path: Path) -> None:
    page = next(page for page in PAGES if page.name == block.page)
    base = next(one for one in blocks(page) if one.mark == "example: survey")
    survey = tmp_path / "example.yaml"
    _dump(_merged(_load(base.text), _load(block.text)), survey)
    fragment = _load(block.text)
    machine = read(survey)
    parts = fragment.get("parts", {})
    assert isinstance(parts, dict)
    assert set(parts) <= set(machine.parts)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_shown_outputs_and_tables_are_those_of_the_program(
    page: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If this fails after a change: look at what changed, then `python -m tests.docs.shown`."""
    monkeypatch.chdir(ROOT)
    text = page.read_text(encoding="utf-8")
    assert fresh(text).splitlines() == text.splitlines()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_somewhere(page: Path) -> None:
    for target in links(page):
        name, _, anchor = target.partition("#")
        there = (page.parent / name).resolve() if name else page
        assert there.exists(), f"{page.name} links to {target}"
        assert there.is_relative_to(ROOT)
        if anchor:
            assert anchor in headings(there), f"{page.name} links to {target}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_command_shown_exists_with_its_options(page: Path) -> None:
    for words in commands(page):
        assert words[0] in main.commands, f"{page.name} shows harness {' '.join(words)}"
        command = main.commands[words[0]]
        if isinstance(command, click.Group):  # the second word is a command of its own
            assert words[1] in command.commands, f"{page.name} shows harness {' '.join(words)}"
            command = command.commands[words[1]]
        options = {name for param in command.params for name in param.opts}
        assert {word for word in words if word.startswith("--")} <= options


def test_the_pages_show_every_command() -> None:
    shown = {words[0] for page in PAGES for words in commands(page)}
    assert shown == set(main.commands)


def test_the_table_of_files_is_what_a_build_writes() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = readme.partition("| file | holds |")[2].partition("\n\n")[0]
    assert sorted(re.findall(r"^\| `([^`]+)` ", table, re.M)) == sorted(OUTPUTS)


def _below(name: str, rows: list[str]) -> str:
    """The row of a command and those of its options, and the options of many commands that its row names."""
    at = next(i for i, row in enumerate(rows) if row.startswith((f"| **`{name}`", f"| **`{name} ")))
    end = next((i for i in range(at + 1, len(rows)) if not rows[i].startswith("| `")), len(rows))
    return "\n".join(rows[at:end])


def test_the_page_of_commands_has_every_option_of_every_command() -> None:
    """Held against what each command prints as its own help, click's words."""
    page = ROOT / "harness" / "guide" / "commands.md"
    rows = page.read_text(encoding="utf-8").splitlines()
    tried = 0
    for name, _ in every(main, "harness"):
        helped = CliRunner().invoke(main, [*name.split()[1:], "--help"]).output
        options = re.findall(r"^  (?:-\w, )?(--[\w-]+)", helped, re.M)
        assert set(options) - {"--help"} == set(re.findall(r"(?<![\w-])--[a-z-]+", _below(name, rows))), name
        tried += len(options)
    assert tried > 200
    table = page.read_text(encoding="utf-8").partition("## Every option")[0]
    assert {words[0] for words in commands(page) if f"`harness {words[0]}" in table} == set(main.commands)


def test_the_readme_is_short() -> None:
    """A newcomer reads it to the end: what is looked up belongs into the guide."""
    assert len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()) <= 180


def test_the_first_paragraph_says_what_the_job_is() -> None:
    paragraph = (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")[1]
    for word in (
        "machine",
        "describe",
        "wire sizes",
        "fuses",
        "circuit diagram",
        "loom",
        "cut list",
        "materials",
    ):
        assert word in paragraph


def test_the_pictures_of_the_readme_belong_to_the_sample() -> None:
    digest = read(ROOT / "samples" / "pump.yaml").digest
    pictures = [target for target in links(ROOT / "README.md") if target.endswith(".svg")]
    assert sorted(pictures) == [f"exports/pump/{name}.svg" for name in ("fuses", "loom", "tracks")]
    for picture in pictures:
        assert digest in (ROOT / picture).read_text(encoding="utf-8")


def test_the_outputs_guide_names_every_sheet_in_order() -> None:
    book = load_workbook(ROOT / "exports" / "pump" / "harness.xlsx")
    lines = (ROOT / "harness" / "guide" / "outputs.md").read_text(encoding="utf-8").splitlines()
    rows = [line.split("|")[1].strip() for line in lines if line.startswith("| ")]
    assert rows[1:] == book.sheetnames


def test_guide_lists_its_topics() -> None:
    result = CliRunner().invoke(main, ["guide"])
    assert result.exit_code == 0
    for page in GUIDES:
        title = page.read_text(encoding="utf-8").splitlines()[0].removeprefix("# ")
        assert page.stem in result.output
        assert title.partition(": ")[2].split()[0] in result.output


@pytest.mark.parametrize("page", GUIDES, ids=lambda page: page.stem)
def test_guide_prints_every_topic_to_its_end(page: Path) -> None:
    result = CliRunner().invoke(main, ["guide", page.stem])
    assert result.exit_code == 0
    words = page.read_text(encoding="utf-8").split()
    assert words[-1].strip("`*|.") in result.output.split()[-1]


def test_an_unknown_topic_is_a_usage_error() -> None:
    result = CliRunner().invoke(main, ["guide", "sizng"])
    assert result.exit_code == 2
    assert "sizing" in result.output


def test_no_command_is_written_with_its_brackets_or_dots_twice() -> None:
    text = (ROOT / "harness" / "guide" / "commands.md").read_text(encoding="utf-8")
    assert [row for row in text.splitlines() if "[[" in row or "...." in row] == []
