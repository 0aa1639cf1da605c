"""The cut order as text: every step in words, grouped by what the fence is set to."""

from collections.abc import Iterator

from cutopt.documents.sequence import Made, Sequence, Step
from cutopt.reports.marking import marking_text
from cutopt.reports.words import (
    NO_BREAK,
    columns_of,
    counted,
    number_text,
    plain,
    size_text,
    wrapped,
)
from cutopt.units import Units

WIDTH = 80
_INDENT = 10
_SNAP = "snap cutter"

ORDERS = {
    "surface": "as the pieces are laid",
    "fence": "with the fewest settings of the fence",
    "risk": "what breaks most easily first",
}
CONVENTIONS = (
    "A setting is the distance from the fence to the near face of the blade: what lies "
    "between the two comes out exactly that wide. Tiles lie face up, as the cut sheet draws them.",
    "Write on each part that is kept its tile and its number: 13.2 on part 2 of tile 13. A piece "
    "bears its name so that it reads upright when the piece is laid.",
)


def write_saw_steps(order: Sequence) -> str:
    """Return a cut order as text, at most 80 columns wide."""
    title = plain(order.title or "")
    lines = [*_filled(f"Cut order: {title}" if title else "Cut order"), ""]
    lines += _workload(order)
    for convention in CONVENTIONS:
        lines += ["", *_filled(convention)]
    for step in order.steps:
        if step.sets_fence:
            what = "SNAP CUTTER" if step.tool == _SNAP else "FENCE"
            lines += ["", f"SET THE {what} TO {fence_text(step, order.units)}"]
        lines += _lines_of(step, order.units)
    return "\n".join(lines) + "\n"


def _filled(text: str, start: str = "") -> Iterator[str]:
    for number, line in enumerate(wrapped(text, WIDTH - len(start), columns_of)):
        yield (start if number == 0 else " " * len(start)) + line.replace(NO_BREAK, " ")


def _workload(order: Sequence) -> Iterator[str]:
    for name, words in facts_of(order):
        yield from _filled(words, f"  {name}".ljust(12))


def facts_of(order: Sequence) -> Iterator[tuple[str, str]]:
    """Yield what an order comes to, each a name and words."""
    work = order.workload
    yield "order", ORDERS[order.by]
    words = counted(work.settings, "setting")
    if work.proven_fewest:
        words += "; proven: no order of these cuts has fewer"
    elif work.least_settings is not None:
        words += f"; not proven: at least {work.least_settings:,}"
    yield "fence", words
    words = f"{counted(work.cuts, 'cut')}, {work.metres:,.1f} m sawn"
    yield (
        "saw",
        words
        + (
            f"; {counted(work.shapings, 'hole or shape', 'holes or shapes')}"
            if work.shapings
            else ""
        ),
    )
    yield "time", f"about {work.minutes:,.0f} min by assumed paces, which differ from hand to hand"
    yield "shelf", f"at most {counted(work.most_waiting, 'labelled piece')} waiting at once"


def _lines_of(step: Step, units: Units) -> Iterator[str]:
    start = f"{step.number:>5}  "
    yield from _filled(f"{tile_text(step)}: {step_text(step, units)}", start)
    for made in step.makes:
        yield from _filled(made_text(made, units), " " * _INDENT)


def fence_text(step: Step, units: Units) -> str:
    """Return what the fence is set to."""
    return f"{number_text(step.setting or 0, units)} {units}"


def tile_text(step: Step) -> str:
    """Return which tile a step is done to, how often, and where the tile comes from."""
    stock = "" if step.stock == "new" else f" (offcut {plain(step.stock)})"
    times = f", {step.times:,} times" if step.times > 1 else ""
    return f"tile {_tile(step)}{stock}{times}"


def tile_number(step: Step) -> str:
    """Return the number of the tile of a step, and how often it is done: `"12 × 4"`."""
    times = f"{NO_BREAK}×{NO_BREAK}{step.times:,}" if step.times > 1 else ""
    return f"{_tile(step)}{times}"


def _tile(step: Step) -> str:
    return f"{step.cut_tile}/{step.which}" if step.which else f"{step.cut_tile}"


def step_text(step: Step, units: Units) -> str:
    """Return what is done in a step, without its tile and its fence."""
    part = "" if step.part == 0 else f"part {step.part}, "
    if step.guide in ("shape", "knife"):
        return f"{part}{step.words}"
    if step.guide == "mark" and (step.line is None or step.box is None):
        return f"{part}{step.words}"
    if step.line is not None and step.box is not None:
        return f"{part}{marking_text(step.line, step.box, units)}"
    kind = "factory" if step.edge_is_factory else "sawn"
    if step.tool == _SNAP:
        return f"{part}snap cutter, {step.edge} edge ({kind}) to the stop: score and snap"
    edge = f"{step.edge} edge ({kind}) to the fence"
    cut = "cut" if step.way != "notch" else f"cut into the {step.corner} corner"
    words = f"; {step.words}" if step.words else ""
    return f"{part}{edge}, {cut}{words}"


def made_text(made: Made, units: Units) -> str:
    """Return what becomes of a part: its label, or where it goes."""
    size = (
        ""
        if made.width is None or made.height is None
        else size_text(made.width, made.height, units, "x")
    )
    if made.becomes == "piece":
        return f"label {plain(made.piece or '')}" + (f" ({size})" if size else "")
    name = f"part {made.part}" + (f" ({size})" if size else "")
    ends = {
        "part": f"{name} is cut again",
        "leftover": f"{name} goes on the shelf",
        "waste": f"{name} is waste",
    }
    if made.becomes == "part" and made.piece is not None:
        return f"{name} is {plain(made.piece)}, still to be shaped"
    return ends[made.becomes]
