"""Every page in a real browser: mouse, keyboard, tablet and touch; nothing that axe finds."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from tests.web.browsing import SIZES, chromium, served, visit
from tests.web.desks import demo_desk

from thumbwright.web.exam_outlines import VIEWS

SHOTS = Path(os.environ.get("THUMBWRIGHT_SHOTS", "out/screenshots"))
"""Where the pictures of the pages are kept, to be looked at."""
PAGES = (
    "/",
    "/safety",
    "/prices",
    "/cases/girl",
    "/cases/girl/hand",
    "/cases/girl/fingers",
    "/cases/girl/feet",
    "/cases/girl/general",
    "/cases/girl/wishes",
    "/cases/girl/drawing",
    "/cases/girl/photographs",
    "/cases/girl/films",
    "/cases/girl/films/foot_left.dcm",
    "/cases/girl/level",
    "/cases/girl/beside",
    "/cases/girl/options",
    "/cases/girl/ahead/weighing",
    "/cases/girl/ahead/ahead",
    "/cases/girl/ahead/growth",
    "/cases/girl/ahead/reach",
    "/cases/girl/ahead/risk",
    "/cases/girl/ahead/evidence",
    "/cases/girl/plan",
    "/cases/girl/papers",
    "/cases/girl/growth",
    "/cases/girl/history",
)


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with demo_desk(tmp_path_factory.mktemp("browser")) as desk, served(desk) as address:
        yield address


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


@pytest.mark.parametrize("size", SIZES)
def test_every_page_is_free_of_what_axe_finds_and_fits_its_window(
    browser: Browser, address: str, size: str
) -> None:
    SHOTS.mkdir(parents=True, exist_ok=True)
    with visit(browser, address, size) as page:
        for path in PAGES:
            page.goto(f"{address}{path}")
            page.wait_for_load_state("networkidle")
            name = path.strip("/").replace("/", "_") or "cases"
            page.screenshot(path=SHOTS / f"{size}_{name}.png", full_page=True)
            found = Axe().run(page).response["violations"]
            assert [(one["id"], one["nodes"][0]["target"]) for one in found] == [], path
            room = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
            assert room <= 0, f"{path} is wider than its window"


def test_a_finding_is_recorded_with_the_keyboard_alone(browser: Browser, address: str) -> None:
    with visit(browser, address) as page:
        page.goto(f"{address}/cases/joiner/hand")
        field = page.locator("input[name='kept.two_point_mm']")
        field.focus()
        page.keyboard.press("Control+A")
        page.keyboard.type("7,5")
        page.keyboard.press("Enter")
        page.get_by_text("1 fact was recorded").wait_for()
        assert field.input_value() == "7.5"
        page.goto(f"{address}/cases/joiner/history")
        assert "two_point_mm" in page.inner_text("tbody tr >> nth=0")


def test_what_cannot_be_taken_is_said_beside_the_field_and_kept_as_typed(
    browser: Browser, address: str
) -> None:
    with visit(browser, address, refused=True) as page:
        page.goto(f"{address}/cases/fitter/hand")
        page.locator("input[name='kept.two_point_mm']").fill("nine")
        page.get_by_role("button", name="Record").click()
        page.get_by_text("1 answer could not be taken").wait_for()
        field = page.locator("input[name='kept.two_point_mm']")
        assert field.input_value() == "nine"
        assert field.get_attribute("aria-invalid") == "true"
        page.get_by_role("alert").get_by_role("link").click()
        assert page.evaluate("document.activeElement.name") == "kept.two_point_mm"


def test_what_was_typed_survives_a_closed_tab(browser: Browser, address: str) -> None:
    with visit(browser, address) as page:
        page.goto(f"{address}/cases/farmer/hand")
        field = page.locator("input[name='kept.two_point_mm']")
        with page.expect_response(lambda answer: answer.url.endswith("/draft")):
            field.fill("11")
        other = page.context.new_page()
        page.close()
        other.goto(f"{address}/cases/farmer/hand")
        assert other.locator("input[name='kept.two_point_mm']").input_value() == "11"
        other.get_by_role("button", name="Give them up").click()
        assert "not recorded yet" not in other.inner_text("main")


def test_a_point_is_moved_by_key_and_its_round_is_saved(browser: Browser, address: str) -> None:
    with visit(browser, address) as page:
        page.goto(f"{address}/cases/girl/films/hand_left.dcm")
        page.get_by_text("Missing length").first.wait_for()
        before = page.inner_text("thumb-film")
        point = page.locator("thumb-film svg [tabindex='0'][aria-label*='metacarpal base' i]").first
        point.focus()
        for _ in range(5):
            page.keyboard.press("Shift+ArrowDown")
        page.wait_for_function(
            "(b) => document.querySelector('thumb-film').innerText != b", arg=before
        )
        page.get_by_role("button", name="Save this round").click()
        page.get_by_text("Round 4 is saved").wait_for()


REACHED = """() => [...document.querySelectorAll("svg.exam-drawing [data-view]")].map((view) => {
  const all = [...view.querySelectorAll("a.exam-region")];
  const seen = new Set([all[0]]);
  for (const here of seen) {
    for (const key of ["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"]) {
      here.focus();
      here.dispatchEvent(new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true}));
      seen.add(document.activeElement);
    }
  }
  return [all.length, seen.size, all.filter((one) => one.tabIndex === 0).length];
})"""


def test_each_hand_and_foot_is_one_tab_stop_and_arrows_reach_every_region(
    browser: Browser, address: str
) -> None:
    with visit(browser, address) as page:
        page.goto(f"{address}/cases/girl/drawing")
        page.locator("[data-view] a[tabindex='0']").first.focus()
        names = []
        for _ in VIEWS:
            names.append(page.evaluate("document.activeElement.dataset.region"))
            page.keyboard.press("Tab")
        assert [name.split(".")[0] for name in names] == [view.name for view in VIEWS]
        reached = page.evaluate(REACHED)
        by_hand_stops = 1
        assert reached == [[len(v.regions), len(v.regions), by_hand_stops] for v in VIEWS]


def test_a_region_is_named_in_words_and_chosen_by_key(browser: Browser, address: str) -> None:
    with visit(browser, address) as page:
        page.goto(f"{address}/cases/girl/drawing")
        page.locator("[data-view='left_hand_palm'] a[tabindex='0']").focus()
        page.keyboard.press("End")
        page.keyboard.press("ArrowUp")
        words = page.get_by_role("status").filter(has_text="region").inner_text()
        name = page.evaluate("document.activeElement.getAttribute('aria-label')")
        region = page.evaluate("document.activeElement.dataset.region")
        assert words.startswith(name)
        page.screenshot(path=SHOTS / "desk_region_by_key.png", full_page=True)
        page.keyboard.press("Enter")
        page.wait_for_url("**/drawing?region=*")
        assert page.get_by_label("Where").input_value() == region
        assert page.locator(f"a[data-region='{region}']").get_attribute("tabindex") == "0"


def test_without_scripts_each_region_is_a_plain_link(browser: Browser, address: str) -> None:
    with visit(browser, address, scripts=False) as page:
        page.goto(f"{address}/cases/girl/drawing")
        link = page.locator("a[data-region='left_hand_palm.first_web']")
        assert link.get_attribute("tabindex") is None
        link.focus()
        page.keyboard.press("Enter")
        page.wait_for_url("**/drawing?region=left_hand_palm.first_web*")
        assert page.get_by_label("Where").input_value() == "left_hand_palm.first_web"


def test_a_mark_is_set_on_the_drawing_and_stands_there_in_words(
    browser: Browser, address: str
) -> None:
    with visit(browser, address, "tablet") as page:
        page.goto(f"{address}/cases/girl/drawing")
        page.get_by_label("Where").select_option(index=2)
        page.get_by_label("What").select_option("graft")
        page.get_by_role("button", name="Mark", exact=True).tap()
        page.get_by_text("Marked.").wait_for()
        assert "graft" in page.inner_text(".marks")
        page.get_by_role("button", name="Take away").tap()
        page.get_by_text("No mark yet").wait_for()
