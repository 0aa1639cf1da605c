"""Lengths as exact integers.

A length inside cutopt is an `int` that counts eighths of a micrometre: 1 mm is 8,000 and
1/64 in is 3,175 of them, so every multiple of 0.001 mm and of 1/64 in is whole and sums are
exact. (1 in = 25.4 mm by definition: International Yard and Pound Agreement, 1959.)
Nothing is rounded in silence: what lies off this grid is refused.
"""

import re
from decimal import Decimal
from fractions import Fraction
from typing import Literal

Units = Literal["mm", "in"]

MM = 8_000
INCH = 203_200
#: The longest length that cutopt reads, 1 km: far above any room, far below 64 bits.
LONGEST = 1_000_000 * MM
#: A number this close to the grid (a millionth of a millimetre) carries the noise of binary
#: floating point, such as 0.1 + 0.2; it means the grid value.
NOISE = Fraction(MM, 1_000_000)

_PER_UNIT = {
    "mm": MM,
    "millimetre": MM,
    "cm": 10 * MM,
    "m": 1_000 * MM,
    "in": INCH,
    '"': INCH,
    "″": INCH,
    "ft": 12 * INCH,
    "'": 12 * INCH,
    "′": 12 * INCH,
}
_MAGNITUDE = r"(?:\d+\s+\d+/\d+|\d+-\d+/\d+|\d+/\d+|\d+(?:\.\d+)?|\.\d+)"
_FEET_AND_INCHES = re.compile(
    rf"(?P<sign>-?)(?P<feet>\d+)\s*(?:'|′|ft)\s*-?\s*(?P<inches>{_MAGNITUDE})\s*(?:\"|″|in)"
)
_ONE_UNIT = re.compile(rf"(?P<sign>-?)(?P<number>{_MAGNITUDE})\s*(?P<unit>mm|cm|m|in|ft|\"|″|'|′)")
_MOST_CHARACTERS = 40

RULE = (
    "a length is a number in the document's units or a text such as '600 mm', '60 cm', "
    "'2.4 m', '23 5/8 in' or 7'-6 1/2\""
)


def parse_length(value: object, units: Units = "mm") -> int:
    r"""Return a length in eighths of a micrometre.

    Parameters
    ----------
    value : int, float, Decimal or str
        A number counts in `units`; a text carries its own unit (mm, cm, m, in, ft, feet and
        inches, with fractions).
    units : {"mm", "in"}
        What a bare number counts.

    Raises
    ------
    ValueError
        When it is no length, lies off the grid of 0.001 mm and 1/64 in, or is beyond 1 km.

    Examples
    --------
    >>> parse_length("23 5/8 in") == parse_length(23.625, "in")
    True
    >>> parse_length("7'-6 1/2\"") == parse_length(90.5, "in")
    True
    """
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | str):
        raise ValueError(RULE)
    if isinstance(value, int) and abs(value) * _PER_UNIT[units] <= LONGEST:
        return value * _PER_UNIT[units]  # most lengths by far: nothing to be rounded
    exact = _from_text(value) if isinstance(value, str) else _from_number(value, units)
    if abs(exact) > LONGEST:
        raise ValueError("a length is at most 1 km")
    whole = round(exact)
    if abs(exact - whole) > (0 if isinstance(value, str) else NOISE):
        raise ValueError(
            "a length is a multiple of 0.001 mm or of 1/64 in; "
            f"the nearest is {show_length(whole, units)}"
        )
    return whole


def _from_number(value: int | float | Decimal, units: Units) -> Fraction:
    if isinstance(value, int) and abs(value) > LONGEST:  # too long even for str()
        raise ValueError("a length is at most 1 km")
    # str() of a float is the shortest decimal that means it, which is what the sender wrote.
    number = Decimal(str(value)) if isinstance(value, float) else Decimal(value)
    if not number.is_finite():
        raise ValueError("a length is a finite number")
    if number.adjusted() > 12:
        raise ValueError("a length is at most 1 km")
    if number and number.adjusted() < -40:
        number = Decimal(0)
    return Fraction(number) * _PER_UNIT[units]


def _from_text(text: str) -> Fraction:
    if len(text) > _MOST_CHARACTERS:
        raise ValueError(f"a length is written with at most {_MOST_CHARACTERS} characters")
    text = text.strip()
    if match := _FEET_AND_INCHES.fullmatch(text):
        feet, inches = Fraction(match["feet"]), _magnitude(match["inches"])
        if inches >= 12:
            raise ValueError("after feet come less than 12 inches")
        return _signed(match["sign"], feet * _PER_UNIT["ft"] + inches * INCH)
    if match := _ONE_UNIT.fullmatch(text):
        return _signed(match["sign"], _magnitude(match["number"]) * _PER_UNIT[match["unit"]])
    raise ValueError(RULE)


def _signed(sign: str, exact: Fraction) -> Fraction:
    return -exact if sign else exact


def _magnitude(text: str) -> Fraction:
    parts = re.split(r"[\s-]+", text)
    try:
        return sum((Fraction(part) for part in parts), Fraction(0))
    except ZeroDivisionError:
        raise ValueError("a fraction is not divided by zero") from None


def to_json(length: int, units: Units) -> int | float | str:
    """Return a length as it stands in a document: a number in `units` where that is exact.

    Millimetres always are. A length that is no finite decimal in inches (600 mm is
    23.6220… in) is a text with its own unit, so that nothing is lost.
    """
    exact = Fraction(length, _PER_UNIT[units])
    if exact.denominator == 1:
        return int(exact)
    number = float(exact)
    return number if Fraction(repr(number)) == exact else f"{_decimal(Fraction(length, MM))} mm"


def show_length(length: int, units: Units) -> str:
    """Return a length for people, with its unit: `"254.5 mm"`, `"23 5/8 in"`."""
    return f"{show_number(length, units)} {units}"


def read_off(length: float, units: Units) -> int:
    """Return a length as somebody with a rule reads it: to 0.1 mm or 1/64 in."""
    step = INCH // 64 if units == "in" else MM // 10
    return round(length / step) * step


def show_down(length: float, units: Units) -> str:
    """Return a length for people, with its unit, rounded down to what a rule shows.

    So what is a little too small never reads as large enough.
    """
    step = INCH // 64 if units == "in" else MM // 10
    return show_length(int(length // step) * step, units)


def show_number(length: int, units: Units) -> str:
    """Return a length for people without its unit, to 1/64 in or to 0.001 mm.

    What is no multiple of 1/64 in is shown as a decimal to 0.001 in.
    """
    if units == "mm":
        return _trimmed(Fraction(length, MM))
    inches = Fraction(abs(length), INCH)
    if 64 % inches.denominator:
        return _trimmed(Fraction(length, INCH))
    whole, rest = divmod(inches, 1)
    parts = [str(whole)] if whole or not rest else []
    parts += [str(rest)] if rest else []
    return ("-" if length < 0 else "") + " ".join(parts)


def _decimal(exact: Fraction) -> str:
    """Return a fraction whose denominator divides a power of ten, in full."""
    scaled = exact * 1_000_000
    return format((Decimal(scaled.numerator) / 1_000_000).normalize(), "f")


def _trimmed(exact: Fraction) -> str:
    text = f"{float(exact):.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
