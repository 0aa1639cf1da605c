"""How labels and signs look: names and sizes, the arrow that points up, white behind text."""

from cutopt.reports.lettering import ARROW, LEADING, Label
from cutopt.reports.svg import PAPER, Spot, element, moved, polygon, rect, spans

#: From the middle of a line of capitals and figures down to its baseline, for a size of one.
BASELINE = 0.36
_ARROW_CORNERS = (
    (0.0, -0.5),
    (0.36, 0.0),
    (0.11, 0.0),
    (0.11, 0.5),
    (-0.11, 0.5),
    (-0.11, 0.0),
    (-0.36, 0.0),
)


def arrow(centre: Spot, size: float, turn: int) -> str:
    """Return the arrow that points to the top of a piece as it is laid."""
    shape = polygon([(x * size, y * size) for x, y in _ARROW_CORNERS], class_="up")
    if turn % 360:
        shape = element("g", shape, transform=f"rotate({-turn})")
    return moved(shape, *centre)


def drawn(label: Label, turn: int) -> str:
    """Return a label's rows; the arrow turns with the piece, not with the text."""
    step = label.size * LEADING
    top = -len(label.rows) * step / 2
    lines = []
    for at, row in enumerate(label.rows):
        y = top + (at + 0.5) * step
        if at == 0 and label.arrow:
            left = -label.widths[0] / 2
            turned = turn if label.upright else turn - 90
            lines.append(arrow((left + label.size / 2, y), label.size, turned))
            spot = (left + ARROW * label.size, y + BASELINE * label.size)
            lines.append(spans(row, spot, label.size))
        else:
            spot = (0.0, y + BASELINE * label.size)
            lines.append(spans(row, spot, label.size, text_anchor="middle"))
    marks = "".join(lines)
    if not label.upright:
        marks = element("g", marks, transform="rotate(-90)")
    return moved(marks, *label.centre)


def backing(label: Label) -> str:
    """Return the white behind a label on a hatched ground."""
    width, height = label.box
    return paper(label.centre, width + 0.6, height + 0.6)


def paper(centre: Spot, width: float, height: float) -> str:
    """Return a white rectangle around a spot."""
    return rect((centre[0] - width / 2, centre[1] - height / 2), width, height, fill=PAPER)
