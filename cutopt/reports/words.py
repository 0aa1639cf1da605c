"""Wording that the reports share: safe text, sizes, counts, line breaks."""

import re
import unicodedata
from collections.abc import Callable, Iterator
from decimal import Decimal

from cutopt.units import Units, read_off, show_number

_BREAK = re.compile(r"(?<=[ \-_])|(?<=[^\d]/)")
#: A space at which no line breaks.
NO_BREAK = "\u00a0"
_BIDI = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_NOT_XML = frozenset("\ufffe\uffff")


def plain(text: str) -> str:
    """Return text that can neither steer a terminal, nor break a line, nor an XML file."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_plain_character, text))


def _plain_character(character: str) -> str:
    category = unicodedata.category(character)
    if category in ("Cc", "Zl", "Zp"):
        return " "
    if category == "Cs" or character in _BIDI or character in _NOT_XML:
        return "\ufffd"
    return character


def number_text(length: int, units: Units) -> str:
    """Return a length without its unit, in one word, as it is read off a rule.

    No line breaks before its fraction. Documents and tables hold the exact length.
    """
    return show_number(read_off(length, units), units).replace(" ", NO_BREAK)


def size_text(width: int, height: int, units: Units, times: str = "×") -> str:
    """Return a size without its unit, in one word: `"250 × 300"`, as it is read off a rule."""
    between = f"{NO_BREAK}{times}{NO_BREAK}"
    return number_text(width, units) + between + number_text(height, units)


def counted(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun: `"1 tile"`, `"2 tiles"`, `"2 boxes"`."""
    return f"{number:,} {one if number == 1 else many or f'{one}s'}"


def money(amount: Decimal) -> str:
    """Return an amount with two decimals; nobody said in which currency."""
    return f"{amount:,.2f}"


def columns_of(text: str) -> int:
    """Return how many columns of a terminal a text takes."""
    return sum(map(_columns_of_character, text))


def _columns_of_character(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def wrapped(text: str, room: float, measure: Callable[[str], float]) -> list[str]:
    """Return a text in lines no longer than the room, broken at spaces and hyphens if possible."""
    lines = [""]
    for word in _words(text, room, measure):
        if lines[-1] and measure((lines[-1] + word).rstrip()) > room:
            lines.append("")
        lines[-1] += word if lines[-1] else word.lstrip()
    return [line.rstrip() for line in lines]


def _words(text: str, room: float, measure: Callable[[str], float]) -> Iterator[str]:
    """Yield the words, those longer than a line in lengths that fit."""
    for word in filter(None, _BREAK.split(text)):
        piece = ""
        for character in word:
            if piece and measure((piece + character).rstrip()) > room:
                yield piece
                piece = ""
            piece += character
        yield piece
