"""Write docs/benchmarks/growth.md and its plots."""

from collections.abc import Sequence
from statistics import median

import numpy as np

from benchmarks import plots
from benchmarks.growth import STEPS, Mix, Row
from benchmarks.results import HERE

FOLDER = HERE.parent / "docs" / "benchmarks"
USUAL = Mix()
TITLES = {
    "pieces": "Against the number of pieces",
    "sizes": "Against the number of different sizes",
    "ratio": "Against the ratio of tile to piece",
}
SAID = {
    "pieces": f"{USUAL.sizes} sizes, the same for all numbers of pieces of a seed (with 10 pieces "
    f"only ten of them); ratio {USUAL.ratio:g}.",
    "sizes": f"{USUAL.pieces} pieces; ratio {USUAL.ratio:g}.",
    "ratio": f"{USUAL.pieces} pieces of {USUAL.sizes} sizes; a side of a piece is, on average, the "
    "tile's over the ratio.",
}
AXES = {"pieces": "pieces", "sizes": "different sizes", "ratio": "side of tile / side of piece"}


def write(rows: Sequence[Row]) -> None:
    """Write page and plots."""
    if not rows:
        raise SystemExit("nothing was measured yet")
    FOLDER.mkdir(parents=True, exist_ok=True)
    (FOLDER / "growth.md").write_text(page(rows) + "\n", encoding="utf-8")
    for series, group in by_series(rows).items():
        proven, left_open = _times(group, proven=True), _times(group, proven=False)
        labels = AXES[series], "seconds of the processor"
        plots.power(proven, left_open, fitted(proven), labels, FOLDER / f"growth_{series}.svg")


def by_series(rows: Sequence[Row]) -> dict[str, list[Row]]:
    """Return the rows of each series."""
    found = {series: [row for row in rows if row["series"] == series] for series in STEPS}
    return {series: group for series, group in found.items() if group}


def _times(rows: Sequence[Row], proven: bool) -> list[tuple[float, float]]:
    return [(row["step"], row["seconds"]) for row in rows if row["proven"] is proven]


def fitted(points: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    """Return exponent and factor of the power law that fits best; None with a single step."""
    if len({x for x, _ in points}) < 2:
        return None
    xs, ys = np.log(np.array(points, dtype=float)).T
    exponent, offset = np.polyfit(xs, ys, 1)
    return float(exponent), float(np.exp(offset))


def page(rows: Sequence[Row]) -> str:
    """Return the page as Markdown."""
    made = "; ".join(sorted({row["made_by"] for row in rows}))
    machines = "; ".join(sorted({row["machine"] for row in rows}))
    allowed = ", ".join(sorted({f"{row['allowed']:g}" for row in rows}))
    head = f"""# Growth

*Written by `python -m benchmarks.growth --report`; do not edit.*

How the time to a proven plan grows. Pieces are invented: of a tile of 600 x 600 mm, sawn on every
side, turned at will, kerf 2 mm, sides drawn within 30 % of their mean; three seeds for each step.
Seconds are those that the process worked; {allowed} were allowed, and the clock is looked at
between steps of the search only, so some took longer. Measured with {made}, on {machines}.

The line is the power law that fits best (least squares of the logarithms) over the instances that
were proven. A cross is an instance that was not proven within the time or within the search's own
limits. It is left out of the fit, so where there are crosses the fit knows the easy instances
only and says little."""
    return "\n\n".join([head, *(_section(*each) for each in by_series(rows).items())])


def _section(series: str, group: Sequence[Row]) -> str:
    fit = fitted(_times(group, proven=True))
    proven = sum(row["proven"] for row in group)
    told = f"power **{fit[0]:.2f}**" if fit else "too few for a fit"
    lines = [
        f"## {TITLES[series]}",
        "",
        f"{SAID[series]} Proven: **{proven} of {len(group)}**; {told}.",
        "",
        f"![Seconds over {AXES[series]}](growth_{series}.svg)",
        "",
        f"| {AXES[series]} | proven | median s | slowest | largest gap, tiles |",
        "|---:|---:|---:|---:|---:|",
    ]
    for step in sorted({row["step"] for row in group}):
        lines.append(_line(step, [row for row in group if row["step"] == step]))
    return "\n".join(lines)


def _line(step: float, rows: Sequence[Row]) -> str:
    times = [row["seconds"] for row in rows]
    gap = max(row["tiles"] - row["bound"] for row in rows)
    proven = f"{sum(row['proven'] for row in rows)} of {len(rows)}"
    return f"| {step:,g} | {proven} | {median(times):.2f} | {max(times):.2f} | {gap} |"
