"""A design read back from its design.json."""

from __future__ import annotations

import json
import types
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from harness.model.design import Design
from harness.model.problem import Problem, SurveyWrong, Where

FORMAT = "harness design 1"
MOST_BYTES = 200_000_000
MOST = 1e12  # no figure of a machine is as large


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _made(hint: Any, value: Any, at: str) -> Any:
    """One value as its type; raises ValueError with where it stands."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        if value is None:
            if type(None) in get_args(hint):
                return None
            raise ValueError(at)
        return _made(next(each for each in get_args(hint) if each is not type(None)), value, at)
    if origin is Literal:
        if not isinstance(value, str):
            raise ValueError(at)
        return value
    if origin is list:
        if not isinstance(value, list):
            raise ValueError(at)
        (inner,) = get_args(hint)
        return [_made(inner, each, f"{at}[{number}]") for number, each in enumerate(value)]
    if origin is dict:
        if not isinstance(value, dict):
            raise ValueError(at)
        inner = get_args(hint)[1]
        return {key: _made(inner, each, f"{at}.{key}") for key, each in value.items()}
    if is_dataclass(hint) and isinstance(hint, type):
        return _object(hint, value, at)
    if hint is float and isinstance(value, int | float) and not isinstance(value, bool):
        if not -MOST < value < MOST:  # neither infinite nor "not a number" either
            raise ValueError(at)
        return float(value)
    if origin is tuple:
        if not isinstance(value, list):
            raise ValueError(at)
        inner = get_args(hint)
        kinds = (inner[0],) * len(value) if inner[-1] is Ellipsis else inner
        if len(kinds) != len(value):
            raise ValueError(at)
        return tuple(_made(each, item, at) for each, item in zip(kinds, value, strict=True))
    if isinstance(hint, type) and type(value) is hint:
        return value
    raise ValueError(at)


def _object(kind: type, value: Any, at: str) -> Any:
    if not isinstance(value, dict):
        raise ValueError(at)
    given = {}
    for each in fields(kind):
        key = each.name.rstrip("_")
        if key in value:
            given[each.name] = _made(_hints(kind)[each.name], value[key], f"{at}.{key}".lstrip("."))
        elif each.default is MISSING and each.default_factory is MISSING:
            raise ValueError(f"{at}.{key}".lstrip("."))
    return kind(**given)


def design_of_json(content: bytes, name: str) -> Design:
    """The design in a design.json; keys it does not know are passed over. Raises SurveyWrong."""
    fix = "make it anew by `harness build SURVEY`"
    try:
        value = json.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise SurveyWrong([Problem(Where(name), "is not UTF-8 text", fix)]) from None
    except json.JSONDecodeError as error:
        where = Where(name, error.lineno, error.colno)
        raise SurveyWrong([Problem(where, f"is not JSON: {error.msg}", fix)]) from None
    except (RecursionError, ValueError):
        raise SurveyWrong([Problem(Where(name), "is not JSON that can be read", fix)]) from None
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise SurveyWrong([Problem(Where(name), f"is not a design ('format' is not '{FORMAT}')", fix)])
    try:
        design = _made(Design, value, "")
    except (ValueError, RecursionError) as error:
        what = f"'{error}' is missing or not what it should be" if str(error) else "is not a design"
        raise SurveyWrong([Problem(Where(name), what, fix)]) from None
    assert isinstance(design, Design)
    return design
