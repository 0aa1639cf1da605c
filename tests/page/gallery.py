"""Takes the pictures of the page for the docs: python -m tests.page.gallery."""

import json
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from api.settings import Settings
from tests.page.conftest import PHONE, chromium
from tests.page.ways import go_to_the_saw, settled, touch
from tests.processes import ROOT
from tests.service.conftest import served

GALLERY = ROOT / "docs" / "gallery"
JOB = ROOT / "docs" / "examples" / "bathroom-wall.json"
DESK = {"width": 1360, "height": 900}


def main() -> None:
    """Take all pictures."""
    with served(Settings(searches=1)) as client, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium(), args=["--no-sandbox", "--disable-gpu"]
        )
        base = str(client.base_url)
        where = _at_a_desk(browser, base)
        _on_a_phone(browser, base, where)
        browser.close()


def _at_a_desk(browser: Browser, base: str) -> str:
    page = browser.new_page(viewport=DESK, base_url=base)  # type: ignore[arg-type]
    page.goto("/new/hand")
    page.get_by_label("What is the job called?").fill("Haus Lindenhof 7, splashback")
    for name, value in {"tile_width": "597", "tile_height": "297", "s0.width": "2480"}.items():
        page.fill(f"[id='{name}']", value)
    page.fill("[id='s0.height']", "1200")
    page.get_by_role("button", name="Add an opening to A").click()
    for name, value in {"x": "790", "y": "500", "width": "905", "height": "400"}.items():
        page.fill(f"[id='s0.o0.{name}']", value)
    page.locator("#drawn svg").wait_for()
    page.wait_for_timeout(800)
    page.evaluate("scrollTo(0, 0)")
    _take(page, "page-desk-measures")
    page.goto("/new/list")
    page.fill("#list", json.dumps(json.loads(JOB.read_text("utf-8"))))
    page.get_by_role("button", name="Plan the cuts").click()
    page.get_by_role("link", name="Begin to cut").wait_for()
    where = page.url
    _take(page, "page-desk-plan")
    go_to_the_saw(page)
    for _ in range(9):
        touch(page, "#done")
    settled(page)
    _take(page, "page-desk-saw")
    page.close()
    return where


def _on_a_phone(browser: Browser, base: str, where: str) -> None:
    page = browser.new_page(
        viewport=PHONE,  # type: ignore[arg-type]
        device_scale_factor=2,
        has_touch=True,
        base_url=base,
    )
    page.goto(f"{where}/saw")
    page.locator("#done:not([disabled])").wait_for()
    _take(page, "page-phone-saw")
    page.context.set_offline(True)
    touch(page, "#done")
    touch(page, "#done")
    page.get_by_text("2 marks wait").first.wait_for()
    _take(page, "page-phone-no-connection")
    page.context.set_offline(False)
    page.reload()
    settled(page)
    touch(page, "#broken-open")
    _take(page, "page-phone-broken")
    page.get_by_role("button", name="It broke: make a new plan").click()
    settled(page)
    page.get_by_role("link", name="What is left").click()
    _take(page, "page-phone-left")
    page.goto(f"{where}/pieces/A2.1")
    _take(page, "page-phone-wall")


def _take(page: Page, name: str) -> None:
    page.screenshot(path=Path(GALLERY, f"{name}.png"))
    print(f"docs/gallery/{name}.png")


if __name__ == "__main__":
    main()
