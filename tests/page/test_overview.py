"""The overview of a job: what is proven stands where it is true."""

from types import SimpleNamespace

from api.page.render import page
from api.page.standing import together, totals
from cutopt import Request, plan

LARGE = {"id": "large", "width": 600, "height": 600, "price": 9}
SMALL = {"id": "small", "width": 600, "height": 300, "price": 4.2}
STRIP = {"id": "strip", "width": 600, "height": 300, "quantity": 3}


def overview(**choice: object) -> str:
    """Return the page of a job with one piece that is cut from the tiles said."""
    wanted = {"tiles": [LARGE, SMALL], "objective": "cost", "saw": {"kerf": 0}}
    made = plan(Request.of({**wanted, "pieces": [{**STRIP, **choice}]})).text()
    job = SimpleNamespace(id="job", form=None, title="A job")
    standing = SimpleNamespace(steps=[], seconds=0, history=(), replanned=False)
    sums = {"totals": totals(made), "together": together(made)}
    return bytes(page("job", job=job, **sums, standing=standing, surfaces=[]).body).decode()


def test_tiles_planned_together_are_proven_together() -> None:
    shown = overview(tiles=["large", "small"])
    assert shown.count("least together with others") == 2
    assert "large and small together, least cost" in shown
    assert "12.6" in shown
    assert "proven: no less will do" in shown
    assert "at least" not in shown


def test_a_tile_by_itself_is_proven_by_itself() -> None:
    shown = overview(tile="small")
    assert "proven: no fewer will do" in shown
    assert "together" not in shown
