"""One cut tile: its stock, where its pieces lie, and whether they can be cut so."""

from collections.abc import Iterator, Sequence

from cutopt.check.known import NEW, Known, Laid, Stock, figure, lay, stock_of, turned_sides
from cutopt.check.parts import faults_of_replay
from cutopt.check.separate import Stuck, neighbours, stuck_pieces
from cutopt.documents import CutTile, Offcut, Tile
from cutopt.errors import Fault, shown

_TURNS = {"none": (0,), "half": (0, 180), "quarter": (0, 90, 180, 270)}


def faults_of_cut_tile(cut_tile: CutTile, known: Known) -> Iterator[Fault]:
    """Yield what is wrong with a cut tile by itself; places count from the cut tile."""
    source = known.source_of(cut_tile)
    stock = stock_of(source, cut_tile)
    yield from _faults_of_stock(cut_tile, source, stock, known)
    laid = []
    for number, placement in enumerate(cut_tile.placements):
        piece = known.pieces.get(placement.piece)
        if piece is None:
            place = f"/placements/{number}/piece"
            yield Fault(place, shown(placement.piece), "the request names no such piece")
        else:
            laid.append(lay(number, placement, piece))
    for piece_laid in laid:
        yield from _faults_of_place(piece_laid, cut_tile, stock, known)
    kerf = known.kerf_of(cut_tile)
    close = neighbours(laid, kerf)
    for a, b in close.too_close:
        yield _too_close(a, b, known.show(kerf), known)
    if cut_tile.cuts is not None:
        yield from faults_of_replay(cut_tile, laid, stock, known)
        return
    yield from _parts_without_cuts(cut_tile)
    if laid and not close.too_close:
        for stuck in stuck_pieces(laid, close.nests, kerf):
            yield _cannot_be_parted(stuck)


def _faults_of_stock(
    cut_tile: CutTile, source: Tile | Offcut | None, stock: Stock, known: Known
) -> Iterator[Fault]:
    if cut_tile.tile not in known.tiles:
        yield Fault("/tile", shown(cut_tile.tile), "the request names no such tile")
    elif isinstance(source, Offcut) and known.tile_of(source).id != cut_tile.tile:
        rule = f"offcut {shown(source.id)} is of tile {shown(known.tile_of(source).id)}"
        yield Fault("/tile", shown(cut_tile.tile), rule)
    if source is None:
        if cut_tile.stock != NEW:
            rule = "this is 'new' or the id of an offcut of the request"
            yield Fault("/stock", shown(cut_tile.stock), rule)
        return
    for side, given, found in (
        ("width", cut_tile.width, stock.width),
        ("height", cut_tile.height, stock.height),
    ):
        if given != found:
            yield Fault(f"/{side}", known.show(given), f"this stock measures {known.show(found)}")
    # A plan made elsewhere need not repeat the edges of its stock.
    given_edges = cut_tile.factory_edges
    if "factory_edges" in cut_tile.model_fields_set and set(given_edges) != set(stock.edges):
        rule = f"the factory edges of this stock are {', '.join(stock.edges) or 'none'}"
        yield Fault("/factory_edges", ", ".join(given_edges) or "none", rule)


def _faults_of_place(laid: Laid, cut_tile: CutTile, stock: Stock, known: Known) -> Iterator[Fault]:
    piece, (x, y, width, height) = laid.piece, laid.box
    place, turn = f"/placements/{laid.number}", cut_tile.placements[laid.number].turn
    tiles = known.tiles_of(piece)
    tile = next((one for one in tiles if one.id == cut_tile.tile), tiles[0])
    if tile.id != cut_tile.tile:
        rule = f"this piece is of tile {shown(tile.id)}, not {shown(cut_tile.tile)}"
        yield Fault(f"{place}/piece", shown(piece.id), rule)
    if turn not in _TURNS[tile.turn]:
        rule = f"tile {shown(tile.id)} is turned '{tile.turn}'"
        yield Fault(f"{place}/turn", f"{turn} degrees", rule)
    for axis, low, high, end in (
        ("x", x, x + width, stock.width),
        ("y", y, y + height, stock.height),
    ):
        if low < 0 or high > end:
            where = f"from {known.show(low)} to {known.show(high)}"
            yield Fault(f"{place}/{axis}", where, f"a piece lies within 0 and {known.show(end)}")
    if tile.mosaic is not None and (x % tile.mosaic.across or y % tile.mosaic.up):
        rule = "a sheet of mosaic is parted along the joints of its chips"
        yield Fault(place, known.show(x, y), rule)
    if piece.factory_edges:
        found = stock.edges_of(laid.box)
        for side in turned_sides(piece.factory_edges, turn):
            if side not in found:
                rule = f"piece {shown(piece.id)} wants a factory edge on its {side} as it lies here"
                yield Fault(place, f"{side} is a sawn edge", rule)


def _too_close(a: Laid, b: Laid, kerf: str, known: Known) -> Fault:
    a, b = sorted((a, b), key=lambda laid: laid.number)
    return Fault(
        f"/placements/{b.number}",
        f"piece {shown(b.piece.id)} at {known.show(b.box.x, b.box.y)}",
        f"it lies less than a kerf of {kerf} from piece {shown(a.piece.id)}, "
        f"/placements/{a.number}",
    )


def _parts_without_cuts(cut_tile: CutTile) -> Iterator[Fault]:
    rule = "a part is made by a cut, and this cut tile lists no cuts"
    named = [(f"/placements/{n}", item.part) for n, item in enumerate(cut_tile.placements)]
    named += [(f"/leftovers/{n}", item.part) for n, item in enumerate(cut_tile.leftovers)]
    for place, part in named:
        if part is not None:
            yield Fault(f"{place}/part", f"part {figure(part)}", rule)


def _cannot_be_parted(stuck: Stuck) -> Fault:
    names = _names(stuck.pieces)
    value = f"{len(stuck.pieces)} pieces"
    if stuck.host is not None:
        rule = f"no single notch in piece {shown(stuck.host.piece.id)} frees these pieces: {names}"
        return Fault("/placements", value, rule)
    return Fault("/placements", value, f"no straight cut parts these pieces: {names}")


def _names(pieces: Sequence[Laid], most: int = 8) -> str:
    names = [piece.piece.id for piece in sorted(pieces, key=lambda piece: piece.number)]
    return ", ".join(names[:most]) + (", …" if len(names) > most else "")
