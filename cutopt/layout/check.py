"""The check of a take-off: compares pieces and request with the job, area for area.

It shares no code with the take-off. What may be tiled is found by subtracting strips in
floating point, the cells are listed from the definition of the bond, and each cell must hold
exactly what the surface leaves of it. A fault found here is ours, never the user's.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import cutopt.layout.expected as job_says
from cutopt.documents import Job, JobTile, Side, Surface
from cutopt.errors import Fault
from cutopt.geometry.audit import (
    Areas,
    Field,
    Numbers,
    concatenated,
    differences,
    repeated,
    rounded,
    shared_area,
)
from cutopt.geometry.lattice import Lattice
from cutopt.layout.check_request import faults_of_request
from cutopt.layout.model import Gap, LaidPiece, LaidSurface, TakeOff
from cutopt.plane import Rect, box_of, doubled_area
from cutopt.units import MM

#: A cell lies on the bond to 0.001 mm.
ROUNDING = 8
#: Areas agree to this width along every edge: corners are rounded to the grid, twice.
BLUR = 2
SQUARE_MM = MM * MM


def check_take_off(job: Job, take_off: TakeOff) -> tuple[Fault, ...]:
    """Return what is wrong with a take-off: nothing, when it is right.

    Parameters
    ----------
    job : Job
        The measured job.
    take_off : TakeOff
        What `take_off` made of it.
    """
    faults: list[Fault] = []
    expected = list(job.surfaces)
    if [place for place, _ in expected] != [laid.place for laid in take_off.surfaces]:
        return (Fault("/rooms", "surfaces", "every surface of the job is taken off once"),)
    for (_, surface), laid in zip(expected, take_off.surfaces, strict=True):
        faults += _faults_of_surface(job, surface, job.tile_of(surface), laid)
    faults += faults_of_request(job, take_off)
    return tuple(faults)


def _faults_of_surface(
    job: Job, surface: Surface, tile: JobTile, laid: LaidSurface
) -> Iterator[Fault]:
    field = job_says.field_of(surface)
    claims = _Claims.of(laid)
    lattice = job_says.lattice_of(job, surface, tile, field)
    if surface.bond.stagger is not None:
        pitch = max(map(abs, lattice.along))
        shifts = claims.shifts(lattice)
        lattice = replace(lattice, shifts=_table(shifts))
        if _least_stagger(shifts, pitch) < surface.bond.stagger:
            yield Fault(laid.place, "planks", "end joints of neighbouring courses keep the stagger")
    yield from _faults_of_shapes(laid)
    yield from _faults_of_cells(surface, laid, claims, lattice, field)
    if tile.mosaic is None:
        yield from _faults_of_factory_edges(surface, laid, field)


@dataclass(frozen=True, slots=True)
class _Claims:
    """The cells that a take-off says it used, one row each, with the area it says is covered."""

    x: Numbers
    y: Numbers
    turn: Numbers
    area: Areas

    @classmethod
    def of(cls, laid: LaidSurface) -> "_Claims":
        whole = laid.whole
        shapes: list[LaidPiece | Gap] = [*laid.cut, *laid.gaps]
        return cls(
            concatenated(whole.x, [shape.cell.x for shape in shapes]),
            concatenated(whole.y, [shape.cell.y for shape in shapes]),
            concatenated(whole.turn, [shape.turn for shape in shapes]),
            concatenated(whole.width * whole.height, [_area(shape) for shape in shapes]),
        )

    def shifts(self, lattice: Lattice) -> dict[int, int]:
        """Return the shift of each course of planks, from one of its cells."""
        level = lattice.along[1] == 0
        along, across = (self.x, self.y) if level else (self.y, self.x)
        begin, side = lattice.origin if level else lattice.origin[::-1]
        pitch = max(map(abs, lattice.along))
        courses = rounded((across - side) / max(map(abs, lattice.across)))
        return dict(zip(courses, ((along - begin) % pitch).tolist(), strict=True))


def _area(shape: LaidPiece | Gap) -> float:
    rounds = shape.rounds if isinstance(shape, LaidPiece) else ()
    rings = (shape.shape.outer, *shape.shape.holes)
    discs = sum(math.pi * diameter**2 / 4 for _, diameter in rounds)
    return sum(map(doubled_area, rings)) / 2 - discs


def _table(shifts: dict[int, int]) -> list[int]:
    """Return shifts as a lattice wants them: that of course r at r modulo the length."""
    count = max(shifts) - min(shifts) + 1
    table = [0] * count
    for course, shift in shifts.items():
        table[course % count] = shift
    return table


def _least_stagger(shifts: dict[int, int], pitch: int) -> int:
    apart = [(shifts[at + 1] - shifts[at]) % pitch for at in shifts if at + 1 in shifts]
    return min((min(gap, pitch - gap) for gap in apart), default=pitch)


def _faults_of_shapes(laid: LaidSurface) -> Iterator[Fault]:
    """Labels are unique, shapes lie in their cells, and parts of one cell do not overlap."""
    cells = {(piece.course, piece.position): piece for piece in laid.cut}
    courses = concatenated(laid.whole.course, [course for course, _ in cells])
    positions = concatenated(laid.whole.position, [position for _, position in cells])
    labels = Counter(piece.label for piece in laid.cut)
    twice = repeated(courses, positions) + labels.total() - len(labels)
    if twice:
        yield Fault(laid.place, f"{twice} labels", "each label stands for one piece")
    for cut in laid.cut:
        if not cut.label.startswith(f"{laid.mark}{cut.course}.{cut.position}"):
            yield Fault(laid.place, cut.label, "a label names surface, course and position")
    in_cell: dict[Rect, list[LaidPiece | Gap]] = defaultdict(list)
    shapes: list[LaidPiece | Gap] = [*laid.cut, *laid.gaps]
    for piece in shapes:
        box, cell = box_of(piece.shape.outer), piece.cell
        if box.x < cell.x or box.y < cell.y or box.right > cell.right or box.top > cell.top:
            yield Fault(laid.place, piece.label, "a piece lies in its cell")
        in_cell[cell].append(piece)
    for parts in in_cell.values():
        for first, second in combinations(parts, 2):
            if shared_area(first.shape.outer, second.shape.outer) > ROUNDING**2:
                names = f"{first.label} and {second.label}"
                yield Fault(laid.place, names, "no two pieces overlap")


def _faults_of_cells(
    surface: Surface, laid: LaidSurface, claims: _Claims, lattice: Lattice, field: Field
) -> Iterator[Fault]:
    """Each cell of the bond, and no other, holds what the surface leaves of it."""
    numbers, off = lattice.numbers(claims.x, claims.y, claims.turn)
    if len(off) and off.max() > ROUNDING:
        yield Fault(laid.place, f"{(off > ROUNDING).sum()} cells", "cells lie on the bond")
        return
    listed, boxes = lattice.cells(field.bounds)
    areas = field.areas_in(*boxes.T)
    for number, found, left in differences((numbers, claims.area), (listed, areas)):
        box = lattice.box(number)
        if abs(found - left) > _allowed(surface, box):
            value = f"{found / SQUARE_MM:.2f} mm2 instead of {left / SQUARE_MM:.2f} mm2"
            x, y = (side // MM for side in box[:2])
            yield Fault(laid.place, value, f"the cell at {x}, {y} mm holds what is left of it")
    outside = field.areas_outside([(p.shape.outer, p.shape.holes) for p in laid.cut])
    for piece, area in zip(laid.cut, outside, strict=True):
        drilled = sum(math.pi * diameter**2 / 4 for _, diameter in piece.rounds)
        if area > drilled * 1.001 + _allowed(surface, piece.cell):
            value = f"{piece.label}, {area / SQUARE_MM:.2f} mm2"
            yield Fault(laid.place, value, "a piece keeps clear of edges and openings")


def _allowed(surface: Surface, box: Sequence[int]) -> float:
    """Return by how much an area may differ: corners on the grid, and polygons round pipes."""
    x, y, width, height = (float(n) for n in box)
    rounding = 2 * (width + height) * BLUR
    for (cx, cy), diameter in job_says.discs_of(surface):
        reach = diameter
        if x - reach < cx < x + width + reach and y - reach < cy < y + height + reach:
            rounding += 0.01 * math.pi * diameter**2 / 4
    return rounding


def _faults_of_factory_edges(surface: Surface, laid: LaidSurface, field: Field) -> Iterator[Fault]:
    """Find sides on the side of their cell, with field beyond the joint, that may be sawn."""
    beyond = surface.joint / 2
    sides = [
        (piece, side, point)
        for piece in laid.cut
        if not piece.is_full and piece.sawn_in_sight is None
        for side, point in _sides_on_cell(piece, beyond)
    ]
    inside = field.contains([point for *_, point in sides])
    for (piece, side, _), in_field in zip(sides, inside, strict=True):
        if in_field and side not in piece.factory_edges:
            rule = f"its {side} side faces a joint in the field, so it is a factory edge"
            yield Fault(laid.place, piece.label, rule)


def _sides_on_cell(piece: LaidPiece, beyond: float) -> Iterator[tuple[Side, tuple[float, float]]]:
    """Return sides of a piece on its cell, as named on the tile, with a point in the joint."""
    cell, ring = piece.cell, piece.shape.outer
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        if a[0] == b[0] == cell.x:
            yield _named("left", piece.turn), (x - beyond, y)
        elif a[0] == b[0] == cell.right:
            yield _named("right", piece.turn), (x + beyond, y)
        elif a[1] == b[1] == cell.y:
            yield _named("bottom", piece.turn), (x, y - beyond)
        elif a[1] == b[1] == cell.top:
            yield _named("top", piece.turn), (x, y + beyond)


def _named(side: Side, turn: int) -> Side:
    round_the_tile: tuple[Side, ...] = ("bottom", "right", "top", "left")
    return round_the_tile[(round_the_tile.index(side) - turn // 90) % 4]
