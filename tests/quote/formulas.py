"""What a formula in a quote's workbook may be made of: our functions over cells of its own sheet."""

from __future__ import annotations

import re

_PIECE = r'SUMPRODUCT|SUM|ROUND|IF|OR|[A-L]\d{1,6}|\d+(?:\.\d+)?|""|[()*+\-/:,=<>]'
_OURS = re.compile(rf"=(?>{_PIECE})+")


def is_ours(formula: str) -> bool:
    """Whether nothing else stands in a formula: no text, no other sheet or file, no other function."""
    return bool(_OURS.fullmatch(formula))
