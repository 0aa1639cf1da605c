"""Lines of a text report: a name at the margin, words wrapped beside it."""

from collections.abc import Iterator

from cutopt.reports.words import NO_BREAK, columns_of, wrapped

WIDTH = 80
MARGIN = 12


def item(name: str, text: str) -> Iterator[str]:
    """Yield a text with a name at the margin."""
    return filled(text, f"  {name}".ljust(MARGIN))


def filled(text: str, start: str = "") -> Iterator[str]:
    """Yield a text in lines that fit, the second and later ones indented below the first."""
    for number, line in enumerate(wrapped(text, WIDTH - len(start), columns_of)):
        yield (start if number == 0 else " " * len(start)) + line.replace(NO_BREAK, " ")
