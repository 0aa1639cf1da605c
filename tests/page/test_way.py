"""The whole way in a real browser: measure, look, plan, print, cut, break, plan anew, reload."""

import re
from pathlib import Path

import httpx2
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.page.ways import (
    assert_accessible,
    fill_in_a_wall,
    go_to_the_saw,
    plan_a_wall,
    settled,
    told,
    touch,
)


def test_from_the_measures_to_a_new_plan(page: Page, site: httpx2.Client) -> None:
    page.goto("/")
    assert_accessible(page)
    _measure(page)
    job = _plan_and_print(page, site)
    done = _cut(page)
    _break(page)
    before = told(page)
    assert before[2:] == done

    page.reload()
    page.locator("#done:not([disabled])").wait_for()
    assert told(page) == before
    standing = site.get(f"{job}/standing").json()["standing"]
    assert standing["replanned"]
    # 16 tiles: 2 are cut, 1 broke, and what is left of it serves, so 13 are still to be opened.
    assert [tile["needed"] for tile in standing["tiles"]] == [13]
    assert any(one["id"].startswith("broken") for one in standing["shelf"])

    for name in ("On the wall", "What is left"):
        page.get_by_role("link", name=name).click()
        assert_accessible(page)
    progress = site.get(f"{job}/progress.json").json()
    kinds = [mark["kind"] for mark in progress["marks"]]
    assert kinds == ["done"] * kinds.count("done") + ["broken", "replanned"]


def _measure(page: Page) -> None:
    """Measure a wall by hand; what is wrong is said where it stands."""
    fill_in_a_wall(page)
    expect(page.locator("#drawn svg")).to_be_visible()
    expect(page.locator("#drawn .sum")).to_have_text("597 × 297: 6 whole tiles, 14 pieces to cut")
    page.fill("[id='s0.o0.width']", "9050")  # wider than the wall
    expect(page.locator("[id='s0.o0.x']")).to_have_attribute("aria-invalid", "true")
    page.fill("[id='s0.o0.width']", "905")
    expect(page.locator("#drawn svg")).to_be_visible()
    assert_accessible(page)


def _plan_and_print(page: Page, site: httpx2.Client) -> str:
    page.get_by_role("button", name="Plan the cuts").click()
    expect(page.get_by_text("proven: no fewer will do")).to_be_visible()
    expect(page.locator("main .figure").first).to_have_text("16")
    assert_accessible(page)
    printed = site.get(page.url + "/papers.pdf")
    assert printed.headers["content-type"] == "application/pdf"
    assert printed.content.startswith(b"%PDF")
    return page.url


def _cut(page: Page) -> list[str]:
    """Do three steps, the first with the keyboard; return what was said."""
    page.get_by_role("link", name="Begin to cut").click()
    expect(page.locator("#line")).to_contain_text("18 steps left")
    assert_accessible(page)
    assert page.locator("#fence").inner_text().isdecimal()
    page.locator("#done").focus()
    page.keyboard.press("Enter")
    touch(page, "#done")
    touch(page, "#done")
    settled(page)
    expect(page.locator("#line")).to_contain_text("15 steps left")
    assert len(told(page)) == 3
    return told(page)


def _break(page: Page) -> None:
    """Break the tile in hand, from above to below, as the drawing is touched."""
    touch(page, "#broken-open")
    assert_accessible(page)
    pad = page.locator("#pad svg")
    box = pad.bounding_box() or {"width": 0, "height": 0}
    pad.click(position={"x": box["width"] * 0.3, "y": 2})
    page.locator("#pad svg").click(position={"x": box["width"] * 0.3, "y": box["height"] - 2})
    assert page.locator("#runs-y1").input_value() == "297"
    assert page.locator("#runs-y2").input_value() == "0"
    assert 0 < int(page.locator("#runs-x2").input_value()) < 597
    page.get_by_role("button", name="It broke: make a new plan").click()
    settled(page)
    expect(page.locator("#told li").first).to_have_text("a new plan")


def test_no_mark_is_lost_without_a_connection(page: Page, phone: BrowserContext) -> None:
    plan_a_wall(page)
    go_to_the_saw(page)
    phone.set_offline(True)
    for _ in range(3):
        touch(page, "#done")
    expect(page.locator("#line")).to_contain_text("No connection: 3 marks wait here")
    expect(page.locator("#told .waits")).to_have_count(3)
    touch(page, "#undo")
    expect(page.locator("#told .waits")).to_have_count(2)
    touch(page, "#done")
    url = page.url
    page.close()  # the phone falls into the bucket
    phone.set_offline(False)
    again = phone.new_page()
    again.goto(url)
    settled(again)
    expect(again.locator("#line")).to_contain_text("15 steps left")
    words = told(again)
    assert len(words) == 5
    assert sum("(taken back)" in said for said in words) == 1
    again.reload()
    assert told(again) == words


def test_an_answer_that_is_lost_is_no_second_mark(page: Page, phone: BrowserContext) -> None:
    plan_a_wall(page)
    go_to_the_saw(page)
    lost: list[str] = []

    def lose_the_first(route: Route) -> None:
        route.fetch()
        if lost:
            route.continue_()
        else:
            lost.append(route.request.url)
            route.abort()

    phone.route("**/said?*", lose_the_first)
    touch(page, "#done")
    settled(page)
    assert lost
    expect(page.locator("#line")).to_contain_text("17 steps left")
    assert len(told(page)) == 1


def test_what_is_no_mark_keeps_no_other_from_arriving(page: Page, phone: BrowserContext) -> None:
    plan_a_wall(page)
    go_to_the_saw(page)
    phone.set_offline(True)
    touch(page, "#measured-open")
    page.evaluate("document.getElementById('measured-width').removeAttribute('maxlength')")
    page.get_by_label("Width, as it hangs").fill("1" * 60)
    page.get_by_role("button", name="Take the new measures").click()
    touch(page, "#done")
    phone.set_offline(False)
    settled(page)
    expect(page.locator("#line")).to_contain_text("Not taken")
    assert len(told(page)) == 1


def test_a_wet_finger_that_touches_twice_is_one_mark(page: Page) -> None:
    plan_a_wall(page)
    go_to_the_saw(page)
    page.locator("#done").dblclick()
    settled(page)
    expect(page.locator("#line")).to_contain_text("17 steps left")


def test_taking_back_a_break_takes_back_its_plan(page: Page) -> None:
    plan_a_wall(page)
    go_to_the_saw(page)
    before = page.locator("#fence").inner_text()
    touch(page, "#broken-open")
    page.get_by_role("button", name="It broke: make a new plan").click()
    settled(page)
    assert told(page)[0] == "a new plan"
    touch(page, "#undo")
    settled(page)
    expect(page.locator("#line")).to_contain_text("18 steps left")
    assert page.locator("#fence").inner_text() == before
    assert told(page)[1:] == ["a new plan (taken back)", told(page)[2]]


def test_a_piece_measured_anew_is_cut_to_its_new_size(page: Page) -> None:
    plan_a_wall(page)
    go_to_the_saw(page)
    touch(page, "#measured-open")
    assert_accessible(page)
    page.get_by_label("Piece", exact=True).select_option("A1.5")
    page.get_by_label("Width, as it hangs").fill("71,5")
    page.get_by_role("button", name="Take the new measures").click()
    settled(page)
    assert told(page) == ["a new plan", "piece A1.5 measured anew: 71.5 × 297"]
    page.get_by_role("link", name="On the wall").click()
    expect(page.get_by_role("row", name="A1.5")).to_contain_text("71.5 × 297")


def test_tiles_in_hand_are_counted_and_suffice_or_not(page: Page) -> None:
    plan_a_wall(page)
    page.get_by_role("link", name="What is left").click()
    page.get_by_label("Whole tiles really there").fill("15")
    page.get_by_role("button", name="Keep the count").click()
    expect(page.locator(".suffices")).to_have_text("15 in hand do not suffice: 1 short.")
    page.get_by_label("Laid just now").fill("6")
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("6 of 6")).to_be_visible()
    expect(page.locator(".suffices")).to_contain_text("9 in hand do not suffice: 1 short.")


def test_a_bare_list_of_pieces_goes_all_the_way(page: Page) -> None:
    page.goto("/new/list")
    page.fill("#tile_width", "600")
    page.fill("#tile_height", "300")
    page.fill("#list", "piece, width, height, quantity\nend, 290, 300, 4\n")
    expect(page.locator("#drawn .sum")).to_have_text("4 pieces in 1 size")
    assert_accessible(page)
    page.fill("#list", "piece, width, height, quantity\nend, 290, 300, four\n")
    expect(page.locator("#drawn")).to_contain_text("line 2, quantity")
    page.fill("#list", "piece, width, height, quantity\nend, 290, 300, 4\n")
    page.get_by_role("button", name="Plan the cuts").click()
    expect(page.locator("main .figure").first).to_have_text("2")
    go_to_the_saw(page)
    expect(page.locator("#take")).to_have_text("2 new tiles, 600 × 300")
    expect(page.locator("#do")).to_contain_text("2 times: Cut")
    for _ in range(2):
        touch(page, "#done")
        settled(page)
    expect(page.locator("#all-done")).to_be_visible()
    page.get_by_role("link", name="On the wall").click()
    expect(page.get_by_role("row", name="end")).to_contain_text("4 of 4")


def test_a_search_is_followed_until_its_plan_is_there(page: Page, tmp_path: Path) -> None:
    file = tmp_path / "go"  # the planner of the tests waits for it
    fill_in_a_wall(page)
    page.get_by_label("What is the job called?").fill(f"wait {file}")
    page.get_by_role("button", name="Plan the cuts").click()
    expect(page.locator("#tiles")).to_have_text(re.compile(r"\d+"))
    before = page.locator("#tiles").inner_text()
    expect(page.locator("#tiles")).not_to_have_text(before)
    assert_accessible(page)
    file.touch()
    expect(page.get_by_role("link", name="Begin to cut")).to_be_visible(timeout=15_000)


def test_a_search_is_stopped_with_the_best_so_far(page: Page, tmp_path: Path) -> None:
    fill_in_a_wall(page)
    page.get_by_label("What is the job called?").fill(f"wait {tmp_path / 'never'}")
    page.get_by_role("button", name="Plan the cuts").click()
    page.get_by_role("button", name="Stop, and take the best so far").click()
    expect(page.get_by_role("link", name="Begin to cut")).to_be_visible(timeout=15_000)


def test_what_to_buy_and_where_else_to_begin(page: Page, site: httpx2.Client) -> None:
    job = plan_a_wall(page)
    page.get_by_role("link", name="What to buy").click()
    expect(page.get_by_text("16 tiles by the plan", exact=True)).to_be_visible()
    assert_accessible(page)
    assert site.get(f"{job}/order.pdf").content.startswith(b"%PDF")
    page.goto(job)
    page.get_by_role("link", name="Compare where to begin").click()
    expect(page.get_by_role("heading", level=2).first).to_contain_text("tiles")
    assert_accessible(page)
    page.get_by_role("button", name="Begin like this").first.click()
    page.get_by_role("link", name="Begin to cut").wait_for()
    assert page.url != job
