"""What somebody does on the page, step by step, and what must hold on every page."""

from importlib.resources import files
from typing import Any, cast

from playwright.sync_api import Page

#: A second touch within 600 ms is taken for water.
BETWEEN_TOUCHES = 650


def assert_accessible(page: Page) -> None:
    """Assert that axe-core finds nothing serious (WCAG 2.0 to 2.2, A and AA, and best practice)."""
    page.evaluate(files("axe_playwright_python").joinpath("axe.min.js").read_text("utf-8"))
    found = cast("dict[str, Any]", page.evaluate("axe.run()"))
    serious = [
        (one["id"], one["help"], [node["html"][:200] for node in one["nodes"][:3]])
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
    ]
    assert not serious, f"{page.url}: {serious}"


def fill_in_a_wall(page: Page) -> None:
    """Fill in a wall with a window, by hand."""
    page.goto("/new/hand")
    page.get_by_label("What is the job called?").fill("Haus Lindenhof 7, shower wall")
    page.fill("#tile_width", "597")
    page.fill("#tile_height", "297")
    page.get_by_label("Width, at the bottom").fill("2.48 m")
    page.get_by_label("Height, at the left").fill("1200")
    page.get_by_role("button", name="Add an opening to A").click()
    for name, value in {"x": "790", "y": "500", "width": "905", "height": "400"}.items():
        page.fill(f"[id='s0.o0.{name}']", value)


def plan_a_wall(page: Page) -> str:
    """Plan a wall and return where its job is."""
    fill_in_a_wall(page)
    page.get_by_role("button", name="Plan the cuts").click()
    page.get_by_role("link", name="Begin to cut").wait_for()
    return page.url


def go_to_the_saw(page: Page) -> None:
    """Begin to cut."""
    page.get_by_role("link", name="At the saw").click()
    page.locator("#done:not([disabled])").wait_for()


def touch(page: Page, button: str) -> None:
    """Touch a button of the bar, not too soon after the last touch."""
    page.wait_for_timeout(BETWEEN_TOUCHES)
    page.locator(button).click()


def settled(page: Page) -> None:
    """Wait until all that was said has arrived."""
    page.locator("body[data-waits='0']:not(.sending)").wait_for()


def told(page: Page) -> list[str]:
    """Return what was said, the latest first."""
    return page.locator("#told li").all_inner_texts()
