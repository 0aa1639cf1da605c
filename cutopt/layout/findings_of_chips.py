"""What to mind about mosaic: chips that are sawn at the boundary, and joined offcuts."""

from collections.abc import Iterator

from cutopt.documents.mosaic import Mosaic
from cutopt.layout import sources
from cutopt.layout.ground import Ground
from cutopt.layout.model import Finding, LaidPiece, LaidSurface
from cutopt.plane import box_of
from cutopt.units import show_length


def findings_of_chips(ground: Ground, laid: LaidSurface, mosaic: Mosaic) -> Iterator[Finding]:
    """Return which pieces end within a chip, by the least that stays of one, and what is joined."""
    sawn = {piece.label: left for piece in laid.cut if (left := least_chip(piece, mosaic))}
    if sawn:
        size = show_length(min(sawn.values()), ground.units)
        count = f"{len(sawn)} piece{'s' * (len(sawn) > 1)}"
        yield Finding(
            kind="sawn chips",
            place=laid.place,
            labels=tuple(sawn),
            value=f"{count}, the smallest chip left {size}",
            rule="sheets are parted along joints of chips; chips are sawn at the boundary only",
            source=sources.HOW_TO,
            level="warning" if min(sawn.values()) < _least(mosaic) else "note",
        )
    joined = tuple(piece.label for piece in laid.cut if piece.is_joined)
    if joined:
        yield Finding(
            kind="joined",
            place=laid.place,
            labels=joined,
            value=f"{len(joined)} parts",
            rule="two offcuts of sheets make one piece, joined along a joint of chips",
            source="saves a sheet; mosaic.joined says whether it may be",
            level="note",
        )


def _least(mosaic: Mosaic) -> int:
    """Return half a chip: cuts are usually not smaller than half a tile (A108.02)."""
    return int(min(mosaic.chip_width, mosaic.chip_height)) // 2


def least_chip(piece: LaidPiece, mosaic: Mosaic) -> int:
    """Return what stays of the narrowest sawn chip along the sides of a piece; 0 if none is."""
    box, cell = box_of(piece.shape.outer), piece.cell
    sizes = (mosaic.across, mosaic.up)
    across, up = sizes[::-1] if piece.turn else sizes
    joint = mosaic.parting
    left = [
        _left_of_a_chip(-(box.x - cell.x), across, joint),
        _left_of_a_chip(box.right - cell.x, across, joint),
        _left_of_a_chip(-(box.y - cell.y), up, joint),
        _left_of_a_chip(box.top - cell.y, up, joint),
    ]
    return min((size for size in left if size), default=0)


def _left_of_a_chip(reach: int, pitch: int, joint: int) -> int:
    """Return what stays of the last chip that reaches so far; 0 where it is whole.

    A reach to the left is below zero: its last chip is measured from its right edge.
    """
    chip = pitch - joint
    stays = reach % pitch if reach >= 0 else (reach - joint) % pitch
    return stays if 0 < stays < chip else 0
