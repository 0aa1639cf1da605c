"""One step seen from above the saw: the fence, the part against it, the blade, what falls off.

The fence stands on the left and the blade to its right, however the tile must be turned for
that; an arrow on the tile says which way is up on the cut sheet.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutopt.documents import ALL_SIDES, CutTile, Side
from cutopt.documents.sequence import Made, Step
from cutopt.plane import Rect
from cutopt.reports.lettering import width_of
from cutopt.reports.svg import GREY, INK, PAPER, Spot, element, hatch, line, polygon, rect, text
from cutopt.reports.words import number_text, plain
from cutopt.units import Units

_WIDTH, _HEIGHT = 320.0, 210.0
_FENCE = 14.0
_LEFT, _TOP, _RIGHT, _LOW = 24.0, 14.0, 300.0, 172.0
_BAR, _THIN, _BLADE = 4.0, 1.0, 2.6
_HATCH = "falls-off"
#: Which side of the part comes to lie at left, top, right and bottom of the drawing.
_TURNED: dict[Side, tuple[Side, Side, Side, Side]] = {
    "left": ("left", "top", "right", "bottom"),
    "right": ("right", "bottom", "left", "top"),
    "bottom": ("bottom", "left", "top", "right"),
    "top": ("top", "right", "bottom", "left"),
}
_UP: dict[Side, Spot] = {"left": (0, -1), "right": (0, 1), "bottom": (1, 0), "top": (-1, 0)}


@dataclass(frozen=True)
class _Bench:
    """The part on the bench; `edge` lies at the left, against the fence if there is one."""

    part: Rect
    edge: Side
    #: Room for figures above and below.
    spare: float = 0.0

    @property
    def across(self) -> int:
        return self.part.width if self.edge in ("left", "right") else self.part.height

    @property
    def along(self) -> int:
        return self.part.height if self.edge in ("left", "right") else self.part.width

    @property
    def scale(self) -> float:
        return min((_RIGHT - _LEFT) / self.across, (_LOW - self.top) / self.along)

    @property
    def top(self) -> float:
        return _TOP + self.spare

    @property
    def right(self) -> float:
        return _LEFT + self.across * self.scale

    @property
    def low(self) -> float:
        return self.top + self.along * self.scale

    def spot(self, point: tuple[float, float]) -> Spot:
        """Return where a point of the tile's face lies on the drawing."""
        x, y = point[0] - self.part.x, point[1] - self.part.y
        width, height = self.part.width, self.part.height
        u, v = {
            "left": (x, y),
            "right": (width - x, height - y),
            "bottom": (y, width - x),
            "top": (height - y, x),
        }[self.edge]
        return _LEFT + u * self.scale, self.low - v * self.scale


def draw_step(step: Step, cut_tile: CutTile, rects: Mapping[int, Rect], units: Units) -> str:
    """Return a step as an SVG for the screen; it says nothing that the words do not."""
    spare = 10.0 if step.guide == "mark" else 0.0
    bench = _Bench(rects[step.part], step.edge or "left", spare)
    marks = [element("defs", hatch(_HATCH, 7, 0.8)), *_part(bench, step, rects)]
    marks += _edges(bench, cut_tile)
    if step.guide == "fence":
        marks += [*_fence(bench), *_cut(bench, step, cut_tile, units)]
    elif step.line is not None:
        marks += _marked(bench, step, units)
    marks += _up(bench, step)
    return element(
        "svg",
        "".join(marks),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_WIDTH:g} {_HEIGHT:g}",
        font_family="inherit",
        fill=INK,
        aria_hidden="true",
        focusable="false",
    )


def _part(bench: _Bench, step: Step, rects: Mapping[int, Rect]) -> list[str]:
    """Return the part, and on it what the step makes of it."""
    whole = [
        rect((_LEFT, bench.top), bench.right - _LEFT, bench.low - bench.top, fill=PAPER, stroke=INK,
             stroke_width=_THIN)
    ]  # fmt: skip
    for made in step.makes if step.guide == "fence" and step.way != "notch" else ():
        whole += _made(bench, made, rects[made.part])
    return whole


def _made(bench: _Bench, made: Made, box: Rect) -> list[str]:
    corners = [bench.spot(corner) for corner in box.corners]
    fills = {"waste": GREY, "leftover": f"url(#{_HATCH})"}
    fill = fills.get(made.becomes, PAPER)
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    marks = [polygon(corners, fill=fill, stroke=INK, stroke_width=0.6)]
    name = {"leftover": "keep", "part": "cut again"}.get(made.becomes, plain(made.piece or ""))
    size = 15.0 if made.becomes == "piece" else 11.0
    room, depth = max(xs) - min(xs), max(ys) - min(ys)
    bold = made.becomes == "piece"
    if not name or made.becomes == "waste":
        return marks
    centre = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    wide = width_of(name, size, bold=bold)
    style = {"font_weight": "bold"} if bold else {}
    if wide + 6 <= room and size + 4 <= depth:
        at = (centre[0], centre[1] + size * 0.36)
        back = rect(
            (at[0] - wide / 2 - 2, centre[1] - size * 0.6), wide + 4, size * 1.2, fill=PAPER
        )
        return [*marks, back, text(name, at, size, text_anchor="middle", **style)]
    if wide + 6 <= depth and size + 4 <= room:
        x, y = centre[0] + size * 0.36, centre[1]
        turn = f"rotate(-90 {x:.1f} {y:.1f})"
        return [*marks, text(name, (x, y), size, text_anchor="middle", transform=turn, **style)]
    return marks


def _edges(bench: _Bench, cut_tile: CutTile) -> list[str]:
    """Return a heavy bar for each side that the factory made."""
    part = bench.part
    on: dict[Side, bool] = {
        "left": part.x == 0,
        "right": part.right == cut_tile.width,
        "bottom": part.y == 0,
        "top": part.top == cut_tile.height,
    }
    given = ALL_SIDES if cut_tile.stock == "new" else cut_tile.factory_edges
    left, top, right, low = _LEFT, bench.top, bench.right, bench.low
    ways: Sequence[tuple[Spot, Spot]] = (
        ((left, top), (left, low)),
        ((left, top), (right, top)),
        ((right, top), (right, low)),
        ((left, low), (right, low)),
    )
    sides = zip(_TURNED[bench.edge], ways, strict=True)
    return [line(*way, _BAR) for side, way in sides if on[side] and side in given]


def _fence(bench: _Bench) -> list[str]:
    x, low = _LEFT - _FENCE - 3, _LOW + 6
    at = x + _FENCE / 2 + 3.4, (6 + low) / 2
    turn = f"rotate(-90 {at[0]:.1f} {at[1]:.1f})"
    return [
        rect((x, 6), _FENCE, low - 6, class_="fence"),
        text("FENCE", at, 9.5, text_anchor="middle", fill=PAPER, transform=turn, letter_spacing=2),
    ]


def _cut(bench: _Bench, step: Step, cut_tile: CutTile, units: Units) -> list[str]:
    """Return the blade's way, and below it how far it is from the fence."""
    x = _LEFT + (step.setting or 0) * bench.scale
    top, low = _TOP - 10, max(bench.low, _TOP + 40) + 8
    marks = []
    if step.way == "notch":
        corner, reach = _notch(bench, step, cut_tile)
        marks.append(polygon(corner, fill=GREY))
        top, low = reach
    marks.append(line((x + _BLADE / 2, top), (x + _BLADE / 2, low), _BLADE, class_="blade"))
    y = _LOW + 22
    words = number_text(step.setting or 0, units)
    wide = width_of(words, 22, bold=True)
    middle = max((_LEFT + x) / 2, _LEFT + wide / 2)
    return [
        *marks,
        line((_LEFT, y - 18), (_LEFT, y - 8), 1),
        line((x, y - 18), (x, y - 8), 1),
        line((_LEFT, y - 13), (x, y - 13), 1),
        text(words, (middle, y + 11), 22, text_anchor="middle", font_weight="bold"),
    ]


def _notch(bench: _Bench, step: Step, cut_tile: CutTile) -> tuple[list[Spot], tuple[float, float]]:
    """Return the corner that comes off, and from where to where the blade runs."""
    cut = (cut_tile.cuts or ())[(step.cut or 1) - 1]
    part, width, height = bench.part, cut.width or 0, cut.height or 0
    up, side = (cut.corner or "bottom-left").split("-")
    x = part.x if side == "left" else part.right - width
    y = part.y if up == "bottom" else part.top - height
    corners = [bench.spot(corner) for corner in Rect(x, y, width, height).corners]
    ys = [spot[1] for spot in corners]
    first, last = min(ys), max(ys)
    if abs(first - _TOP) < abs(last - bench.low):
        return corners, (first - 10, last)
    return corners, (first, last + 10)


def _marked(bench: _Bench, step: Step, units: Units) -> list[str]:
    """Return the line to be marked, and at its ends how far they are from a corner."""
    assert step.line is not None
    start, end = (bench.spot(point) for point in step.line)
    marks = [line(start, end, 2, class_="blade", stroke_dasharray="8 4")]
    for point, (x, y) in zip(step.line, (start, end), strict=True):
        left, low = point[0] - bench.part.x, point[1] - bench.part.y
        if low in (0, bench.part.height):
            words, at = number_text(left, units), (x, y - 5 if low else y + 20)
        else:
            words, at = number_text(low, units), (x + (16 if left else -16), y + 6)
        wide = width_of(words, 18, bold=True) / 2
        spot = (min(max(at[0], wide + 2), _WIDTH - wide - 2), at[1])
        marks.append(text(words, spot, 18, text_anchor="middle", font_weight="bold"))
    return marks


def _up(bench: _Bench, step: Step) -> list[str]:
    """Return an arrow that says which way is up on the cut sheet."""
    dx, dy = _UP[bench.edge]
    strip = (step.setting or 0) * bench.scale
    x = _LEFT + 16 if 2 * strip >= bench.right - _LEFT else bench.right - 16
    y = bench.top + 18
    tip = (x + 9 * dx, y + 9 * dy)
    foot = (x - 9 * dx, y - 9 * dy)
    wings = [
        (tip[0] - 7 * dx + 4.5 * dy, tip[1] - 7 * dy + 4.5 * dx),
        tip,
        (tip[0] - 7 * dx - 4.5 * dy, tip[1] - 7 * dy - 4.5 * dx),
    ]
    return [line(foot, tip, 1.4), polygon(wings)]
