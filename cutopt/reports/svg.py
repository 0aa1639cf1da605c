"""A small vocabulary for drawings: SVG 1.1 elements as text, in millimetres on paper."""

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

from cutopt.reports.words import plain

INK = "#000000"
PAPER = "#ffffff"
GREY = "#c4c4c4"

Spot = tuple[float, float]
Value = str | float


def figure(value: float) -> str:
    """Return a coordinate to a hundredth, without needless zeros: the same bytes everywhere."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, content: str = "", /, **attributes: Value) -> str:
    """Return an element; `stroke_width=0.2` becomes `stroke-width="0.2"`, `class_` `class`."""
    pairs = "".join(f" {_name(key)}={_value(value)}" for key, value in attributes.items())
    return f"<{name}{pairs}>{content}</{name}>" if content else f"<{name}{pairs}/>"


def _name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def _value(value: Value) -> str:
    return quoteattr(plain(value)) if isinstance(value, str) else f'"{figure(value)}"'


def group(marks: Iterable[str], title: str = "", **attributes: Value) -> str:
    """Return marks as a group, named for those who hear the drawing instead of seeing it."""
    named = [element("title", escape(plain(title)))] if title else []
    return element("g", "\n" + "\n".join([*named, *marks]) + "\n", **attributes)


def moved(mark: str, x: float, y: float) -> str:
    """Return a mark moved to the right and down."""
    return element("g", mark, transform=f"translate({figure(x)} {figure(y)})")


def text(words: str, at: Spot, size: float, **attributes: Value) -> str:
    """Return a line of text whose baseline begins at a spot."""
    x, y = at
    return element("text", escape(plain(words)), x=x, y=y, font_size=size, **attributes)


def spans(row: Sequence[tuple[str, bool]], at: Spot, size: float, **attributes: Value) -> str:
    """Return a line of text of several words, each with whether it is bold."""
    parts = (
        element("tspan", escape(plain(words)), font_weight="bold") if bold else escape(plain(words))
        for words, bold in row
    )
    x, y = at
    return element("text", " ".join(parts), x=x, y=y, font_size=size, **attributes)


def line(start: Spot, end: Spot, width: float, **attributes: Value) -> str:
    """Return a straight line."""
    (x1, y1), (x2, y2) = start, end
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=INK, stroke_width=width, **attributes)


def rect(at: Spot, width: float, height: float, **attributes: Value) -> str:
    """Return a rectangle by its upper left corner."""
    return element("rect", x=at[0], y=at[1], width=width, height=height, **attributes)


def circle(centre: Spot, radius: float, **attributes: Value) -> str:
    """Return a circle."""
    return element("circle", cx=centre[0], cy=centre[1], r=radius, **attributes)


def polygon(corners: Sequence[Spot], **attributes: Value) -> str:
    """Return a closed outline."""
    return element("path", d=way(corners), **attributes)


def way(corners: Sequence[Spot]) -> str:
    """Return a closed outline as path data."""
    return "M" + "L".join(f"{figure(x)} {figure(y)}" for x, y in corners) + "Z"


def way_round(centre: Spot, radius: float) -> str:
    """Return a circle as path data, so that it can be a hole in a path."""
    (x, y), r = centre, figure(radius)
    left, right = figure(x - radius), figure(x + radius)
    return (
        f"M{left} {figure(y)}A{r} {r} 0 1 0 {right} {figure(y)}A{r} {r} 0 1 0 {left} {figure(y)}Z"
    )


def hatch(name: str, gap: float, width: float) -> str:
    """Return the definition of a hatch of slanted lines on white."""
    lines = rect((0, 0), gap, gap, fill=PAPER) + line((0, 0), (0, gap), width)
    return element(
        "pattern",
        lines,
        id=name,
        width=gap,
        height=gap,
        patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )


def document(
    marks: Iterable[str],
    size: tuple[float, float],
    title: str,
    about: str,
    paper: tuple[float, float] | None = None,
) -> str:
    """Return a standalone drawing of a size in millimetres, with its title and description.

    A browser prints it on sheets of `paper`, where that is given, to the edge of each.
    """
    width, height = size
    sheet = f"@page{{size:{figure(paper[0])}mm {figure(paper[1])}mm;margin:0}}" if paper else ""
    head = [
        *([element("style", sheet)] if sheet else []),
        element("title", escape(plain(title)), id="title"),
        element("desc", escape(plain(about)), id="about"),
        rect((0, 0), width, height, fill=PAPER),
    ]
    drawing = element(
        "svg",
        "\n" + "\n".join([*head, *marks]) + "\n",
        xmlns="http://www.w3.org/2000/svg",
        width=f"{figure(width)}mm",
        height=f"{figure(height)}mm",
        viewBox=f"0 0 {figure(width)} {figure(height)}",
        role="img",
        aria_labelledby="title about",
        font_family="sans-serif",
        fill=INK,
    )
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{drawing}\n'
