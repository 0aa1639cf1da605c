"""Large jobs: as large as said, the same each time; the page says what was measured."""

from collections import Counter
from random import Random

from benchmarks.large import JOBS, hotel, page_of, request_of


def test_jobs_are_as_large_as_said() -> None:
    for name, (_, sizes, pieces) in JOBS.items():
        request = request_of(name)
        assert sizes <= len(request.pieces) < sizes + 10
        assert abs(sum(piece.quantity for piece in request.pieces) - pieces) < pieces / 100
        assert request == request_of(name)


def test_of_a_hotel_most_pieces_are_strips() -> None:
    sizes = hotel(Random(5), 2_000)
    strips = Counter({size: many for size, many in sizes.items() if 600 in size or 300 in size})
    assert 0.7 < strips.total() / sizes.total() < 1


def test_the_page_says_the_gap() -> None:
    row = {
        "name": "hotel",
        "pieces": 50_000,
        "sizes": 2_000,
        "tiles": 1_010,
        "bound": 1_000,
        "first_plan_seconds": 4.2,
        "seconds": 61.5,
        "allowed": 60.0,
        "peak_mib": 210,
    }
    page = "\n".join(page_of([row]))
    assert "| hotel | 50,000 | 2,000 | 1,010 | 1,000 | 1.00 % | 4.2 | 62 | 210 |" in page
