"""A browser, and the service that it looks at."""

import os
import shutil
from collections.abc import Iterator

import httpx2
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from api.settings import Settings
from tests.service.conftest import served

PHONE = {"width": 390, "height": 844}
#: Milliseconds: other tests may have the processors.
PATIENCE = 20_000


def chromium() -> str:
    """Return where the browser is; without one these tests are skipped, in CI they fail."""
    found = os.environ.get("CUTOPT_CHROMIUM") or shutil.which("chromium")
    if found is None:
        words = "no browser: the page is tested with Debian's chromium (or CUTOPT_CHROMIUM=FILE)"
        if os.environ.get("CI"):
            pytest.fail(words)
        pytest.skip(words)
    return found


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return a browser; it goes with its module, for it keeps an event loop running."""
    path = chromium()
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as playwright:
        flags = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        found = playwright.chromium.launch(executable_path=path, args=flags)
        yield found
        found.close()


@pytest.fixture(scope="module")
def site() -> Iterator[httpx2.Client]:
    """Return a client of a service whose pages are looked at."""
    with served(Settings(searches=1)) as client:
        yield client


@pytest.fixture
def phone(browser: Browser, site: httpx2.Client) -> Iterator[BrowserContext]:
    """Return a phone, on which no script may fail and nothing may be loaded from elsewhere."""
    context = browser.new_context(
        viewport=PHONE,  # type: ignore[arg-type]
        has_touch=True,
        base_url=str(site.base_url),
    )
    context.set_default_timeout(PATIENCE)
    yield context
    context.close()


@pytest.fixture
def page(phone: BrowserContext, site: httpx2.Client) -> Iterator[Page]:
    """Return a page that notes what goes wrong on it."""
    found = phone.new_page()
    wrong: list[str] = []
    found.on("pageerror", lambda error: wrong.append(str(error)))
    found.on(
        "request",
        lambda asked: (
            None
            if asked.url.startswith((str(site.base_url), "data:"))
            else wrong.append(f"asked for {asked.url}")
        ),
    )
    found.on(
        "console",
        lambda said: wrong.append(said.text) if "Content Security Policy" in said.text else None,
    )
    yield found
    assert not wrong
