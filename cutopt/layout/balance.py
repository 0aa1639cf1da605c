"""Whether the two ends of a surface look alike."""

from collections.abc import Iterator

from cutopt.documents.mosaic import Mosaic
from cutopt.layout import sources
from cutopt.layout.ground import Ground
from cutopt.layout.model import Finding, LaidSurface
from cutopt.plane import Rect, box_of
from cutopt.units import MM, show_down

#: Ends that differ by less than this look alike (the standard gives no number: our reading).
ALIKE = 2 * MM


def findings_of_balance(ground: Ground, laid: LaidSurface) -> Iterator[Finding]:
    """Return a finding when the cuts at two opposite ends differ.

    For level courses on rectangles: left and right, on floors also front and back. The ends of
    all courses are compared as sets, so a half bond is balanced when it is so over two courses.
    """
    surface = ground.surface
    if surface.width is None or surface.bond.kind not in ("stack", "running"):
        return
    if surface.bond.angle != 0:
        return
    ends = end_sizes(laid)
    if ground.tile.mosaic is not None:
        ends = _of_chips(ends, ground.tile.mosaic)
    pairs = [("left", "right")]
    if surface.kind == "floor":
        pairs.append(("bottom", "top"))
    for one, other in pairs:
        first, second = sorted(ends[one]), sorted(ends[other])
        if any(abs(a - b) > ALIKE for a, b in zip(first, second, strict=False)):
            sizes = (f"{side} {show_down(min(ends[side]), ground.units)}" for side in (one, other))
            yield Finding(
                kind="unbalanced",
                place=laid.place,
                labels=(),
                value=", ".join(sizes),
                rule="areas of tile are centred and balanced: opposite cuts are equal (to 2 mm)",
                source=sources.WORKMANSHIP,
            )


def _of_chips(ends: dict[str, list[int]], mosaic: Mosaic) -> dict[str, list[int]]:
    """Return the sizes of the chips along each side: how much of a sheet there is does not show."""
    pitches = {"left": mosaic.across, "right": mosaic.across}
    return {
        side: [size % pitches.get(side, mosaic.up) for size in sizes]
        for side, sizes in ends.items()
    }


def end_sizes(laid: LaidSurface) -> dict[str, list[int]]:
    """Return the sizes of the pieces along each side of the field, in the frame of the bond."""
    field = box_of(laid.field)
    ends: dict[str, list[int]] = {"left": [], "right": [], "bottom": [], "top": []}
    whole = laid.whole
    right, top = whole.x + whole.width == field.right, whole.y + whole.height == field.top
    at_an_end = (whole.x == field.x) | (whole.y == field.y) | right | top
    boxes = [box_of(piece.shape.outer) for piece in laid.cut]
    boxes += [Rect(*row[:4]) for row in whole.take(at_an_end).rows()]
    for box in boxes:
        if box.x == field.x:
            ends["left"].append(box.width)
        if box.right == field.right:
            ends["right"].append(box.width)
        if box.y == field.y:
            ends["bottom"].append(box.height)
        if box.top == field.top:
            ends["top"].append(box.height)
    return ends
