"""Plans that are cut at random are right; whatever is done to a plan, the check says and stays."""

import ast
import copy
import math
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

import cutopt.check
from cutopt.check import check_plan
from cutopt.documents import Plan, Request
from cutopt.errors import InvalidInput
from cutopt.plane import Rect, box_of
from tests.check.nests import CASES
from tests.check.plans import Json, places, plan, request, rules, total, without_cuts

MM_WIDE, MM_HIGH, SMALLEST = 600, 300, 12
SIDES = ("left", "bottom", "right", "top")


@dataclass
class Sawing:
    """A tile on its way through the saw, pieces noted as they come off."""

    draw: Any
    kerf: int
    cuts: list[Json] = field(default_factory=list)
    pieces: list[Json] = field(default_factory=list)
    placements: list[Json] = field(default_factory=list)
    parts: int = 1

    def number(self, length: int) -> int | None:
        if length <= 0:
            return None
        self.parts += 1
        return self.parts - 1

    def saw(self, part: int, rect: Rect, depth: int) -> None:
        ways = ["piece"]
        if depth and min(rect.width, rect.height) > 2 * SMALLEST + self.kerf:
            ways = ["vertical", "horizontal", "notch", "slanted", "piece"]
        way = self.draw(st.sampled_from(ways))
        if way == "piece":
            self.keep(part, rect, rect.corners)
        elif way == "notch":
            self.notch(part, rect, depth)
        elif way == "slanted":
            self.slanted(part, rect)
        else:
            self.across(part, rect, depth, way == "vertical")

    def across(self, part: int, rect: Rect, depth: int, vertical: bool) -> None:
        low, length = (rect.x, rect.width) if vertical else (rect.y, rect.height)
        at = low + self.draw(st.integers(SMALLEST, length - 1))
        rest = low + length - at - self.kerf
        makes = [self.number(at - low), self.number(rest)]
        way = "vertical" if vertical else "horizontal"
        self.cuts.append({"part": part, "way": way, "at": at, "makes": makes})
        if vertical:
            first = Rect(rect.x, rect.y, at - low, rect.height)
            second = Rect(at + self.kerf, rect.y, rest, rect.height)
        else:
            first = Rect(rect.x, rect.y, rect.width, at - low)
            second = Rect(rect.x, at + self.kerf, rect.width, rest)
        for made, new in zip(makes, (first, second), strict=True):
            self.go_on(made, new, depth)

    def slanted(self, part: int, rect: Rect) -> None:
        """Cut from below upwards; what lies beyond starts the next 1/8000 mm after the kerf."""
        x, y, right, top = rect.x, rect.y, rect.right, rect.top
        slope = self.draw(st.integers(SMALLEST - rect.width, rect.width - SMALLEST))
        level = math.ceil(8000 * self.kerf * math.hypot(slope, rect.height) / rect.height) / 8000
        room = math.floor(rect.width - abs(slope) - level) - SMALLEST
        assume(room >= 0)
        low = x + max(0, -slope) + self.draw(st.integers(0, room))
        high = low + slope
        assume(max(low, high) >= x + SMALLEST)
        makes = [self.number(1), self.number(1)]
        line = [[low, y], [high, top]]
        self.cuts.append({"part": part, "way": "slanted", "line": line, "makes": makes})
        left = dict.fromkeys([(x, y), (low, y), (high, top), (x, top)])
        self.keep_outline(makes[0], list(left))
        beyond = [(low + level, y), (right, y), (right, top), (high + level, top)]
        self.keep_outline(makes[1], beyond)

    def keep_outline(self, part: int | None, outline: Any) -> None:
        self.keep(part, box_of(outline), outline)

    def notch(self, part: int, rect: Rect, depth: int) -> None:
        x, y, right, top = rect.x, rect.y, rect.right, rect.top
        wide = self.draw(st.integers(1, rect.width - SMALLEST))
        high = self.draw(st.integers(1, rect.height - SMALLEST))
        size = (wide - self.kerf, high - self.kerf)
        makes = [self.number(1), self.number(min(size))]
        corner, rest, outline = self.draw(
            st.sampled_from(
                [
                    (
                        "bottom-left",
                        Rect(x, y, *size),
                        [
                            *((x + wide, y), (right, y), (right, top)),
                            *((x, top), (x, y + high), (x + wide, y + high)),
                        ],
                    ),
                    (
                        "top-right",
                        Rect(right - size[0], top - size[1], *size),
                        [
                            *((x, y), (right, y), (right, top - high)),
                            *((right - wide, top - high), (right - wide, top), (x, top)),
                        ],
                    ),
                ]
            )
        )
        cut = {"part": part, "way": "notch", "corner": corner, "width": wide, "height": high}
        self.cuts.append({**cut, "makes": makes})
        self.keep(makes[0], rect, outline)
        self.go_on(makes[1], rest, depth)

    def go_on(self, part: int | None, rect: Rect, depth: int) -> None:
        if part is not None and min(rect.width, rect.height) >= SMALLEST:
            self.saw(part, rect, depth - 1)

    def keep(self, part: int | None, rect: Rect, outline: Any) -> None:
        """Note a piece as it hangs: turned back from how it lies here."""
        turn = self.draw(st.sampled_from([0, 90, 180, 270]))
        lies = {
            "left": rect.x == 0,
            "right": rect.right == MM_WIDE,
            "bottom": rect.y == 0,
            "top": rect.top == MM_HIGH,
        }
        wanted = [side for side in SIDES if lies[side] and self.draw(st.booleans())]
        corners = [(px - rect.x, py - rect.y) for px, py in outline]
        width, height = rect.width, rect.height
        for _ in range((360 - turn) // 90 % 4):
            corners = [(height - py, px) for px, py in corners]
            width, height = height, width
            wanted = [SIDES[(SIDES.index(side) + 1) % 4] for side in wanted]
        name = f"piece {len(self.pieces)}"
        piece = {"id": name, "width": width, "height": height, "factory_edges": wanted}
        self.pieces.append({**piece, "outline": corners})
        place = {"piece": name, "x": rect.x, "y": rect.y, "turn": turn, "part": part}
        self.placements.append(place)


@st.composite
def sawn(draw: Any) -> tuple[Json, Json]:
    """Draw a request and its plan: one tile, sawn up at random."""
    sawing = Sawing(draw, draw(st.integers(0, 4)))
    sawing.saw(0, Rect(0, 0, MM_WIDE, MM_HIGH), 5)
    assume(len(sawing.pieces) > 1 or sawing.cuts)
    tile = {"id": "field", "width": MM_WIDE, "height": MM_HIGH, "turn": "quarter"}
    cut_tile = {"number": 1, "tile": "field", "stock": "new", "width": MM_WIDE, "height": MM_HIGH}
    cut_tile |= {"placements": sawing.placements, "cuts": sawing.cuts}
    sums = total(1, len(sawing.pieces), cuts=len(sawing.cuts))
    return (
        {"tiles": [tile], "saw": {"kerf": sawing.kerf}, "pieces": sawing.pieces},
        {"totals": [sums], "cut_tiles": [cut_tile]},
    )


@settings(deadline=None, max_examples=120)
@given(sawn())
def test_what_is_sawn_at_random_is_right(case: tuple[Json, Json]) -> None:
    assert rules(*case) == []


@settings(deadline=None, max_examples=120)
@given(sawn())
def test_cuts_are_found_for_what_was_sawn_at_random(case: tuple[Json, Json]) -> None:
    wanted, made = case
    assert rules(wanted, without_cuts(made)) == []


@settings(deadline=None, max_examples=120)
@given(sawn(), st.data())
def test_a_random_plan_with_a_cut_left_out_or_a_piece_moved_is_refused(
    case: tuple[Json, Json], data: st.DataObject
) -> None:
    wanted, made = case
    cut_tile = made["cut_tiles"][0]
    if cut_tile["cuts"] and data.draw(st.booleans()):
        # The total is put right, so that the parts alone give it away.
        cut_tile["cuts"].pop(data.draw(st.integers(0, len(cut_tile["cuts"]) - 1)))
        made["totals"][0]["cuts"] -= 1
        # A last cut may have parted only waste; its parts then are no piece's.
        used = {placement["part"] for placement in cut_tile["placements"]}
        assume(not _makes_all(cut_tile["cuts"], used))
    else:
        index = data.draw(st.integers(0, len(cut_tile["placements"]) - 1))
        axis = data.draw(st.sampled_from(["x", "y"]))
        cut_tile["placements"][index][axis] += data.draw(st.sampled_from([-0.000125, 0.000125]))
    assert any(place.startswith("/cut_tiles/0/") for place in places(wanted, made))


def _makes_all(cuts: list[Json], used: set[int]) -> bool:
    made = {0} | {part for cut in cuts for part in cut["makes"] if part is not None}
    parted = {cut["part"] for cut in cuts}
    return used <= made - parted and parted <= made


NUMBERS = st.one_of(
    st.integers(-2, 12),
    st.integers(-700, 700),
    st.sampled_from([90, 180, 270, 10**30, 10**4000, 0.000125, 1e8, -1e8, None, True]),
)
TEXTS = st.sampled_from(
    [
        *("new", "field", "shelf", "whole", "end", "window", "1 km", None),
        *("vertical", "horizontal", "slanted", "notch", "top-left", "top-right", "left", "top"),
    ]
)


def _leaves(document: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = document.items() if isinstance(document, dict) else enumerate(document)
    found = [way] if way else []
    for key, value in inner:
        is_inner = isinstance(value, dict | list)
        found += _leaves(value, (*way, key)) if is_inner else [(*way, key)]
    return found


def _broken(document: Json, data: st.DataObject) -> Json:
    """Return a copy with one thing changed, dropped or said twice, if it still is a plan."""
    copied: Any = copy.deepcopy(document)
    way = data.draw(st.sampled_from(_leaves(copied)))
    target = copied
    for step in way[:-1]:
        target = target[step]
    deed = data.draw(st.sampled_from(["set", "set", "set", "drop", "repeat"]))
    if deed == "set":
        target[way[-1]] = data.draw(TEXTS if isinstance(target[way[-1]], str) else NUMBERS)
    elif deed == "drop" or isinstance(target, dict):
        del target[way[-1]]
    else:
        target.append(target[way[-1]])
    try:
        Plan.of(copied)
    except InvalidInput:
        return document
    return copied  # type: ignore[no-any-return]


def _resolve(document: Any, pointer: str) -> None:
    for step in pointer.split("/")[1:]:
        document = document[int(step) if isinstance(document, list) else step]


@settings(deadline=None, max_examples=250)
@given(st.data())
def test_whatever_is_wrong_with_a_plan_the_check_points_into_it(data: st.DataObject) -> None:
    wanted, made = data.draw(st.sampled_from([(request(), plan()), *(case() for case in CASES)]))
    if data.draw(st.booleans()):
        made = without_cuts(made)
    for _ in range(data.draw(st.integers(1, 8))):
        made = _broken(made, data)
    broken = Plan.of(made)
    written = broken.model_dump(mode="json")
    for fault in check_plan(Request.of(wanted), broken):
        _resolve(written, fault.place)
        assert fault.value
        assert fault.rule


def test_numbers_beyond_all_counting_are_refused() -> None:
    made = plan()
    for cut_tile in made["cut_tiles"]:
        cut_tile["count"] = cut_tile["number"] = 10**4299
        for number, cut in enumerate(cut_tile["cuts"]):
            cut["makes"] = [10**4299 + number, 10**4298 - number]
    made["totals"][0]["tiles_needed"] = made["totals"][0]["lower_bound"] = 10**4299
    assert places(request(), made)


def test_the_check_shares_no_code_with_the_solver() -> None:
    below = ("cutopt.check", "cutopt.documents", "cutopt.plane", "cutopt.units", "cutopt.errors")
    package = Path(cutopt.check.__file__).parent
    nodes = [
        node for path in package.glob("*.py") for node in ast.walk(ast.parse(path.read_text()))
    ]
    froms = [node.module or "" for node in nodes if isinstance(node, ast.ImportFrom)]
    plain = [name.name for node in nodes if isinstance(node, ast.Import) for name in node.names]
    ours = {name for name in froms + plain if name.partition(".")[0] not in sys.stdlib_module_names}
    assert len(ours) > 4
    assert {name for name in ours if not name.startswith(below)} == set()
