"""One cut tile drawn: its stock, the blade's runs, the pieces with their labels, what is left."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from string import ascii_lowercase

from cutopt.documents import ALL_SIDES, CutTile, Leftover, Piece, Side
from cutopt.plane import Rect
from cutopt.reports.bench import Run, Sawn, saw_runs
from cutopt.reports.labels import backing, drawn, paper
from cutopt.reports.laid import Laid, lay
from cutopt.reports.lettering import Space, fitted
from cutopt.reports.marks import MARGIN, RADIUS, Edge, Mark, beside, centred, disc
from cutopt.reports.rooms import overlap, rooms_within
from cutopt.reports.shapes import remarks_of
from cutopt.reports.svg import GREY, INK, PAPER, Spot, element, line, rect, way, way_round
from cutopt.reports.words import plain, size_text
from cutopt.units import MM, Units

#: The bar that stands for an edge which the factory made.
BAR = 1.2
HATCH = "left-over"
_THIN = 0.25
_CUT = 0.3
#: The least room for the letter of a piece, across and up.
_KEY_ROOM = (2.6, 3.0)
#: A run of the blade ends at the edge of the stock when it ends this close to it.
_AT_EDGE = MM // 100


@dataclass(frozen=True)
class Style:
    """What all drawings of one kind of tile share; `scale` is mm on paper for a unit of length."""

    scale: float
    width: float
    units: Units
    kerf: int
    arrows: bool


@dataclass(frozen=True)
class Note:
    """A line below the drawing: a letter if the piece has one, its turn, and words."""

    key: str
    turn: int | None
    words: str


@dataclass
class Sketch:
    """A cut tile on its way to paper; `marks` and `notes` are complete once it is made."""

    cut_tile: CutTile
    pieces: Mapping[str, Piece]
    style: Style
    marks: list[str] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    beside: dict[Edge, list[Mark]] = field(default_factory=dict)
    named: int = 0
    _keys: dict[tuple[str, int | None], str] = field(default_factory=dict)
    _discs: list[Rect] = field(default_factory=list)

    def __post_init__(self) -> None:
        cut_tile = self.cut_tile
        laid = [lay(placement, self.pieces[placement.piece]) for placement in cut_tile.placements]
        self.marks.append(self._box(self._face, fill=GREY, class_="stock"))
        self.marks += map(self._leftover, cut_tile.leftovers)
        self.marks += map(self._piece, laid)
        self._draw_cuts(saw_runs(cut_tile, self.style.kerf))
        self._draw_edges()
        for piece in laid:
            self._label_piece(piece)
        for leftover in cut_tile.leftovers:
            self._label_leftover(leftover)
        for edge, marks in self.beside.items():
            self.marks += beside(marks, edge, self._frame)

    @property
    def share_named(self) -> float:
        """Return the share of the pieces that bear their name in the drawing."""
        return self.named / len(self.cut_tile.placements)

    @property
    def height(self) -> float:
        """Return the height of the drawing; below it there is a margin only for marks."""
        _, _, _, bottom = self._frame
        return bottom + (MARGIN if self.beside.get("bottom") else BAR + 1)

    # From the face of the tile to paper.

    @property
    def _face(self) -> Rect:
        return Rect(0, 0, self.cut_tile.width, self.cut_tile.height)

    def _spot(self, point: tuple[float, float]) -> Spot:
        scale = self.style.scale
        return MARGIN + point[0] * scale, MARGIN + (self.cut_tile.height - point[1]) * scale

    def _space(self, box: Rect) -> Space:
        x, y = self._spot((box.x, box.top))
        return Space(x, y, box.width * self.style.scale, box.height * self.style.scale)

    @property
    def _frame(self) -> tuple[float, float, float, float]:
        face = self._space(self._face)
        return face.x, face.y, face.x + face.width, face.y + face.height

    def _box(self, box: Rect, **attributes: str | float) -> str:
        space = self._space(box)
        return rect((space.x, space.y), space.width, space.height, **attributes)

    # The drawing, layer by layer.

    def _leftover(self, leftover: Leftover) -> str:
        fill = f"url(#{HATCH})"
        return self._box(
            _box_of(leftover), fill=fill, stroke=INK, stroke_width=_THIN, class_="leftover"
        )

    def _piece(self, laid: Laid) -> str:
        ways = [way([self._spot(corner) for corner in laid.outline])]
        for hole in laid.shape.rounds:
            centre = self._spot(laid.on_tile((hole.x, hole.y)))
            ways.append(way_round(centre, hole.diameter / 2 * self.style.scale))
        for cutout in laid.shape.cutouts:
            ways.append(way([self._spot(laid.on_tile(corner)) for corner in cutout]))
        return element(
            "path",
            d="".join(ways),
            fill=PAPER,
            fill_rule="evenodd",
            stroke=INK,
            stroke_width=_THIN,
            class_="piece",
        )

    def _draw_cuts(self, cuts: Sequence[Sawn]) -> None:
        for cut in cuts:
            for run in cut.runs:
                self.marks.append(line(self._spot(run.start), self._spot(run.end), _CUT))
        for cut in cuts:
            if cut.runs:
                self._number(cut)

    def _number(self, cut: Sawn) -> None:
        """Put a cut's number beside the tile where it reaches the edge, else on the cut."""
        for run in cut.runs:
            for end in (run.start, run.end):
                if edge := self._edge_at(end, run.is_steep):
                    spot = self._spot(end)
                    along = spot[1] if edge in ("left", "right") else spot[0]
                    mark = Mark(str(cut.number), along, (spot,), is_cut=True)
                    self.beside.setdefault(edge, []).append(mark)
                    return
        x, y = _near_start(cut.runs[0], 1.5 * RADIUS / self.style.scale)
        reach = round(RADIUS / self.style.scale)
        self._discs.append(Rect(round(x) - reach, round(y) - reach, 2 * reach, 2 * reach))
        self.marks += disc(str(cut.number), self._spot((x, y)))

    def _edge_at(self, end: tuple[float, float], steep: bool) -> Edge | None:
        """Return the edge of the stock where a run ends, the one that it crosses squarely first."""
        (x, y), face = end, self._face
        level: list[tuple[Edge, float]] = [("bottom", y), ("top", face.top - y)]
        upright: list[tuple[Edge, float]] = [("left", x), ("right", face.right - x)]
        order = level + upright if steep else upright + level
        return next((edge for edge, away in order if abs(away) <= _AT_EDGE), None)

    def _draw_edges(self) -> None:
        """Draw a bar outside each factory edge, a thin line along each sawn one."""
        left, top, right, bottom = self._frame
        half = BAR / 2
        bars: dict[Side, tuple[Spot, Spot]] = {
            "left": ((left - half, top - BAR), (left - half, bottom + BAR)),
            "right": ((right + half, top - BAR), (right + half, bottom + BAR)),
            "top": ((left, top - half), (right, top - half)),
            "bottom": ((left, bottom + half), (right, bottom + half)),
        }
        self.marks.append(self._box(self._face, fill="none", stroke=INK, stroke_width=_THIN))
        # A plan made elsewhere need not repeat that a new tile has four.
        is_new = self.cut_tile.stock == "new"
        given = ALL_SIDES if is_new else self.cut_tile.factory_edges
        self.marks += [line(*bars[side], BAR, class_="factory-edge") for side in given]

    # Labels.

    def _label_piece(self, laid: Laid) -> None:
        shape, units = laid.shape, self.style.units
        name, size = plain(laid.piece.id), size_text(shape.width, shape.height, units)
        remarks = "; ".join(remarks_of(shape, units))
        spaces = [self._space(room) for room in laid.rooms(self._discs)]
        turn = laid.turn if self.style.arrows else None
        label = fitted(name, size, spaces, self.style.arrows)
        if label is None:
            words = f"{name}, {size}" + (f"; {remarks}" if remarks else "")
            self._give_key(words, turn, spaces, laid.box)
            return
        self.named += 1
        self.marks.append(drawn(label, laid.turn))
        if remarks:
            self._note(Note("", turn, f"{name}: {remarks}"))

    def _label_leftover(self, leftover: Leftover) -> None:
        box = _box_of(leftover)
        size = size_text(box.width, box.height, self.style.units)
        taken = [rect for rect in self._discs if overlap(rect, box)]
        spaces = [self._space(room) for room in rooms_within(box.corners, box, taken)]
        if label := fitted("left over", size, spaces) or fitted("", size, spaces):
            self.marks += [backing(label), drawn(label, 0)]
        else:
            self._give_key(f"left over, {size}", None, spaces, box)

    def _give_key(self, words: str, turn: int | None, spaces: Sequence[Space], box: Rect) -> None:
        """Mark what is too small for its label with a letter, inside or beside the tile."""
        key = self._keys.setdefault((words, turn), _letters(len(self._keys)))
        self._note(Note(key, turn, words))
        across, up = _KEY_ROOM
        for space in spaces:
            if space.width >= across * len(key) and space.height >= up:
                self.marks.append(paper(space.centre, across * len(key), up - 0.4))
                self.marks.append(centred(key, space.centre, bold=True))
                return
        self._key_beside(key, spaces[0] if spaces else self._space(box))

    def _key_beside(self, key: str, space: Space) -> None:
        x, y = space.centre
        if space.height > space.width:
            mark = Mark(key, x, ((x, min(y, space.y + 2)),), is_cut=False)
            self.beside.setdefault("top", []).append(mark)
        else:
            mark = Mark(key, y, ((max(x, space.x + space.width - 2), y),), is_cut=False)
            self.beside.setdefault("right", []).append(mark)

    def _note(self, note: Note) -> None:
        if note not in self.notes:
            self.notes.append(note)


def _box_of(leftover: Leftover) -> Rect:
    return Rect(leftover.x, leftover.y, leftover.width, leftover.height)


def _near_start(run: Run, reach: float) -> tuple[float, float]:
    """Return the spot on a run that far from its start, or its middle when it is short."""
    (ax, ay), (bx, by) = run.start, run.end
    length = max(abs(bx - ax), abs(by - ay)) or 1
    share = min(reach / length, 0.5)
    return ax + share * (bx - ax), ay + share * (by - ay)


def _letters(number: int) -> str:
    """Return a, b, …, z, aa, ab and so on."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = ascii_lowercase[rest] + letters
    return letters
