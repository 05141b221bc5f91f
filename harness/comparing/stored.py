"""A design read back from its design.json."""

from __future__ import annotations

import json
import types
from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from harness.model.design import Design
from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong, Where

FORMAT = "harness design 1"
MOST_BYTES = LIMITS["design bytes"].most
MOST = 1e12  # no figure of a machine is as large


class _Wrong(ValueError):
    """A value that is not what it should be; ``at`` grows on the way out: "wires[0].length_m"."""

    def __init__(self, at: str = "") -> None:
        super().__init__()
        self.at = at

    def within(self, outer: str) -> _Wrong:
        """The same, seen from one level further out."""
        inner = self.at if self.at.startswith("[") or not self.at else f".{self.at}"
        return _Wrong(f"{outer}{inner}")


Maker = Callable[[Any], Any]


@cache
def _maker(hint: Any) -> Maker:
    """What makes a value of one type out of plain data; it raises _Wrong."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        inner = _maker(next(each for each in get_args(hint) if each is not type(None)))
        empty = type(None) in get_args(hint)
        return lambda value: None if value is None and empty else inner(value)
    if origin is Literal:
        return _one_of(get_args(hint))
    if origin in (list, tuple):
        return _row(origin, get_args(hint))
    if origin is dict:
        return _mapping(_maker(get_args(hint)[1]))
    if isinstance(hint, type) and is_dataclass(hint):
        return _object(hint)
    return _figure if hint is float else _plain(hint)


def _figure(value: Any) -> float:
    # neither infinite nor "not a number" either
    if type(value) not in (int, float) or not -MOST < value < MOST:
        raise _Wrong
    return float(value)


def _plain(kind: Any) -> Maker:
    def make(value: Any) -> Any:
        if type(value) is not kind or (kind is int and abs(value) >= MOST):
            raise _Wrong
        return value

    return make


def _one_of(words: tuple[Any, ...]) -> Maker:
    def make(value: Any) -> Any:
        if not isinstance(value, str) or value not in words:
            raise _Wrong
        return value

    return make


def _row(origin: Any, args: tuple[Any, ...]) -> Maker:
    even = origin is list or args[-1] is Ellipsis
    makers = [_maker(each) for each in (args[:1] if even else args)]

    def make(value: Any) -> Any:
        if not isinstance(value, list) or not (even or len(value) == len(makers)):
            raise _Wrong
        found = []
        for at, each in enumerate(value):
            try:
                found.append(makers[0 if even else at](each))
            except _Wrong as wrong:
                raise wrong.within(f"[{at}]") from None
        return origin(found)

    return make


def _mapping(inner: Maker) -> Maker:
    def make(value: Any) -> Any:
        if not isinstance(value, dict):
            raise _Wrong
        found = {}
        for key, each in value.items():
            try:
                found[key] = inner(each)
            except _Wrong as wrong:
                raise wrong.within(key) from None
        return found

    return make


def _object(kind: type) -> Maker:
    hints = get_type_hints(kind)
    keys = [
        (each.name.rstrip("_"), each.name, _maker(hints[each.name]),
         each.default is MISSING and each.default_factory is MISSING)
        for each in fields(kind)
    ]  # fmt: skip

    def make(value: Any) -> Any:
        if not isinstance(value, dict):
            raise _Wrong
        given = {}
        for key, name, inner, needed in keys:
            if key in value:
                try:
                    given[name] = inner(value[key])
                except _Wrong as wrong:
                    raise wrong.within(key) from None
            elif needed:
                raise _Wrong(key)
        return kind(**given)

    return make


def design_of_json(content: bytes, name: str) -> Design:
    """The design in a design.json; keys it does not know are passed over. Raises SurveyWrong."""
    fix = "make it anew by `harness build SURVEY`"
    try:
        value = json.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise SurveyWrong([Problem(Where(name), "is not UTF-8 text", fix)]) from None
    except json.JSONDecodeError as error:
        where = Where(name, error.lineno, error.colno)
        what = f"is not JSON: {error.msg}" if content.strip() else "is empty"
        raise SurveyWrong([Problem(where, what, fix)]) from None
    except (RecursionError, ValueError):
        raise SurveyWrong([Problem(Where(name), "is not JSON that can be read", fix)]) from None
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise SurveyWrong([Problem(Where(name), f"is not a design ('format' is not '{FORMAT}')", fix)])
    try:
        design = _maker(Design)(value)
    except _Wrong as wrong:
        what = f"'{wrong.at}' is missing or not what it should be"
        raise SurveyWrong([Problem(Where(name), what, fix)]) from None
    assert isinstance(design, Design)
    return design
