"""A kit's words as YAML, so that none of them is anything but the one value it stands for."""

from __future__ import annotations

import json
import re

from harness.survey.doubts import MARK

_PLAIN = re.compile(r"[^\W_][\w .°²/%+*'-]*", re.UNICODE)
_WORDS = frozenset({"yes", "no", "true", "false", "on", "off", "null", "y", "n"})


def scalar(text: str) -> str:
    """A text as YAML takes it in braces: plain where that is safe, else in quotes.

    >>> scalar("left lamp"), scalar("a: b"), scalar("yes")
    ('left lamp', '"a: b"', '"yes"')
    """
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS and text == text.strip():
        return text
    return json.dumps(text, ensure_ascii=False)


def doubtful(text: str, mark: str = MARK) -> str:
    """A figure with the mark behind it that says it was not measured.

    >>> doubtful("5 A"), doubtful("5 A # x")
    ('5 A?', '"5 A # x?"')
    """
    return text + mark if _PLAIN.fullmatch(text) else scalar(text + mark)
