"""Every page in a real browser: mouse, keyboard, tablet and touch; nothing that axe finds."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import which
from threading import Thread
from time import monotonic, sleep

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright
from tests.web.desks import SECRET, demo_desk

from thumbwright.web.app import create_app

ARGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SHOTS = Path(os.environ.get("THUMBWRIGHT_SHOTS", "out/screenshots"))
"""Where the pictures of the pages are kept, to be looked at."""
PAGES = (
    "/",
    "/safety",
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
    "/cases/girl/options",
    "/cases/girl/plan",
    "/cases/girl/papers",
    "/cases/girl/history",
)
SIZES = {"desk": (1280, 800), "tablet": (820, 1180)}


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with demo_desk(tmp_path_factory.mktemp("browser")) as desk:
        app = create_app(desk)
        app.state.secret = SECRET
        server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="error", ws="none"))
        thread = Thread(target=server.run)
        thread.start()
        until = monotonic() + 30
        while not server.started and monotonic() < until:
            sleep(0.05)
        port = server.servers[0].sockets[0].getsockname()[1]
        yield f"http://127.0.0.1:{port}"
        server.should_exit = True
        thread.join()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    chromium = which("chromium")
    assert chromium, "the tests of pages need Debian's chromium; .ci/run installs it"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=list(ARGS))
        yield browser
        browser.close()


@contextmanager
def visit(
    browser: Browser, address: str, size: str = "desk", *, refused: bool = False
) -> Iterator[Page]:
    """Give a page at a size, under a name; a console error fails.

    Where a refusal is asked for, the browser's own remark on its status is no error.
    """
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=size == "tablet"
    )
    page = context.new_page()
    wrong: list[str] = []
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda fault: wrong.append(str(fault)))
    page.goto(f"{address}/")
    page.get_by_label("At the desk").fill("Dr A")
    page.get_by_role("button", name="Say who you are").click()
    page.wait_for_load_state()
    yield page
    context.close()
    if refused:
        wrong = [words for words in wrong if "the server responded with a status of 4" not in words]
    assert wrong == []


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


def test_two_people_at_one_fact_see_both_values(browser: Browser, address: str) -> None:
    with visit(browser, address) as one, visit(browser, address, refused=True) as two:
        for page, value in ((one, "5"), (two, "6")):
            page.goto(f"{address}/cases/violinist/hand")
            page.locator("input[name='kept.two_point_mm']").fill(value)
        one.get_by_role("button", name="Record").click()
        one.get_by_text("1 fact was recorded").wait_for()
        answer = two.evaluate(
            """async () => {
              const form = document.querySelector("form.exam");
              const body = new URLSearchParams(new FormData(form));
              const sent = await fetch(form.action, {method: "POST", body});
              return [sent.status, await sent.text()];
            }"""
        )
        assert answer[0] == 409
        assert "Somebody else changed the same" in answer[1]


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
