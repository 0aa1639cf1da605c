"""Whatever the job: pieces + joints + perimeter joints + openings = the surface, area for area."""

import math
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings

from cutopt.documents import Job
from cutopt.errors import InvalidInput
from cutopt.layout import LaidPiece, TakeOff, check_take_off, take_off
from cutopt.layout.expected import field_of, lattice_of
from cutopt.plane import Rect
from cutopt.units import MM
from tests.layout.jobs import job, jobs, surface

SQUARE_MM = MM * MM
many = settings(max_examples=100, suppress_health_check=list(HealthCheck))


def taken_off(data: dict[str, Any]) -> tuple[Job, TakeOff]:
    try:
        read = Job.of(data)
        return read, take_off(read)
    except InvalidInput:
        assume(False)
        raise


def drawn(piece: LaidPiece) -> Any:
    whole = shapely.Polygon(piece.shape.outer, piece.shape.holes)
    discs = [shapely.Point(centre).buffer(d / 2, quad_segs=64) for centre, d in piece.rounds]
    return shapely.difference(whole, shapely.union_all(discs))


@many
@given(jobs())
def test_check_finds_no_fault_in_random_jobs(data: dict[str, Any]) -> None:
    read, result = taken_off(data)
    assert check_take_off(read, result) == ()


@many
@given(jobs())
def test_no_two_pieces_overlap_and_cells_are_a_joint_apart(data: dict[str, Any]) -> None:
    read, result = taken_off(data)
    (laid,) = result.surfaces
    joint = next(iter(read.surfaces))[1].joint
    shapes = [drawn(piece) for piece in laid.pieces()]
    together = shapely.union_all(shapes)
    assert abs(together.area - sum(shape.area for shape in shapes)) < SQUARE_MM
    tree = shapely.STRtree(shapes)
    near = tree.query(shapes, predicate="dwithin", distance=joint - 4).T.tolist()
    cells = {at: piece.cell for at, piece in enumerate(laid.pieces())}
    assert all(cells[a] == cells[b] for a, b in near)


@many
@given(jobs())
def test_every_piece_lies_in_its_cell(data: dict[str, Any]) -> None:
    _, result = taken_off(data)
    for piece in result.surfaces[0].pieces():
        xs, ys = zip(*piece.shape.outer, strict=True)
        cell = piece.cell
        assert cell.x <= min(xs) < max(xs) <= cell.right
        assert cell.y <= min(ys) < max(ys) <= cell.top


@many
@given(jobs())
def test_pieces_and_gaps_add_up_to_what_the_cells_hold(data: dict[str, Any]) -> None:
    """To 1 mm2 over the whole surface, against cells listed and cut in floating point."""
    read, result = taken_off(data)
    ((_, measured),) = read.surfaces
    if measured.bond.stagger is not None or any(hole.diameter for hole in measured.holes):
        return  # the shifts are the take-off's to choose; round holes are looked at below
    field = field_of(measured)
    cells = lattice_of(read, measured, read.tile_of(measured), field)
    _, boxes = cells.cells(field.bounds)
    (laid,) = result.surfaces
    shapes = [*(piece.shape for piece in laid.pieces()), *(gap.shape for gap in laid.gaps)]
    found = sum(shape.doubled_area for shape in shapes) / 2
    assert abs(found - field.areas_in(*boxes.T).sum()) < SQUARE_MM


@many
@given(jobs())
def test_every_piece_can_be_cut_from_its_tile(data: dict[str, Any]) -> None:
    """It is no larger, and two opposite factory edges only where it is as large."""
    _, result = taken_off(data)
    for piece in result.request.pieces:
        tile = result.request.tile_of(piece)
        sides = set(piece.factory_edges)
        assert piece.width <= tile.width
        assert piece.height <= tile.height
        assert piece.width == tile.width or not {"left", "right"} <= sides
        assert piece.height == tile.height or not {"bottom", "top"} <= sides


@pytest.mark.parametrize("angle", [0, 45, 30])
@pytest.mark.parametrize("kind", ["stack", "running", "herringbone", "basket weave"])
def test_areas_add_up_to_a_square_millimetre(kind: str, angle: int) -> None:
    """A wall of 2400 x 2100 mm with a window of 800 x 700 mm, joints of 2 mm, 3 mm around."""
    tile = {"width": 202, "height": 100}
    window = {"kind": "window", "x": 700, "y": 600, "width": 800, "height": 700}
    read = job(surface(bond={"kind": kind, "angle": angle}, openings=[window]), tile=tile)
    result = take_off(read)
    (laid,) = result.surfaces
    pieces = shapely.union_all([drawn(piece) for piece in laid.pieces()])
    field, hole = (
        shapely.Polygon(laid.frame.inward(Rect(*(MM * side for side in sides)).corners))
        for sides in ((3, 3, 2394, 2094), (697, 597, 806, 706))
    )
    gaps = shapely.difference(shapely.difference(field, hole), pieces)
    perimeter = 2400 * 2100 - 2394 * 2094 + 806 * 706 - 800 * 700
    total = (pieces.area + gaps.area) / SQUARE_MM + perimeter + 800 * 700
    assert abs(total - 2400 * 2100) < 1
    # What no piece covers is joint: shrunk by half a joint and the crossings, nothing is left.
    assert shapely.buffer(gaps, -0.75 * 2 * MM).is_empty
    assert check_take_off(read, result) == ()


def spoilt(result: TakeOff, **changes: Any) -> TakeOff:
    (laid,) = result.surfaces
    return replace(result, surfaces=(replace(laid, **changes),))


def test_check_refuses_a_lost_piece() -> None:
    read = job()
    result = take_off(read)
    cut = result.surfaces[0].cut
    lost = next(piece for piece in cut if not piece.is_full)
    rest = tuple(piece for piece in cut if piece is not lost)
    rules = {fault.rule for fault in check_take_off(read, spoilt(result, cut=rest))}
    assert any("holds what is left of it" in rule for rule in rules)
    assert any("pieces are laid" in rule for rule in rules)


def test_check_refuses_a_lost_whole_tile() -> None:
    read = job()
    result = take_off(read)
    whole = result.surfaces[0].whole
    fewer = spoilt(result, whole=whole.take(slice(1, None)))
    assert any("holds what is left" in f.rule for f in check_take_off(read, fewer))


def test_check_refuses_a_piece_that_is_a_millimetre_short() -> None:
    read = job()
    result = take_off(read)
    cut = list(result.surfaces[0].cut)
    at = next(at for at, piece in enumerate(cut) if not piece.is_full)
    outer = cut[at].shape.outer
    right = max(x for x, _ in outer)
    corners = [(x - MM if x == right else x, y) for x, y in outer]
    cut[at] = replace(cut[at], shape=replace(cut[at].shape, outer=tuple(corners)))
    faults = check_take_off(read, spoilt(result, cut=tuple(cut)))
    assert {fault.place for fault in faults} == {"/rooms/0/surfaces/0", "/pieces"}


def test_check_refuses_cells_off_the_bond() -> None:
    read = job(surface(bond="running"))
    faults = check_take_off(read, take_off(job(surface(bond={"kind": "running", "offset": "1/3"}))))
    assert [fault.rule for fault in faults] == ["cells lie on the bond"]


def test_check_refuses_a_window_that_was_overlooked() -> None:
    window = {"kind": "window", "x": 700, "y": 600, "width": 800, "height": 700}
    read = job(surface(openings=[window]))
    assert check_take_off(read, take_off(job()))


def test_check_refuses_another_perimeter_joint() -> None:
    start = {"x": 3, "y": 3}
    narrow = {"all": {"meets": "inside corner", "joint": 2}}
    result = take_off(job(surface(start=start, edges=narrow)))
    assert check_take_off(job(surface(start=start)), result)


def test_check_refuses_a_wrong_request() -> None:
    read = job()
    result = take_off(read)
    pieces = list(result.request.pieces)
    for changed in (
        pieces[:-1],
        [pieces[0].model_copy(update={"quantity": 1}), *pieces[1:]],
        [*pieces[:-1], pieces[-1].model_copy(update={"width": pieces[-1].width - MM})],
        [*pieces[:-1], pieces[-1].model_copy(update={"factory_edges": ()})],
    ):
        request = result.request.model_copy(update={"pieces": tuple(changed)})
        assert check_take_off(read, replace(result, request=request))


def test_check_refuses_a_side_that_should_be_a_factory_edge() -> None:
    read = job()
    result = take_off(read)
    cut = tuple(replace(piece, factory_edges=()) for piece in result.surfaces[0].cut)
    assert any("factory edge" in f.rule for f in check_take_off(read, spoilt(result, cut=cut)))


def test_a_round_hole_takes_its_own_area() -> None:
    pipe = {"kind": "pipe", "x": 300, "y": 150, "diameter": 34}
    read = job(surface(holes=[pipe]))
    (laid,) = take_off(read).surfaces
    drilled = [piece for piece in laid.cut if piece.rounds]
    assert [piece.rounds[0][1] for piece in drilled] == [40 * MM]
    missing = drilled[0].cell.width * drilled[0].cell.height - drawn(drilled[0]).area
    assert missing == pytest.approx(math.pi * (20 * MM) ** 2, rel=1e-3)


def test_check_refuses_labels_that_stand_twice_or_name_another_place() -> None:
    read = job()
    result = take_off(read)
    laid = result.surfaces[0]
    same = replace(laid.whole, position=laid.whole.position * 0 + 1)
    rules = {fault.rule for fault in check_take_off(read, spoilt(result, whole=same))}
    assert rules == {"each label stands for one piece"}
    cut = (replace(laid.cut[0], label="A9.9"), *laid.cut[1:])
    rules = {fault.rule for fault in check_take_off(read, spoilt(result, cut=cut))}
    assert rules == {"a label names surface, course and position"}


def test_check_refuses_whole_cells_of_another_size() -> None:
    read = job()
    result = take_off(read)
    whole = result.surfaces[0].whole
    wider = spoilt(result, whole=replace(whole, width=whole.width + 1))
    rules = {fault.rule for fault in check_take_off(read, wider)}
    assert "whole cells are as large as the tile" in rules
