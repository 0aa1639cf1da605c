"""Growth: what is drawn, that a run goes on where it stopped, and what the fit says."""

from pathlib import Path

import pytest

from benchmarks import report_growth
from benchmarks.growth import Point, Row, measure, measure_all, points, read, request_of
from benchmarks.plots import power


def row(point: Point, seconds: float = 1.0, bound: int = 9) -> Row:
    return Row(
        series=point.series,
        step=point.step,
        seed=point.seed,
        pieces=10,
        sizes=5,
        tiles=9,
        bound=bound,
        proven=bound == 9,
        seconds=seconds,
        allowed=20,
        made_by="cutopt",
        machine="a machine",
    )


@pytest.mark.parametrize(
    ("point", "pieces", "sizes"),
    [
        (Point("pieces", 10, 1), 10, 10),
        (Point("pieces", 3000, 1), 3000, 20),
        (Point("sizes", 200, 2), 300, 200),
        (Point("ratio", 6, 3), 300, 20),
    ],
)
def test_an_instance_is_as_large_as_asked(point: Point, pieces: int, sizes: int) -> None:
    request = request_of(point)
    assert sum(piece.quantity for piece in request.pieces) == pieces
    assert len(request.pieces) == sizes


def test_more_pieces_of_a_seed_are_of_the_same_sizes() -> None:
    few, many = (
        {(piece.width, piece.height) for piece in request_of(Point("pieces", n, 1)).pieces}
        for n in (100, 3000)
    )
    assert few == many


def test_one_instance_is_planned_and_proven() -> None:
    found = measure(Point("pieces", 10, 1), 20)
    assert found["proven"]
    assert found["tiles"] == found["bound"]
    assert 0 < found["seconds"] < 20


def test_a_run_goes_on_where_it_stopped(tmp_path: Path) -> None:
    out, asked = tmp_path / "out.jsonl", list[Point]()

    def measured(point: Point, seconds: float) -> Row:
        if seconds == 20:
            asked.append(point)
            if len(asked) == 3:
                raise KeyboardInterrupt
        return row(point)

    with pytest.raises(KeyboardInterrupt):
        measure_all(out, 20, measured)
    measure_all(out, 20, measured)
    every = list(points())
    assert asked == [*every[:3], *every[2:]]
    assert len(read(out)) == len(every)


def test_the_fit_finds_the_power_and_leaves_out_what_is_open() -> None:
    assert report_growth.fitted([(10, 0.2), (100, 20), (1000, 2000)]) == pytest.approx((2, 0.002))
    assert report_growth.fitted([(10, 0.2), (10, 0.3)]) is None
    rows = [row(Point("sizes", x, 1), seconds=x / 100) for x in (5, 50)]
    page = report_growth.page([*rows, row(Point("sizes", 200, 1), seconds=20, bound=7)])
    assert "Proven: **2 of 3**; power **1.00**." in page
    assert "| 200 | 0 of 1 | 20.00 | 20.00 | 2 |" in page


def test_the_plot_is_the_same_bytes_every_time(tmp_path: Path) -> None:
    for name in ("one", "two"):
        power([(1, 1), (10, 3)], [(20, 20)], (0.5, 1), ("n", "s"), tmp_path / name)
    assert (tmp_path / "one").read_bytes() == (tmp_path / "two").read_bytes()
    assert "power 0.50" in (tmp_path / "one").read_text()
