"""What a single opening, edge or bond does to the pieces."""

from itertools import pairwise
from typing import Any

import pytest

from cutopt.documents import Piece
from cutopt.errors import InvalidInput
from cutopt.layout import LaidSurface, TakeOff, check_take_off, request, take_off
from cutopt.plane import circle_within
from cutopt.units import MM
from tests.layout.jobs import job, surface

#: One tile of 600 x 300 lies alone on this surface, edge to edge.
SINGLE = {"width": 600, "height": 300, "edges": {"all": {"meets": "profile", "joint": 0}}}


def single(**fields: Any) -> TakeOff:
    return take_off(job(surface(**{**SINGLE, **fields})))


def in_mm(piece: Piece) -> tuple[float, float, tuple[tuple[float, float], ...] | None]:
    outline = piece.outline and tuple((x / MM, y / MM) for x, y in piece.outline)
    return piece.width / MM, piece.height / MM, outline


def by_id(result: TakeOff) -> dict[str, Piece]:
    return {piece.id: piece for piece in result.request.pieces}


def test_a_single_tile_is_a_full_tile() -> None:
    (piece,) = single().request.pieces
    assert (piece.id, piece.quantity, in_mm(piece)) == ("A full", 1, (600, 300, None))


def test_full_tiles_of_a_surface_are_one_entry() -> None:
    result = take_off(job())
    assert by_id(result)["A full"].quantity == result.surfaces[0].full_tiles == 18


def test_perimeter_joints_come_off_the_cut_sizes() -> None:
    """2400 less 2 x 3 at the corners: three tiles, three joints, and 588 are left."""
    last = by_id(take_off(job()))["A1.4"]
    assert in_mm(last) == (588, 300, None)
    assert last.factory_edges == ("left", "top")


def test_a_window_corner_makes_an_l_of_which_the_notch_is_one_joint_larger() -> None:
    window = {"kind": "window", "x": 400, "y": 200, "width": 200, "height": 100}
    flush = {"edges": {"right": {"meets": "open"}, "top": {"meets": "open"}}}
    (piece,) = single(openings=[{**window, **flush}]).request.pieces
    # The other two edges meet the frame: 3 mm.
    corners = ((0, 0), (600, 0), (600, 197), (397, 197), (397, 300), (0, 300))
    assert in_mm(piece) == (600, 300, corners)


def test_a_door_in_the_middle_of_a_tile_parts_it() -> None:
    door = {"kind": "door", "x": 200, "y": 0, "width": 100, "height": 300}
    pieces = by_id(single(openings=[door]))
    assert {name: in_mm(piece)[:2] for name, piece in pieces.items()} == {
        "A1.1a": (197, 300),
        "A1.1b": (297, 300),
    }


def test_a_window_within_a_tile_is_a_hole() -> None:
    window = {"kind": "window", "x": 200, "y": 100, "width": 100, "height": 80}
    (piece,) = single(openings=[window]).request.pieces
    corners = {(197, 97), (303, 97), (303, 183), (197, 183)}
    (hole,) = piece.holes
    assert hole.outline is not None
    assert {(x / MM, y / MM) for x, y in hole.outline} == corners
    assert piece.outline is None


def test_a_pipe_is_drilled_3_mm_larger_all_round() -> None:
    pipe = {"kind": "pipe", "x": 150, "y": 200, "diameter": 22}
    (piece,) = single(holes=[pipe]).request.pieces
    (hole,) = piece.holes
    assert (hole.x, hole.y, hole.diameter) == (150 * MM, 200 * MM, 28 * MM)


def test_a_socket_is_a_hole_with_corners() -> None:
    socket = {"kind": "socket", "x": 150, "y": 200, "width": 60, "height": 60, "clearance": 5}
    (piece,) = single(holes=[socket]).request.pieces
    assert piece.holes[0].outline is not None
    assert {x for x, _ in piece.holes[0].outline} == {115 * MM, 185 * MM}


def test_a_pipe_on_a_joint_becomes_notches_that_clear_it() -> None:
    pipe = {"kind": "pipe", "x": 604, "y": 150, "diameter": 40}
    result = take_off(job(surface(start={"x": 3, "y": 3}, holes=[pipe])))
    notched = [piece for piece in result.surfaces[0].cut if len(piece.shape.outer) > 8]
    assert [piece.label for piece in notched] == ["A1.1", "A1.2"]
    for piece in notched:
        # The pipe with its clearance lies outside: every corner is at least its radius away.
        away = [(x - 604 * MM) ** 2 + (y - 150 * MM) ** 2 for x, y in piece.shape.outer]
        assert min(away) >= (23 * MM - 1) ** 2
        assert not circle_within((604 * MM, 150 * MM), 46 * MM, piece.shape.outer)


def test_a_round_drain_leaves_a_grout_joint() -> None:
    drain = {"kind": "point", "x": 300, "y": 150, "diameter": 100}
    result = single(kind="floor", drains=[drain], edges={"all": {"meets": "profile", "joint": 0}})
    rules = {(rule.meets, rule.joint, rule.filler) for rule in result.surfaces[0].edges[4:]}
    assert rules == {("drain", 2 * MM, "grout")}
    (hole,) = result.request.pieces[0].holes
    assert hole.outline is not None
    assert min(x for x, _ in hole.outline) == pytest.approx(248 * MM, abs=0.5 * MM)


@pytest.mark.parametrize(
    ("meets", "joint", "filler", "factory"),
    [
        ("inside corner", 3, "sealant", False),
        ("floor", 3, "sealant", False),
        ("ceiling", 3, "sealant", False),
        ("fixture", 3, "sealant", False),
        ("frame", 3, "sealant", False),
        ("profile", 2, "grout", False),
        ("outside corner", 0, "nothing", True),
        ("open", 0, "nothing", True),
    ],
)
def test_what_an_edge_meets_says_joint_filler_and_edge(
    meets: str, joint: int, filler: str, factory: bool
) -> None:
    edge = take_off(job(surface(edges={"left": meets}))).surfaces[0].edges[3]
    assert (edge.name, edge.meets) == ("left", meets)
    assert (edge.joint, edge.filler, edge.factory_edge) == (joint * MM, filler, factory)


def test_soft_joints_are_as_wide_as_wider_grout_joints() -> None:
    edge = take_off(job(surface(joint=5))).surfaces[0].edges[0]
    assert edge.joint == 5 * MM


def test_sides_along_the_border_may_be_sawn_and_sides_in_the_field_may_not() -> None:
    pieces = by_id(take_off(job(surface(start={"x": -300, "y": -100}))))
    assert pieces["A1.1"].factory_edges == ("right", "top")
    assert pieces["A1.2"].factory_edges == ("left", "right", "top")
    assert pieces["A2.1"].factory_edges == ("right", "top", "bottom")


def test_an_open_edge_shows_a_factory_edge_and_the_joint_gives_way() -> None:
    result = take_off(job(surface(start={"x": 3, "y": 3}, edges={"right": "open"})))
    piece = by_id(result)["A1.4"]
    assert in_mm(piece) == (591, 300, None)
    assert piece.factory_edges == ("right", "top")
    assert "sawn joint" in {finding.kind for finding in result.findings}


def test_an_open_edge_where_a_full_tile_ends_needs_no_finding() -> None:
    result = take_off(job(surface(width=605, start={"x": 3, "y": 3}, edges={"right": "open"})))
    assert not [finding for finding in result.findings if finding.kind.startswith("sawn")]


def test_a_slanted_open_edge_is_sawn_and_says_so() -> None:
    raked = {"outline": [[0, 0], [1200, 0], [1200, 500], [0, 900]], "edges": {"3": "open"}}
    result = take_off(job(surface(**raked)))
    assert "sawn edge" in {finding.kind for finding in result.findings}


def test_edges_keep_their_numbers_when_an_outline_is_walked_clockwise() -> None:
    corners = [[0, 0], [1200, 0], [1200, 500], [0, 900]]
    there = take_off(job(surface(outline=corners, edges={"1": "open"})))
    back = [corners[1], corners[0], corners[3], corners[2]]
    again = take_off(job(surface(outline=back, edges={"1": "open"})))
    assert {(e.start, e.end, e.meets) for e in there.surfaces[0].edges} == {
        (e.start, e.end, e.meets) for e in again.surfaces[0].edges
    }
    assert there.request.pieces == again.request.pieces


def test_out_of_square_walls_give_slanted_border_pieces() -> None:
    result = take_off(job(surface(bottom=1200, top=1220, left=900, right=900)))
    outlines = [piece.outline for piece in result.request.pieces if piece.outline]
    # One in each of the three courses, and where the wall grows wide enough a triangle more.
    assert sorted(map(len, outlines)) == [3, 4, 4, 5]


def rows(laid: LaidSurface) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for piece in laid.pieces():
        found.setdefault(piece.course, []).append(piece.cell.x)
    return found


def test_running_bond_shifts_each_course_by_its_share() -> None:
    bond = {"kind": "running", "offset": "1/3"}
    laid = take_off(job(surface(bond=bond, start={"x": 3, "y": 3}))).surfaces[0]
    begins = [min(x % (602 * MM) for x in rows(laid)[course]) / MM for course in (1, 2, 3, 4)]
    assert begins == [3, 203.667, 404.333, 3]


def test_running_bond_in_columns_shifts_upwards() -> None:
    bond = {"kind": "running", "along": "columns"}
    laid = take_off(job(surface(bond=bond, start={"x": 3, "y": 3}))).surfaces[0]
    cells = {(piece.cell.x // MM, piece.cell.y // MM % 302) for piece in laid.pieces()}
    assert {(3, 3), (605, 154), (1207, 3), (1809, 154)} == cells


@pytest.mark.parametrize("stagger", [100, 150, 200, 301])
def test_end_joints_of_neighbouring_planks_keep_the_stagger(stagger: int) -> None:
    bond = {"kind": "planks", "stagger": stagger}
    laid = take_off(job(surface(bond=bond, height=3000))).surfaces[0]
    begins = [xs[0] % (602 * MM) for _, xs in sorted(rows(laid).items())]
    for one, other in pairwise(begins):
        apart = (other - one) % (602 * MM)
        assert min(apart, 602 * MM - apart) >= stagger * MM


def test_planks_begin_where_the_job_says_course_by_course() -> None:
    bond = {"kind": "planks", "starts": [0, 240, 120]}
    laid = take_off(job(surface(bond=bond, start={"x": 3, "y": 3}))).surfaces[0]
    begins = [rows(laid)[course][0] % (602 * MM) // MM for course in (1, 2, 3, 4)]
    assert begins == [3, 243, 123, 3]


@pytest.mark.parametrize("kind", ["herringbone", "basket weave"])
def test_woven_bonds_ask_for_pieces_as_they_lie_in_the_tile(kind: str) -> None:
    """Standing tiles were turned to lie so; in the request the tile lies again."""
    tile = {"width": 202, "height": 100}
    result = take_off(job(surface(bond=kind), tile=tile))
    turns = {piece.turn for piece in result.surfaces[0].pieces()}
    assert turns == {0, 90}
    assert all(p.width <= 202 * MM and p.height <= 100 * MM for p in result.request.pieces)
    standing = next(p for p in result.surfaces[0].cut if p.turn == 90 and not p.is_full)
    entry = by_id(result)[standing.entry]
    box = max(y for _, y in standing.shape.outer) - min(y for _, y in standing.shape.outer)
    assert entry.width == box


def test_a_quarter_turned_bond_is_exact() -> None:
    upright = take_off(job(surface(bond={"kind": "stack", "angle": 90})))
    swapped = take_off(job(surface(), tile={"width": 300, "height": 600}))
    sizes = sorted((p.height, p.width, p.quantity) for p in upright.request.pieces)
    assert sizes == sorted((p.width, p.height, p.quantity) for p in swapped.request.pieces)


def test_a_diagonal_floor_has_triangles_with_their_legs_on_factory_edges() -> None:
    floor = surface(kind="floor", bond={"kind": "stack", "angle": 45})
    result = take_off(job(floor, tile={"width": 300, "height": 300}))
    triangles = [p for p in result.request.pieces if p.outline and len(p.outline) == 3]
    assert triangles
    assert all(len(piece.factory_edges) == 2 for piece in triangles)


def test_labels_are_unique_over_surfaces_and_stay_when_a_window_comes() -> None:
    two = take_off(job(surface(), surface(id="B")))
    labels = [piece.label for laid in two.surfaces for piece in laid.pieces()]
    assert len(set(labels)) == len(labels)
    window = {"kind": "window", "x": 700, "y": 600, "width": 800, "height": 700}
    before = {p.label: p.cell for p in take_off(job()).surfaces[0].pieces()}
    after = {
        p.label: p.cell for p in take_off(job(surface(openings=[window]))).surfaces[0].pieces()
    }
    assert all(before[label] == cell for label, cell in after.items())


def test_a_strip_too_thin_to_cut_is_said_to_be_left() -> None:
    result = single(width=602.4)
    (gap,) = result.surfaces[0].gaps
    assert gap.label == "A1.2"
    assert "gap" in {finding.kind for finding in result.findings}


def test_above_the_limit_of_a_request_equal_pieces_share_an_entry(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A low wall of small chips: every piece of the top course is cut, and all are alike."""
    strip = surface(width=600, height=16, joint=1, edges={"all": "profile"})
    read = job(strip, tile={"width": 9, "height": 9})
    plain = take_off(read)
    assert len(plain.request.pieces) == 1 + 1 + 60
    monkeypatch.setattr(request, "MOST_PIECES", 60)
    shared = take_off(read)
    # Full tiles, the middle of the top course, its two ends, and the end of the bottom course.
    assert sorted(piece.quantity for piece in shared.request.pieces) == [1, 1, 1, 58, 59]
    assert [finding.kind for finding in shared.findings].count("merged") == 1
    assert [p.label for p in shared.surfaces[0].cut] == [p.label for p in plain.surfaces[0].cut]
    assert check_take_off(read, shared) == ()
    monkeypatch.setattr(request, "MOST_PIECES", 2)
    with pytest.raises(InvalidInput, match="5 different pieces"):
        take_off(read)
