"""Reading a survey from a file or a text: size and encoding first, then the steps in their order."""

from __future__ import annotations

import codecs
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, NoReturn

from harness.model.catalogue import Catalogue
from harness.model.limits import LIMITS, size
from harness.model.machine import Machine
from harness.model.problem import Problem, SurveyWrong, Where
from harness.survey.complaints import shape
from harness.survey.counts import bar_too_many
from harness.survey.doubts import take_doubts
from harness.survey.ledger import Ledger
from harness.survey.located import Node
from harness.survey.resolve import resolve
from harness.survey.yamltext import compose

LARGEST_BYTES = LIMITS["survey bytes"].most
LARGEST_WORKBOOK_BYTES = LIMITS["workbook bytes"].most
WORKBOOKS = (".xlsx", ".xlsm", ".xls", ".ods")  # those of other kinds are told how to be saved


def largest(file: str) -> int:
    """The most bytes a survey of that name may have: photos may lie in a workbook."""
    return LARGEST_WORKBOOK_BYTES if file.lower().endswith(WORKBOOKS) else LARGEST_BYTES


def is_workbook(data: bytes, file: str) -> bool:
    """Whether a survey is meant to be a workbook: by its content, else by its name."""
    return data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")) or file.lower().endswith(WORKBOOKS)


def _refuse(file: str, what: str, fix: str) -> NoReturn:
    raise SurveyWrong([Problem(Where(file), what, fix)]) from None


def _bytes_of(file: str) -> bytes:
    path = Path(file)
    try:
        if path.is_file() and path.stat().st_size > largest(file):
            _too_large(file)
        return path.read_bytes()
    except FileNotFoundError:
        _refuse(file, "there is no such file", "check the name and the folder")
    except IsADirectoryError:
        _refuse(file, "this is a folder, not a file", "name the survey inside it")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        _refuse(file, f"the file cannot be read: {reason}", "check the name and who may read it")


def _too_large(file: str) -> NoReturn:
    limit = size(largest(file))
    _refuse(file, f"the file is larger than {limit}, which no survey is", "check that this is the right file")


def letters(data: bytes, file: str) -> str:
    """Decode UTF-8, or UTF-16 with a byte-order mark; refuse everything else as not being text."""
    utf16 = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = data.decode("utf-16" if utf16 else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        _refuse(
            file,
            f"the file is not text in UTF-8 (byte {error.start}, line {line})",
            "save it from a text editor as UTF-8",
        )
    if "\0" in text:
        _refuse(file, "the file is not text: it holds null bytes", "save it from a text editor as UTF-8")
    return text


def _tree(content: str | bytes, file: str) -> tuple[Node, list[Problem], str]:
    """The located tree of a survey in either form, what is wrong so far, and the words it is known by."""
    if isinstance(content, bytes) and is_workbook(content, file):
        from harness.survey.sheets.book import content_of, opened

        book = opened(content, file)
        return book.root, book.problems, content_of(book.root)
    if len(content) > LARGEST_BYTES:
        _too_large(file)
    words = letters(content, file) if isinstance(content, bytes) else content.removeprefix("\ufeff")
    return *compose(words, file), words


def read(
    source: str | Path,
    *,
    text: str | bytes | None = None,
    folder: Path | None = None,
    catalogue: Catalogue | None = None,
) -> Machine:
    """Read a survey into a checked machine.

    source: the file, whose name is used in messages; it is opened unless ``text`` gives its content.
    folder: where a catalogue that the survey names is looked for; that of ``source`` unless given.
    catalogue: one that was read already, and goes before the one the survey names.
    Raises SurveyWrong with every problem found, in the catalogue too.
    """
    if text is None and folder is None:
        folder = Path(source).parent
    file = str(source)
    content = _bytes_of(file) if text is None else text
    root, problems, words = _tree(content, file)
    bar_too_many(root, file, problems)
    root, doubts = take_doubts(root, file)
    form, more, damage = shape(root, file)
    ledger = Ledger(file, root, damage, [*problems, *more], doubts)
    digest = sha256(words.encode("utf-8", "surrogatepass")).hexdigest()[:12]
    machine = resolve(form, ledger, digest=digest)
    if form.machine.catalogue is not None and catalogue is None:
        catalogue = _named_catalogue(form.machine.catalogue, folder, ledger)
    if ledger.problems:
        raise SurveyWrong(ledger.problems)
    bare: Machine = _Bare()(machine)
    return bare if catalogue is None else replace(bare, catalogue=catalogue)


def _named_catalogue(name: str, folder: Path | None, ledger: Ledger) -> Catalogue | None:
    """The catalogue a survey names; what is wrong with it goes into the ledger."""
    from harness.survey.catalogue import read_catalogue

    spot = ledger.at_value("machine", "catalogue")
    if folder is None:
        what = f"the catalogue {name!r} lies beside a survey, and this one comes from no folder"
        ledger.say(spot, what, "give it with --catalogue")
        return None
    path = folder / name
    if not path.resolve().is_relative_to(folder.resolve()):
        ledger.say(
            spot, f"{name!r} leads out of the survey's folder", "put the file itself beside the survey"
        )
        return None
    if path.exists() and not path.is_file():  # a pipe would never end
        ledger.say(spot, f"{name!r} is no file", "name the file itself, such as my-items.yaml")
        return None
    try:
        return read_catalogue(_bytes_of(str(path)), name)
    except SurveyWrong as wrong:
        for one in wrong.problems:
            if one.where.line:
                ledger.problems.append(one)
            else:
                ledger.say(spot, f"catalogue {name!r}: {one.what}", one.fix)
    return None


class _Bare:
    """Copies a value with plain strings in it, each kept once: a word's place in the survey ends here."""

    def __init__(self) -> None:
        self._words: dict[str, str] = {}

    def __call__(self, value: Any) -> Any:
        if isinstance(value, str):
            return self._words.get(value) or self._words.setdefault(str(value), str(value))
        if isinstance(value, tuple):
            items = map(self, value)
            return type(value)(*items) if hasattr(value, "_fields") else tuple(items)
        if isinstance(value, Mapping):
            return {self(key): self(item) for key, item in value.items()}
        if is_dataclass(value) and not isinstance(value, type):
            return type(value)(*[self(getattr(value, name)) for name in _names(type(value))])
        return value


@cache
def _names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))
