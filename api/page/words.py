"""A step and an entry in words, as the page says them."""

from typing import Any

from api.page.said import (
    BrokenSaid,
    CountedSaid,
    DoneSaid,
    LaidSaid,
    MeasuredSaid,
    PlanSaid,
    UndoSaid,
)
from api.page.steps import StepLeft
from cutopt.documents import Request
from cutopt.documents.sequence import Made
from cutopt.plane import Rect
from cutopt.reports.saw_steps import fence_text, made_text, step_text
from cutopt.reports.words import counted, number_text, plain, size_text
from cutopt.units import INCH, MM, Units

Json = dict[str, Any]
Said = DoneSaid | BrokenSaid | CountedSaid | LaidSaid | MeasuredSaid | UndoSaid | PlanSaid


def step_words(one: StepLeft, request: Request) -> Json:
    """Return all that the page says of a step, and what is sent when it is done or goes wrong."""
    step, tile, units = one.step, one.cut_tile, request.units
    times = len(one.which)
    said = DoneSaid(
        step=one.name, cut_tile=tile.number, which=one.which, cuts=one.cuts, whole=one.whole
    )
    is_fence = step.guide == "fence" and step.setting is not None
    return {
        "name": one.name,
        "said": said.model_dump(mode="json"),
        "tile": tile.number,
        "take": _take(one, request),
        "times": times,
        "fence": number_text(step.setting or 0, units) if is_fence else None,
        "fence_words": fence_text(step, units) if is_fence else "",
        "edge": step.edge if is_fence else None,
        "factory": bool(step.edge_is_factory),
        "do": _do(one, units),
        "stroke": f"stroke {one.stroke[0]} of {one.stroke[1]}" if one.stroke[1] > 1 else "",
        "then": [made_text(made, units) for made in _pieces_first(step.makes)],
        "pieces": [made.piece for made in step.makes if made.becomes == "piece"],
        "parts": _parts(one, units),
        "part": step.part,
        "which": list(one.which),
    }


def _pieces_first(makes: tuple[Made, ...]) -> list[Made]:
    return sorted(makes, key=lambda made: made.piece is None)


def _take(one: StepLeft, request: Request) -> str:
    """Return what is taken in hand: a new tile, an offcut, or a part made before."""
    step, tile = one.step, one.cut_tile
    times = len(one.which)
    if step.part != 0:
        words = f"part {step.part} of tile {tile.number}"
        return f"{words}, {times} times" if times > 1 else words
    size = size_text(tile.width, tile.height, request.units)
    if tile.stock != "new":
        return f"offcut {plain(tile.stock)}, {size}"
    many = counted(times, "new tile")
    kind = f" {plain(tile.tile)}" if len(request.tiles) > 1 else ""
    return f"{many}{kind}, {size}"


def _do(one: StepLeft, units: Units) -> str:
    step = one.step
    words = step_text(step, units)
    prefix = f"part {step.part}, "
    if words.startswith(prefix):
        words = words[len(prefix) :]
    if step.guide == "fence":
        words = words.partition(" to the fence, ")[2] or words
    return words[:1].upper() + words[1:]


def _parts(one: StepLeft, units: Units) -> list[Json]:
    """Return what may have broken: the part in hand, and what the step makes of it."""
    step = one.step
    if step.guide == "shape":
        return [_part(one, step.part, "the piece in hand", units)]
    made = (_part(one, made.part, _after(made, units), units) for made in _pieces_first(step.makes))
    return [_part(one, step.part, "what is in hand, before the cut", units), *made]


def _part(one: StepLeft, part: int, words: str, units: Units) -> Json:
    return {"part": part, "words": words, "size": size_of(one.rects[part], units)}


def size_of(rect: Rect, units: Units) -> list[float]:
    """Return width and height in units, for drawing."""
    per = INCH if units == "in" else MM
    return [rect.width / per, rect.height / per]


def _after(made: Made, units: Units) -> str:
    words = made_text(made, units)
    return f"after the cut: {words.removeprefix('label ')}"


def said_text(said: Said) -> str:
    """Return an entry as a sentence without its full stop."""
    match said:
        case DoneSaid():
            words = f"tile {said.cut_tile}{_which(said.which)}: {_step_done(said)}"
        case BrokenSaid():
            words = _broken(said)
        case MeasuredSaid():
            words = f"piece {plain(said.piece)} measured anew: {said.width} × {said.height}"
        case CountedSaid():
            words = f"{counted(said.tiles, 'whole tile')} {plain(said.tile)} counted"
        case LaidSaid():
            words = f"{counted(said.times, 'whole tile')} laid ({plain(said.piece)})"
        case UndoSaid():
            words = "taken back"
        case PlanSaid():
            words = "a new plan" if said.plan else "nothing is left to plan"
    return words


def _which(which: tuple[int, ...]) -> str:
    if which == (1,):
        return ""
    return f", {counted(len(which), 'copy', 'copies')}"


def _step_done(said: DoneSaid) -> str:
    if said.cuts:
        numbers = ", ".join(map(str, said.cuts))
        return f"cut {numbers} done"
    return "shaped" if ".s" in said.step else "first stroke done"


def _broken(said: BrokenSaid) -> str:
    if said.offcut is not None:
        words = f"offcut {plain(said.offcut)} broke"
    elif said.tile is not None:
        words = f"a whole tile {plain(said.tile)} broke"
    else:
        part = "the whole tile" if said.part == 0 else f"part {said.part}"
        words = f"tile {said.cut_tile}: {part} broke"
    if said.runs is not None:
        start, end = (", ".join(point) for point in said.runs)
        words += f" from {start} to {end}"
    kept = ", ".join(f"{one.width} × {one.height}" for one in said.usable)
    return words + (f"; still to be used: {kept}" if kept else "")
