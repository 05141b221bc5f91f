"""Numbers as letters, as columns of a sheet and marks of batches have them: A to Z, then AA, AB and so on."""

from __future__ import annotations


def letters_of(number: int) -> str:
    """The letters of a number from 0 on; none below it.

    >>> [letters_of(number) for number in (0, 25, 26, 701, 702)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    text = ""
    number += 1
    while number > 0:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
