"""What can be wrong with the parts of a shower, measured against the surface round them."""

from collections.abc import Iterable, Iterator

from cutopt.documents.job import Corner, Job, Room
from cutopt.documents.mosaic import faults_of_sheet
from cutopt.documents.shower import Block, Laying, Rim, Skirting, show_slope
from cutopt.documents.surface import Opening, Surface
from cutopt.documents.unfold import trade_of
from cutopt.documents.unfold.block import Solid
from cutopt.documents.unfold.corner import away
from cutopt.documents.unfold.floor import can_be_cut
from cutopt.documents.unfold.opening import Lined
from cutopt.documents.unfold.round_the_room import in_order
from cutopt.documents.unfold.trade import Trade
from cutopt.errors import Fault, shown
from cutopt.units import Units, show_length

#: What is left of a return must be more than its joints.
_TOO_LITTLE = "joints, rims and the tiles beside it leave nothing of it"


def faults_of_parts(job: Job) -> Iterator[Fault]:
    """Return every fault of returns, blocks, skirting, falls and mosaics."""
    trade, units = trade_of(job), job.units
    for at, tile in enumerate(job.tiles):
        if tile.mosaic is not None:
            size = (tile.width, tile.height)
            yield from faults_of_sheet(f"/tiles/{at}/mosaic", size, tile.mosaic, units)
    for place, surface in job.measured:
        yield from _faults_of_fall(place, surface, trade)
        yield from _faults_of_mosaic(place, surface, trade, units)
        for at, opening in enumerate(surface.openings):
            if opening.returns is not None:
                here = f"{place}/openings/{at}"
                yield from _faults_of_returns(here, surface, opening, trade, units)
    for number, room in enumerate(job.rooms):
        yield from _faults_of_obstacles(f"/rooms/{number}", room)
        for at, corner in enumerate(room.corners):
            yield from _faults_of_corner(f"/rooms/{number}/corners/{at}", corner, room, trade)
        for at, part in enumerate(room.parts):
            here = f"/rooms/{number}/parts/{at}"
            if isinstance(part, Block):
                yield from _faults_of_block(here, part, trade, units)
            else:
                yield from _faults_of_skirting(here, part, trade, units)


# Tiles of a part.


def _faults_of_tiles(
    named: Iterable[tuple[str, str | None]], trade: Trade, *, thick: bool
) -> Iterator[Fault]:
    """Return faults of tiles given by place and name: unknown, or of unknown thickness."""
    for place, name in dict.fromkeys(named):
        if name is None and len(trade.tiles) > 1:
            rule = "with several tiles each surface and each part names its tile"
            yield Fault(place, "nothing", rule)
        elif name is not None and name not in trade.tiles:
            rule = f"this names a tile of the job: {', '.join(list(trade.tiles)[:8])}"
            yield Fault(place, shown(name), rule)
        elif thick and trade.tile(name).thickness is None:
            rule = "a tile that goes round a corner has its thickness with the tile"
            yield Fault(place, shown(trade.tile(name).id), rule)


def _faults_of_rims(
    place: str, rims: Iterable[tuple[str, Rim]], tiles: Iterable[str | None], trade: Trade
) -> Iterator[Fault]:
    least = min(min(trade.tile(name).width, trade.tile(name).height) for name in tiles)
    for side, rim in rims:
        if rim.face is None:
            continue
        if max(rim.face, rim.depth or 0) >= least:
            here = f"{place}/rims/{side}" if side else f"{place}/rim"
            yield Fault(here, "face", "a profile is narrower than the tile")
        elif rim.offset > min(rim.face, rim.depth or rim.face):
            rule = "a profile stands proud by less than its own width"
            here = f"{place}/rims/{side}" if side else f"{place}/rim"
            yield Fault(here, "offset", rule)


# Openings.


def _faults_of_returns(
    place: str, wall: Surface, opening: Opening, trade: Trade, units: Units
) -> Iterator[Fault]:
    returns = opening.returns
    assert returns is not None
    here = f"{place}/returns"
    if opening.outline is not None:
        rule = "returns line an opening with x, y, width and height"
        yield Fault(here, f"{len(opening.outline)} corners", rule)
        return
    if returns.back is not None and opening.kind != "niche":
        yield Fault(f"{here}/back", opening.kind, "only a niche has a back")
    if wall.thickness is not None and returns.depth > wall.thickness:
        rule = f"a return is no deeper than its wall is thick, {_show(wall.thickness, units)}"
        yield Fault(f"{here}/depth", _show(returns.depth, units), rule)
    lined = Lined(place, wall, opening, returns, trade)
    sides = [*returns.sides, *(["back"] if returns.back else [])]
    names = [("/tile", wall.tile), *((_of(side), lined.style(side).tile) for side in sides)]
    named = [(f"{here}{at}" if at != "/tile" else here, name) for at, name in names]
    faults = list(_faults_of_tiles(named, trade, thick=True))
    yield from faults
    if faults:
        return
    rims = [(str(side), rim) for side, rim in returns.rims.items()]
    faults = list(_faults_of_rims(here, rims, _each(names), trade))
    yield from faults or _faults_of_room(here, lined, units)


def _of(side: str) -> str:
    return f"/{side}/tile" if side in ("sill", "back") else "/laying/tile"


def _each(names: Iterable[tuple[str, str | None]]) -> list[str | None]:
    return list(dict.fromkeys(name for _, name in names))


def _faults_of_room(place: str, lined: Lined, units: Units) -> Iterator[Fault]:
    """Return what the tiles leave no room for: the pitch of a jamb, the depth of a return."""
    returns, finished = lined.returns, lined.finished
    if finished.width <= 0 or finished.height <= 0:
        yield Fault(place, "opening", "the tiles of the returns fill the opening")
        return
    soft = 2 * max(lined.build(side).soft_joint for side in ("left", "right"))
    if lined.rise + soft >= finished.height:
        rule = (
            f"the pitch leaves nothing of the jambs: the sill rises by {_show(lined.rise, units)} "
            f"in an opening {_show(finished.height, units)} high"
        )
        yield Fault(f"{place}/pitch", show_slope(returns.pitch), rule)
    for side in returns.sides:
        if away(lined.edges(side)[1]) + away(lined.back_edge) >= lined.depth:
            rule = f"a return is deeper than its rim and joints: of the {side} nothing is left"
            yield Fault(f"{place}/depth", _show(returns.depth, units), rule)


# What stands before a wall.


def _faults_of_obstacles(place: str, room: Room) -> Iterator[Fault]:
    parts = [part.id for part in room.parts if isinstance(part, Block)]
    for number, surface in enumerate(room.surfaces):
        for at, obstacle in enumerate(surface.obstacles):
            if obstacle.part is not None and obstacle.part not in parts:
                known = ", ".join(parts[:8]) or "none"
                rule = f"this names a curb, seat, ledge or half wall of its room: {known}"
                here = f"{place}/surfaces/{number}/obstacles/{at}/part"
                yield Fault(here, shown(obstacle.part), rule)


# Corners of a room.


def _faults_of_corner(place: str, corner: Corner, room: Room, trade: Trade) -> Iterator[Fault]:
    walls = {surface.id: surface for surface in room.surfaces if surface.kind == "wall"}
    for side, name in (("left", corner.left), ("right", corner.right)):
        if name not in walls:
            rule = f"a corner names two walls of its room: {', '.join(list(walls)[:8])}"
            yield Fault(f"{place}/{side}", shown(name), rule)
    if corner.left == corner.right:
        yield Fault(f"{place}/right", shown(corner.right), "a corner is of two different walls")
    elif sum(corner.right == other.right for other in room.corners) > 1:
        rule = "a wall has one corner at its left end"
        yield Fault(f"{place}/right", shown(corner.right), rule)
    elif corner.continues and {corner.left, corner.right} <= set(walls):
        yield from _faults_of_going_on(place, corner, room, trade)
    if corner.rim is not None and {corner.left, corner.right} <= set(walls):
        yield from _faults_of_outside(place, corner, walls, trade)


def _faults_of_outside(
    place: str, corner: Corner, walls: dict[str, Surface], trade: Trade
) -> Iterator[Fault]:
    if corner.kind != "outside":
        yield Fault(f"{place}/rim", corner.kind, "a rim is for an outside corner")
        return
    both = (walls[corner.left], walls[corner.right])
    if any(wall.outline is not None for wall in both):
        rule = "walls at an outside corner with a rim are measured by their sides"
        yield Fault(f"{place}/rim", "outline", rule)
    tiles = [wall.tile for wall in both]
    faults = list(_faults_of_tiles([(f"{place}/rim", tile) for tile in tiles], trade, thick=True))
    yield from faults
    if not faults and corner.rim is not None:
        yield from _faults_of_rims(place, [("", corner.rim)], tiles, trade)


def _faults_of_going_on(place: str, corner: Corner, room: Room, trade: Trade) -> Iterator[Fault]:
    here = f"{place}/continues"
    walls = {surface.id: surface for surface in room.surfaces}
    left, right = walls[corner.left], walls[corner.right]
    alike = (left.tile, left.joint, left.bond) == (right.tile, right.joint, right.bond)
    level = left.bond.kind in ("stack", "running") and left.bond.angle == 0
    if not (alike and level and left.bond.along == "rows"):
        yield Fault(here, "true", "courses go on in the same tile, joint and level bond")
    elif left.outline is not None or right.outline is not None:
        yield Fault(here, "true", "courses go on round walls that are measured by their sides")
    elif right.start is not None or (left.start and left.start.of == "centre"):
        rule = (
            "the right wall starts with what the left wall, begun at a corner, leaves of its tile"
        )
        yield Fault(here, "true", rule)
    elif corner.kind == "outside":
        yield Fault(
            here, "true", "a tile goes on at an inside corner: outside a factory edge shows"
        )
    elif corner not in in_order(room):
        yield Fault(here, "true", "courses that go on begin at some wall, not all round the room")


# What stands in a room.


def _faults_of_block(place: str, block: Block, trade: Trade, units: Units) -> Iterator[Fault]:
    yield from _faults_of_laying(place, block.laying)
    if not block.tiled:
        yield Fault(f"{place}/tiled", "nothing", "at least one upright face is tiled")
    named = [(f"{place}/laying/tile", block.laying.tile)]
    if block.top is not None:
        named.append((f"{place}/top/tile", block.top.tile or block.laying.tile))
    faults = list(_faults_of_tiles(named, trade, thick=True))
    yield from faults
    if faults or block.laying.joint is None:
        return
    rims = [(str(side), rim) for side, rim in block.rims.items()]
    faults = list(_faults_of_rims(place, rims, _each(named), trade))
    yield from faults
    if faults:
        return
    solid = Solid(place, block, trade)
    rims_away = sum(away(solid.at_top(side)[1]) for side in ("inner", "outer"))
    if rims_away >= solid.run:
        yield Fault(f"{place}/width", _show(block.width, units), f"of the top, {_TOO_LITTLE}")


def _faults_of_skirting(
    place: str, skirting: Skirting, trade: Trade, units: Units
) -> Iterator[Fault]:
    yield from _faults_of_laying(place, skirting.laying)
    named = [(f"{place}/laying/tile", skirting.laying.tile)]
    faults = list(_faults_of_tiles(named, trade, thick=False))
    yield from faults
    if faults:
        return
    tile = trade.tile(skirting.laying.tile)
    if skirting.height > max(tile.width, tile.height):
        rule = "a strip of skirting is no higher than its tile"
        yield Fault(f"{place}/height", _show(skirting.height, units), rule)


def _faults_of_laying(place: str, laying: Laying) -> Iterator[Fault]:
    if laying.joint is None:
        yield Fault(f"{place}/laying/joint", "nothing", "a part of a room says its joint")


# Floors.


def _faults_of_fall(place: str, surface: Surface, trade: Trade) -> Iterator[Fault]:
    fall = surface.fall
    if surface.drains and surface.kind != "floor":
        yield Fault(f"{place}/drains", surface.kind, "a drain lies in a floor")
    if fall is None:
        return
    if surface.kind != "floor" or len(surface.drains) != 1:
        value = f"{surface.kind} with {len(surface.drains)} drains"
        yield Fault(f"{place}/fall", value, "a fall is for a floor with one drain")
        return
    if not fall.least <= fall.slope <= fall.most:
        rule = f"the slope lies from {show_slope(fall.least)} to {show_slope(fall.most)}"
        rule += ", the range of this job: local code decides"
        yield Fault(f"{place}/fall/slope", show_slope(fall.slope), rule)
    if fall.field == "cut" and not can_be_cut(surface):
        rule = "a floor that is cut on its fall lines has four corners, a point drain with width "
        rule += "and height, and nothing else in it"
        yield Fault(f"{place}/fall/field", "cut", rule)


# Mosaics.


def _faults_of_mosaic(place: str, surface: Surface, trade: Trade, units: Units) -> Iterator[Fault]:
    tile = trade.tiles.get(surface.tile or next(iter(trade.tiles)))
    if tile is None or tile.mosaic is None:
        return
    if surface.joint != tile.mosaic.joint:
        rule = f"sheets are set with the joint of their chips, {_show(tile.mosaic.joint, units)}"
        yield Fault(f"{place}/joint", _show(surface.joint, units), rule)
    if surface.bond.kind != "stack":
        yield Fault(f"{place}/bond", surface.bond.kind, "sheets of mosaic are laid in stack bond")


def _show(length: int, units: Units) -> str:
    return show_length(length, units)
