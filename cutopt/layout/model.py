"""What the take-off finds: the pieces of each surface, its edges, and what to mind."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from cutopt.documents import Request, Side
from cutopt.geometry import Cells, Frame, Shape
from cutopt.plane import Point, Rect

Filler = Literal["grout", "sealant", "nothing"]
Level = Literal["warning", "note"]
Round = tuple[Point, int]


@dataclass(frozen=True, slots=True)
class EdgeRule:
    """What one edge asks for.

    Attributes
    ----------
    place : str
        JSON pointer of the surface, opening, hole or drain that the edge belongs to.
    name : str
        `left`, `right`, `top`, `bottom`, or the number of the edge along its outline.
    meets : str
        What the edge meets.
    joint : int
        Width of the gap between tile and edge.
    filler : str
        What the gap is filled with.
    factory_edge : bool
        Whether the tile must show a factory edge.
    set_back : int
        What stands between the edge and the joint: the face of a profile, another tile.
    start, end : tuple of int
        The edge as it was measured, on the surface, anticlockwise round what it belongs to.
    """

    place: str
    name: str
    meets: str
    joint: int
    filler: Filler
    factory_edge: bool
    start: Point
    end: Point
    set_back: int = 0

    @property
    def away(self) -> int:
        """Return how far from the edge the tile ends."""
        return self.set_back + self.joint


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """One piece where it lies: in the frame of the bond, in whole units.

    Attributes
    ----------
    label : str
        Unique within the job; what is written on the back of the tile.
    entry : str
        Id of the piece in the request; equal pieces may share one.
    course, position : int
        Counted from 1, from the lower left of the frame.
    turn : int
        By how much the tile lies turned in the frame, anticlockwise: 0 or 90.
    cell : Rect
        The place of the whole tile.
    shape : Shape
        What is left of it, rectangular holes included.
    rounds : tuple
        Round holes: centre and diameter.
    is_full : bool
        Whether it is a whole tile.
    factory_edges : tuple of str
        Sides of its box that must be factory edges, in the frame of the tile.
    sawn_in_sight : str or None
        Where a sawn edge shows although the rules ask for a factory edge: at an `edge`, or in
        a `joint`.
    is_joined : bool
        Whether it is one of two parts of mosaic that are joined along a joint of chips.
    """

    label: str
    entry: str
    course: int
    position: int
    turn: int
    cell: Rect
    shape: Shape
    rounds: tuple[Round, ...] = ()
    is_full: bool = False
    factory_edges: tuple[Side, ...] = ()
    sawn_in_sight: Literal["edge", "joint"] | None = None
    is_joined: bool = False


@dataclass(frozen=True, slots=True)
class Gap:
    """A strip too thin to be cut: it stays empty, and a finding says so."""

    label: str
    cell: Rect
    turn: int
    shape: Shape


@dataclass(frozen=True, slots=True)
class LaidSurface:
    """One surface with its tiles.

    Attributes
    ----------
    place : str
        JSON pointer of the surface in the job.
    mark : str
        Its letters, with which all its labels begin.
    tile : str
        Id of its tile.
    frame : Frame
        From the frame of the bond (pieces) to the surface (outline, edges), and back.
    outline : tuple
        The surface, anticlockwise.
    edges : tuple of EdgeRule
        Every edge of the surface and of what interrupts it.
    field : tuple
        The outline of what is tiled, inside the perimeter joints, in the frame of the bond.
    whole : Cells
        Untouched cells, as columns.
    cut : tuple of LaidPiece
        Every other piece, in the order of courses and positions.
    gaps : tuple of Gap
        What is too thin to be cut.
    """

    place: str
    mark: str
    tile: str
    frame: Frame
    outline: tuple[Point, ...]
    edges: tuple[EdgeRule, ...]
    field: tuple[Point, ...]
    whole: Cells
    cut: tuple[LaidPiece, ...]
    gaps: tuple[Gap, ...]

    @property
    def full_entry(self) -> str:
        """Return the id in the request under which the whole tiles are counted."""
        return f"{self.mark} full"

    @property
    def full_tiles(self) -> int:
        """Return how many whole tiles the surface takes."""
        return len(self.whole) + sum(piece.is_full for piece in self.cut)

    def pieces(self) -> Iterator[LaidPiece]:
        """Return every piece of the surface, whole tiles first."""
        for x, y, width, height, course, position, turn in self.whole.rows():
            cell = Rect(x, y, width, height)
            label = label_of(self.mark, course, position)
            shape = Shape(cell.corners)
            yield LaidPiece(label, self.full_entry, course, position, turn, cell, shape, (), True)
        yield from self.cut


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to mind before the first cut: never changed in silence, never refused.

    Attributes
    ----------
    kind : str
        A short name of the rule, the same in every document.
    place : str
        JSON pointer into the job.
    labels : tuple of str
        The pieces concerned.
    value : str
        What was found.
    rule : str
        What the rule asks for.
    source : str
        Where the rule was read, or that it is common practice.
    level : str
        `warning`, or `note` where the bond excuses it.
    proposal : str
        What to do instead, where something safer is known.
    """

    kind: str
    place: str
    labels: tuple[str, ...]
    value: str
    rule: str
    source: str
    level: Level = "warning"
    proposal: str = ""


@dataclass(frozen=True, slots=True)
class TrimRun:
    """One straight length of a trim profile, in sight: its longest side, and how its ends meet.

    `start` and `end` say what each end does: `mitre` with the next run, or `square`.
    """

    place: str
    name: str
    length: int
    face: int
    start: Literal["mitre", "square"]
    end: Literal["mitre", "square"]


@dataclass(frozen=True, slots=True)
class SoftJoint:
    """A joint that takes sealant: where, what it meets, how long and how wide."""

    place: str
    name: str
    meets: str
    length: int
    width: int


@dataclass(frozen=True, slots=True)
class FallHeight:
    """By how much a floor stands above its drain along one wall, and how steep it falls there.

    `slope` is that of the plane from the wall to the drain; none where the wall runs down with
    the floor, from `low` to `high`.
    """

    place: str
    name: str
    low: int
    high: int
    slope: Fraction | None


@dataclass(frozen=True, slots=True)
class TakeOff:
    """A job taken off: the request for the planner, where each piece lies, and findings.

    `trim`, `soft_joints` and `falls` are for the order and for whoever sets the floor.
    """

    request: Request
    surfaces: tuple[LaidSurface, ...]
    findings: tuple[Finding, ...]
    trim: tuple[TrimRun, ...] = ()
    soft_joints: tuple[SoftJoint, ...] = ()
    falls: tuple[FallHeight, ...] = ()


def label_of(mark: str, course: int, position: int, part: int | None = None) -> str:
    """Return the label of a piece: surface, course, dot, position, and a letter for a part.

    >>> label_of("A", 3, 12), label_of("A", 3, 12, 1)
    ('A3.12', 'A3.12b')
    """
    letters = ""
    while part is not None:
        letters = "abcdefghijklmnopqrstuvwxyz"[part % 26] + letters
        part = part // 26 - 1 if part >= 26 else None
    return f"{mark}{course}.{position}{letters}"
