"""From the bond of a job to the cells it makes, in the frame of the bond."""

import math
from fractions import Fraction

from cutopt.documents import Bond, JobTile, Surface
from cutopt.geometry import Courses, Frame, Member, Motif
from cutopt.plane import Point, Rect

#: Courses of planks repeat after this many at the latest.
MOST_STEPS = 100
#: Each course of planks goes on by about this share of a plank: it looks least like stairs.
LIVELY = 0.382


def cells_of_bond(
    surface: Surface, tile: JobTile, frame: Frame, field: Rect, step: int
) -> Courses | Motif:
    """Return the bond of a surface, set to its start.

    Parameters
    ----------
    surface : Surface
        With bond, joint and start.
    tile : JobTile
        Its tile.
    frame : Frame
        The frame of the bond.
    field : Rect
        The box of what is tiled, in the frame.
    step : int
        What a shift is rounded to when it is a share of the tile.
    """
    origin = _origin(surface, tile, frame, field)
    bond, joint = surface.bond, surface.joint
    if bond.kind == "herringbone":
        return _herringbone(tile, joint, origin)
    if bond.kind == "basket weave":
        return _basket_weave(tile, joint, origin)
    upright = bond.along == "columns"
    pitch = (tile.height if upright else tile.width) + joint
    shifts = tuple(shifts_of(bond, pitch, step))
    return Courses((tile.width, tile.height), joint, origin, shifts, upright)


def _origin(surface: Surface, tile: JobTile, frame: Frame, field: Rect) -> Point:
    """Return the lower left corner of the first tile."""
    start = surface.start
    if start is None:
        if frame.is_level:
            return field.x, field.y
        return (
            field.x + (field.width - tile.width) // 2,
            field.y + (field.height - tile.height) // 2,
        )
    ((x, y),) = frame.inward([start.point or (0, 0)])
    if start.of == "centre":
        x, y = x - tile.width // 2, y - tile.height // 2
    return x + start.x, y + start.y


def shifts_of(bond: Bond, pitch: int, step: int) -> list[int]:
    """Return by how much each course is shifted, until the courses repeat.

    Shares of the pitch are rounded to the step course by course, so nothing adds up.
    """
    if bond.kind == "running":
        share = Fraction(1, 2) if bond.offset is None else bond.offset
        return [_rounded(pitch * (share * at % 1), step) for at in range(share.denominator)]
    if bond.kind == "planks" and bond.starts is not None:
        return [shift % pitch for shift in bond.starts]
    if bond.kind == "planks" and bond.stagger is not None:
        return _staggered(pitch, bond.stagger)
    return [0]


def _rounded(length: Fraction, step: int) -> int:
    """Return a whole length as it is, any other rounded to the step."""
    return int(length) if length.denominator == 1 else step * round(length / step)


def _staggered(pitch: int, stagger: int) -> list[int]:
    """Return shifts of which neighbours differ by at least the stagger, also round the end.

    The shifts are multiples of the stagger, as many as a plank and its joint hold; each course
    goes on by a number of them that has no divisor in common with their count, so every shift
    is used before the first comes back.
    """
    count = min(pitch // stagger, MOST_STEPS)
    strides = [stride for stride in range(1, count) if math.gcd(stride, count) == 1]
    stride = min(strides, key=lambda stride: abs(stride - LIVELY * count))
    return [stagger * (at * stride % count) for at in range(count)]


def _herringbone(tile: JobTile, joint: int, origin: Point) -> Motif:
    """Return the zigzag of lying and standing tiles; it closes for every tile and joint."""
    longer, shorter = max(tile.width, tile.height), min(tile.width, tile.height)
    a, b = longer + joint, shorter + joint
    lying, standing = (0, 90) if tile.width >= tile.height else (90, 0)
    members = (
        Member((0, 0), (longer, shorter), lying),
        Member((a, b - a), (shorter, longer), standing),
    )
    return Motif(members, along=(b, b), across=(a, -a), origin=origin)


def _basket_weave(tile: JobTile, joint: int, origin: Point) -> Motif:
    """Return squares of lying tiles next to squares of standing ones."""
    longer, shorter = max(tile.width, tile.height), min(tile.width, tile.height)
    square, step = longer + joint, shorter + joint
    lying, standing = (0, 90) if tile.width >= tile.height else (90, 0)
    rows = range(square // step)
    members = (
        *(Member((0, at * step), (longer, shorter), lying) for at in rows),
        *(Member((square + at * step, 0), (shorter, longer), standing) for at in rows),
    )
    return Motif(members, along=(2 * square, 0), across=(square, square), origin=origin)
