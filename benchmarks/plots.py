"""The plots of the report: black on white, told apart by shape, the same bytes every time."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import NullFormatter, PercentFormatter

STYLE: Any = {
    "font.family": "sans-serif",
    "font.size": 10,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "svg.fonttype": "none",
    "svg.hashsalt": "cutopt",
}
#: Nothing of the day or the program goes into the file.
NO_METADATA = {"Date": None, "Creator": None}
#: A strip is one high; its rings fan out over this much of it.
FAN = 0.8

Strips = Mapping[str, Sequence[float]]


def strips(panels: Mapping[str, Strips], label: str, path: Path) -> None:
    """Plot a panel for each group: under each name a ring for each value, a bar at the median."""
    heights = [len(panel) for panel in panels.values()]
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(8, 1.2 + 0.42 * sum(heights)), layout="constrained")
        axes = figure.subplots(len(panels), 1, sharex=True, squeeze=False, height_ratios=heights)[
            :, 0
        ]
        for ax, (title, panel) in zip(axes, panels.items(), strict=True):
            _strips(ax, panel)
            ax.set_title(title, loc="left", fontsize=10)
        axes[-1].set_xlabel(label)
        axes[-1].xaxis.set_major_formatter(PercentFormatter(decimals=0))
        figure.savefig(path, format="svg", metadata=NO_METADATA)


def _strips(ax: Axes, panel: Strips) -> None:
    names = list(panel)[::-1]
    for height, name in enumerate(names):
        values, middle = sorted(panel[name]), median(panel[name])
        ax.plot(values, _fanned(values, height), "o", color="black", fillstyle="none", markersize=4)
        ax.plot([middle] * 2, [height - 0.4, height + 0.4], color="black", linewidth=2.5)
    ax.axvline(0, color="0.6", linewidth=1, zorder=0)
    ax.set_yticks(range(len(names)), names)
    ax.set_ylim(-0.6, len(names) - 0.4)


def _fanned(values: Sequence[float], height: float) -> list[float]:
    """Return heights at which rings of nearly the same value do not hide each other."""
    crowd = Counter(round(value) for value in values)
    step = min(0.14, FAN / max(crowd.values()))
    placed: Counter[int] = Counter()
    heights = []
    for value in values:
        number = placed[round(value)]
        placed[round(value)] += 1
        heights.append(height + step * ((number + 1) // 2) * (-1) ** number)
    return heights


def shares(groups: Mapping[str, tuple[Sequence[float], int]], label: str, path: Path) -> None:
    """Plot the share of each group that is done within a time; a group is its times and size."""
    slowest = max((time for times, _ in groups.values() for time in times), default=1.0)
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(8, 3), layout="constrained")
        ax = figure.subplots()
        for (title, (times, size)), line in zip(groups.items(), ("-", "--"), strict=False):
            share = [100 * number / size for number in range(1, len(times) + 1)]
            ax.step(sorted(times), share, line, where="post", color="black", label=title)
        ax.set_xscale("log")
        ax.xaxis.set_major_formatter(lambda seconds, _: f"{seconds:g}")
        ax.xaxis.set_minor_formatter(NullFormatter())
        ax.set_xlim(0.01, 10 ** math.ceil(math.log10(max(slowest, 1))) * 1.05)
        ax.set_xlabel("seconds")
        ax.set_ylabel(label)
        ax.set_ylim(0, 103)
        ax.yaxis.set_major_formatter(PercentFormatter(decimals=0))
        ax.legend(loc="lower right", frameon=False)
        figure.savefig(path, format="svg", metadata=NO_METADATA)


def growth(
    panels: Mapping[str, Mapping[str, Sequence[tuple[float, float]]]], label: str, path: Path
) -> None:
    """Plot a panel beside the other, both axes in powers of ten: a line of marks for each name."""
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(8, 3.4), layout="constrained")
        axes = figure.subplots(1, len(panels), squeeze=False)[0]
        for ax, (title, lines) in zip(axes, panels.items(), strict=True):
            for (name, points), mark in zip(lines.items(), ("o-", "s--", "^:"), strict=False):
                xs, ys = zip(*points, strict=True)
                ax.loglog(xs, ys, mark, color="black", fillstyle="none", markersize=5, label=name)
            ax.set_title(title, loc="left", fontsize=10)
            ax.set_xlabel(label)
            ax.xaxis.set_major_formatter(lambda number, _: f"{number:,.0f}")
            ax.yaxis.set_major_formatter(lambda number, _: f"{number:g}")
            ax.xaxis.set_minor_formatter(NullFormatter())
            ax.yaxis.set_minor_formatter(NullFormatter())
            ax.set_ylim(top=10 ** math.ceil(math.log10(1.2 * ax.get_ylim()[1])))
            ax.legend(loc="upper left", frameon=False, fontsize=8)
        figure.savefig(path, format="svg", metadata=NO_METADATA)


def bars(names: Sequence[str], panels: Mapping[str, Sequence[float]], path: Path) -> None:
    """Plot a panel beside the other: for each name a bar with its value."""
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(8, 0.9 + 0.34 * len(names)), layout="constrained")
        axes = figure.subplots(1, len(panels), sharey=True, squeeze=False)[0]
        places = range(len(names) - 1, -1, -1)
        for ax, (title, values) in zip(axes, panels.items(), strict=True):
            drawn = ax.barh(places, values, height=0.6, color="0.75", edgecolor="black")
            ax.bar_label(drawn, fmt="%.1f", padding=3)
            ax.set_title(title, loc="left", fontsize=10)
            ax.set_xlim(0, 1.15 * max(values))
            ax.set_yticks(places, names)
        figure.savefig(path, format="svg", metadata=NO_METADATA)


def power(
    proven: Sequence[tuple[float, float]],
    open_: Sequence[tuple[float, float]],
    fit: tuple[float, float] | None,
    labels: tuple[str, str],
    path: Path,
) -> None:
    """Plot times in powers of ten: rings for what was proven, crosses for what was not.

    The line is `factor` times x to the power of `exponent`, given as (exponent, factor).
    """
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(6, 3.6), layout="constrained")
        ax = figure.subplots()
        ax.set_xscale("log")
        ax.set_yscale("log")
        for points, mark, name in ((proven, "o", "proven"), (open_, "x", "not proven")):
            if points:
                xs, ys = zip(*points, strict=True)
                ax.plot(xs, ys, mark, color="black", fillstyle="none", markersize=6, label=name)
        if fit is not None:
            exponent, factor = fit
            ends = [min(x for x, _ in proven), max(x for x, _ in proven)]
            line = [factor * x**exponent for x in ends]
            ax.plot(ends, line, "--", color="black", linewidth=1, label=f"power {exponent:.2f}")
        steps = sorted({x for x, _ in [*proven, *open_]})
        ax.set_xticks(steps, [f"{x:,g}" for x in steps])
        ax.xaxis.set_minor_formatter(NullFormatter())
        ax.yaxis.set_major_formatter(lambda number, _: f"{number:g}")
        ax.set_xlabel(labels[0])
        ax.set_ylabel(labels[1])
        ax.legend(loc="upper left", frameon=False, fontsize=8)
        figure.savefig(path, format="svg", metadata=NO_METADATA)
