"""The film page's browser module, at work in a browser under a strict content policy."""

import hashlib
import io
import json
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from math import cos, hypot, pi
from pathlib import Path
from threading import Event, Thread

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Locator, Page, sync_playwright

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "thumbwright" / "web" / "static"
WEB = ROOT / "web"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
MM_PER_PIXEL = 0.2
Place = tuple[float, float]


@dataclass(slots=True, kw_only=True)
class Workbench:
    """A small server that notes what it is sent."""

    address: str = ""
    live: list[dict[str, object]] = field(default_factory=list)
    saved: list[dict[str, object]] = field(default_factory=list)
    marks: list[str | None] = field(default_factory=list)
    save_code: int = 200
    live_code: int = 200
    open_gate: Event = field(default_factory=Event)
    """While it is not set, answers to live points wait."""
    at_once: int = 0
    most_at_once: int = 0

    def measure(self, body: dict[str, object]) -> tuple[int, object]:
        """Answer to points on the move."""
        self.live.append(body)
        self.at_once += 1
        self.most_at_once = max(self.most_at_once, self.at_once)
        self.open_gate.wait(10)
        self.at_once -= 1
        if self.live_code != 200:
            return self.live_code, {"message": "Two ends of a bone fall together."}
        points = body["points"]
        assert isinstance(points, list)
        return 200, _answer(points)

    def save(self, body: dict[str, object]) -> tuple[int, object]:
        """Answer to a round."""
        self.saved.append(body)
        if self.save_code != 200:
            return self.save_code, {"message": "Another round was saved meanwhile."}
        return 200, {"message": "Round 3 is saved.", "based_on": "round-3", "rounds": 3}


def _picture() -> bytes:
    down, across = np.mgrid[0:400, 0:300].astype(float)
    shade = 26 + 44 * np.exp(-(((across - 152) / 52) ** 4)) * (down > 40)
    for top, bottom, wide in ((232, 348, 20), (142, 218, 17), (76, 130, 13)):
        middle = 155 - 0.025 * (down - 140)
        waist = wide * (1 + 0.28 * ((2 * down - top - bottom) / (bottom - top)) ** 2)
        inside = np.clip(1.2 - ((across - middle) / waist) ** 2, 0, 1)
        ends = np.clip((down - top) / 6, 0, 1) * np.clip((bottom - down) / 6, 0, 1)
        shade += 130 * inside**0.5 * ends
    shade += np.random.default_rng(7).normal(0, 3, shade.shape)
    held = io.BytesIO()
    Image.fromarray(np.clip(shade, 0, 255).astype(np.uint8)).save(held, "PNG")
    return held.getvalue()


def _answer(points: list[dict[str, float | str]]) -> dict[str, object]:
    at = {str(p["name"]): (float(p["col"]), float(p["row"])) for p in points}
    ends = (
        ("first metacarpal", at["metacarpal_base"], at["metacarpal_head"]),
        ("proximal phalanx", at["proximal_phalanx_base"], at["proximal_phalanx_head"]),
        ("distal phalanx", at["distal_phalanx_base"], at["distal_phalanx_tip"]),
    )
    found = [
        (n, a, b, f"{MM_PER_PIXEL * hypot(b[0] - a[0], b[1] - a[1]):.1f} mm") for n, a, b in ends
    ]
    return {
        "rows": [{"name": n, "text": f"{text} ± 0.4 mm"} for n, _, _, text in found],
        "lines": [{"from": a, "to": b, "text": text} for _, a, b, text in found],
        "cut": {"at": [306, 350], "across": [1, 0.06], "text": "cut here"},
    }


def _handler(bench: Workbench) -> type[BaseHTTPRequestHandler]:
    picture = _picture()
    files: dict[str, tuple[str, Callable[[], bytes]]] = {
        "/": ("text/html", (Path(__file__).parent / "film_page.html").read_bytes),
        "/film.css": ("text/css", (STATIC / "film.css").read_bytes),
        "/film.js": ("text/javascript", (STATIC / "film.js").read_bytes),
        "/film.png": ("image/png", lambda: picture),
        "/icon.png": ("image/png", lambda: picture),
    }

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def log_message(self, *_: object) -> None:
            """Keep the test's own output clear."""

        def do_GET(self) -> None:
            kind, content = files[self.path]
            self._reply(200, kind, content())

        def do_POST(self) -> None:
            body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            bench.marks.append(self.headers["X-CSRF-Token"])
            code, answer = {"/live": bench.measure, "/save": bench.save}[self.path](body)
            self._reply(code, "application/json", json.dumps(answer).encode())

        def _reply(self, code: int, kind: str, content: bytes) -> None:
            self.send_response(code)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Content-Security-Policy", POLICY)
            self.end_headers()
            self.wfile.write(content)

    return Handler


@pytest.fixture
def bench() -> Iterator[Workbench]:
    made = Workbench()
    made.open_gate.set()
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(made))
    made.address = f"http://127.0.0.1:{server.server_port}/"
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    yield made
    made.open_gate.set()
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=found, args=FLAGS)
        yield made
        made.close()


@contextmanager
def _opened(
    browser: Browser, bench: Workbench, *, touch: bool = False, width: int = 1280, height: int = 800
) -> Iterator[Page]:
    """Open the page; nothing may be said on the console but the codes a test asks for."""
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=touch, locale="en-GB"
    )
    faults: list[str] = []
    page = context.new_page()
    page.set_default_timeout(10_000)
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.goto(bench.address)
    page.locator(".tf-lengths dd").first.wait_for()
    yield page
    context.close()
    asked = [f"status of {code}" for code in (bench.save_code, bench.live_code) if code != 200]
    assert [one for one in faults if not any(code in one for code in asked)] == []


@pytest.fixture
def page(browser: Browser, bench: Workbench) -> Iterator[Page]:
    with _opened(browser, bench) as made:
        yield made


def _mark(page: Page, name: str) -> Locator:
    return page.locator(f'[data-name="{name}"]')


def _on_film(page: Page, name: str) -> Place:
    transform = _mark(page, name).get_attribute("transform")
    assert transform is not None
    column, row = transform.removeprefix("translate(").split(")")[0].split()
    return float(column), float(row)


def _on_screen(page: Page, name: str) -> Place:
    box = _mark(page, name).locator(".tf-reach").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def _scale(page: Page) -> float:
    """Measure screen pixels for a film pixel between two known points."""
    (_, top), (_, bottom) = _on_screen(page, "metacarpal_head"), _on_screen(page, "metacarpal_base")
    return (bottom - top) / 240


def _drag(page: Page, start: Place, end: Place) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    page.mouse.move(*end)
    page.mouse.up()


def _touch(page: Page, steps: list[list[Place]]) -> None:
    """Lay fingers down at the first places, move them along, and lift all."""
    session = page.context.new_cdp_session(page)
    for index, places in enumerate(steps):
        more = index == 0 or len(places) > len(steps[index - 1])
        kind = "touchStart" if more else "touchMove"
        touches = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    session.detach()


def test_the_picture_fills_the_films_own_pixels(page: Page) -> None:
    # the metacarpal's base lies at row 700 of 800, seven eighths down a picture of half the size
    box = page.locator(".tf-film .tf-picture").bounding_box()
    assert box is not None
    x, y = _on_screen(page, "metacarpal_base")
    assert (x - box["x"]) / box["width"] == pytest.approx(300.5 / 600, abs=1e-3)
    assert (y - box["y"]) / box["height"] == pytest.approx(700.5 / 800, abs=1e-3)


def test_dragging_by_mouse_moves_by_the_film_pixels_dragged_over(page: Page) -> None:
    scale = _scale(page)
    x, y = _on_screen(page, "metacarpal_head")
    # gripped beside its middle, a point keeps its distance from the mouse
    _drag(page, (x + 8, y + 5), (x + 8 + 60, y + 5 - 30))
    by_hand_column, by_hand_row = 300 + 60 / scale, 460 - 30 / scale
    assert _on_film(page, "metacarpal_head") == pytest.approx(
        (by_hand_column, by_hand_row), abs=0.02
    )
    assert _on_screen(page, "metacarpal_head") == pytest.approx((x + 60, y - 30), abs=0.05)


def test_a_trembling_press_moves_no_point_and_gives_it_the_focus(page: Page) -> None:
    x, y = _on_screen(page, "metacarpal_head")
    _drag(page, (x, y), (x + 1, y + 1))
    assert _on_film(page, "metacarpal_head") == (300, 460)
    assert page.evaluate("document.activeElement.dataset.name") == "metacarpal_head"


def test_escape_puts_a_dragged_point_back(page: Page) -> None:
    x, y = _on_screen(page, "metacarpal_head")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 40, y)
    assert _on_film(page, "metacarpal_head")[0] > 310
    page.keyboard.press("Escape")
    page.mouse.move(x + 80, y)
    page.mouse.up()
    assert _on_film(page, "metacarpal_head") == (300, 460)


@pytest.mark.parametrize(
    ("keys", "moved"),
    [
        ("ArrowRight", (1, 0)),
        ("ArrowUp", (0, -1)),
        ("Shift+ArrowLeft", (-10, 0)),
        ("Shift+ArrowDown", (0, 10)),
        ("Alt+ArrowRight", (0.1, 0)),
        ("Alt+ArrowUp", (0, -0.1)),
    ],
)
def test_arrow_keys_move_by_one_ten_or_a_tenth_pixel(page: Page, keys: str, moved: Place) -> None:
    _mark(page, "metacarpal_head").focus()
    for _ in range(3):
        page.keyboard.press(keys)
    by_hand = (300 + 3 * moved[0], 460 + 3 * moved[1])
    assert _on_film(page, "metacarpal_head") == pytest.approx(by_hand, abs=1e-9)


def test_a_point_says_its_name_place_and_state(page: Page) -> None:
    tip = _mark(page, "distal_phalanx_tip")
    assert tip.get_attribute("aria-label") == (
        "Distal phalanx tip, column 320.0, row 150.0, proposed"
    )
    tip.focus()
    page.keyboard.press("Alt+ArrowRight")
    assert tip.get_attribute("aria-label") == (
        "Distal phalanx tip, column 320.1, row 150.0, proposed"
    )


def test_no_point_leaves_the_film(page: Page) -> None:
    _mark(page, "metacarpal_base").focus()
    for _ in range(15):
        page.keyboard.press("Shift+ArrowDown")
    assert _on_film(page, "metacarpal_base") == (300, 799)


def test_a_finger_drags_a_point_and_the_magnifier_stays_clear_of_it(
    browser: Browser, bench: Workbench
) -> None:
    with _opened(browser, bench, touch=True) as page:
        scale = _scale(page)
        x, y = _on_screen(page, "metacarpal_base")
        page.evaluate(
            "window.seen = []; new MutationObserver(() => {"
            "const b = document.querySelector('.tf-loupe-rim').getBoundingClientRect();"
            "const r = b.width / 2; if (r) window.seen.push([b.left + r, b.top + r, r]);"
            "}).observe(document.querySelector('.tf-loupe'), {attributes: true})"
        )
        _touch(page, [[(x + 20, y)], [(x + 40, y - 20)], [(x + 68, y - 24)]])
        by_hand = (300 + 48 / scale, 700 - 24 / scale)
        assert _on_film(page, "metacarpal_base") == pytest.approx(by_hand, abs=0.02)
        middle_x, middle_y, radius = page.evaluate("window.seen.at(-1)")
        assert hypot(middle_x - (x + 68), middle_y - (y - 24)) > radius + 40
        assert page.locator(".tf-loupe").is_hidden()


def test_two_fingers_zoom_and_shift_no_point(browser: Browser, bench: Workbench) -> None:
    with _opened(browser, bench, touch=True) as page:
        scale = _scale(page)
        x, y = _on_screen(page, "metacarpal_head")
        apart = (
            [(x - step, y) for step in (10, 40, 80)],
            [(x + 70 + step, y) for step in (10, 40, 80)],
        )
        _touch(page, [list(pair) for pair in zip(*apart, strict=True)])
        assert _scale(page) == pytest.approx(scale * (70 + 160) / (70 + 20), rel=1e-3)
        assert _on_film(page, "metacarpal_head") == (300, 460)


def test_a_second_finger_puts_a_dragged_point_back(browser: Browser, bench: Workbench) -> None:
    with _opened(browser, bench, touch=True) as page:
        x, y = _on_screen(page, "metacarpal_head")
        first, second = (x + 30, y), (x + 130, y)
        _touch(page, [[(x, y)], [first], [first, second], [first, (x + 150, y)]])
        assert _on_film(page, "metacarpal_head") == (300, 460)


def test_two_fingers_and_one_on_empty_film_pan(browser: Browser, bench: Workbench) -> None:
    with _opened(browser, bench, touch=True) as page:
        x, y = _on_screen(page, "metacarpal_head")
        _touch(page, [[(x + 100, y), (x + 180, y)], [(x + 130, y + 20), (x + 210, y + 20)]])
        assert _on_screen(page, "metacarpal_head") == pytest.approx((x + 30, y + 20), abs=0.1)
        _touch(page, [[(x + 150, y)], [(x + 120, y - 10)], [(x + 90, y - 10)]])
        assert _on_screen(page, "metacarpal_head") == pytest.approx((x - 30, y + 10), abs=0.1)


def test_the_wheel_keeps_the_place_under_the_pointer(page: Page) -> None:
    scale = _scale(page)
    x, y = _on_screen(page, "proximal_phalanx_head")
    # the browser tells whole pixels of a wheel, so the pointer stands on one
    pointer_x, pointer_y = round(x) - 3, round(y) + 2
    page.mouse.move(pointer_x, pointer_y)
    page.mouse.wheel(0, -300)
    page.wait_for_function(f"{_JS_SCALE} > {scale * 1.3}")
    grown = _scale(page) / scale
    by_hand = (pointer_x + grown * (x - pointer_x), pointer_y + grown * (y - pointer_y))
    assert _on_screen(page, "proximal_phalanx_head") == pytest.approx(by_hand, abs=0.1)
    assert _on_film(page, "proximal_phalanx_head") == (310, 280)


_JS_SCALE = "document.querySelector('.tf-film').getScreenCTM().a"


def test_points_keep_their_size_on_screen_and_a_finger_hits_them(page: Page) -> None:
    for _ in range(2):
        box = _mark(page, "metacarpal_head").locator(".tf-reach").bounding_box()
        assert box is not None
        assert (box["width"], box["height"]) == pytest.approx((44, 44), abs=0.01)
        page.locator(".tf-stage").focus()
        for _ in range(4):
            page.keyboard.press("+")


def test_plus_minus_and_buttons_undo_each_other_and_nought_shows_all(page: Page) -> None:
    scale = _scale(page)
    page.locator(".tf-stage").focus()
    page.keyboard.press("+")
    assert _scale(page) == pytest.approx(1.25 * scale, rel=1e-3)
    page.get_by_role("button", name="− smaller").click()
    page.get_by_role("button", name="− smaller").click()
    page.get_by_role("button", name="+ larger").click()
    assert _scale(page) == pytest.approx(scale, rel=1e-3)
    page.get_by_role("button", name="Turn a quarter").focus()
    page.locator(".tf-stage").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("0")
    box = page.locator(".tf-film .tf-picture").bounding_box()
    stage = page.locator(".tf-stage").bounding_box()
    assert box is not None
    assert stage is not None
    assert box["x"] + box["width"] / 2 == pytest.approx(stage["x"] + stage["width"] / 2, abs=0.5)


def test_arrow_keys_on_the_film_itself_pan(page: Page) -> None:
    x, y = _on_screen(page, "metacarpal_head")
    page.locator(".tf-stage").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    assert _on_screen(page, "metacarpal_head") == pytest.approx((x - 48, y - 48), abs=0.05)


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_keys_and_mouse_keep_their_direction_on_a_turned_film(page: Page, quarters: int) -> None:
    for _ in range(quarters):
        page.get_by_role("button", name="Turn a quarter").click()
    across = round(cos(quarters * pi / 2))
    x, y = _on_screen(page, "metacarpal_head")
    _mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowRight")
    right, level = _on_screen(page, "metacarpal_head")
    assert right > x + 2
    assert level == pytest.approx(y, abs=0.05)
    assert _on_film(page, "metacarpal_head")[0] == 300 + 10 * across
    _drag(page, (right, level), (right, level - 40))
    assert _on_screen(page, "metacarpal_head") == pytest.approx((right, level - 40), abs=0.05)


def test_side_and_view_stay_upright_in_words(page: Page) -> None:
    badge = page.locator(".tf-badge")
    before = badge.bounding_box()
    assert before is not None
    assert "Right hand" in badge.inner_text()
    assert "posteroanterior view" in badge.inner_text()
    page.get_by_role("button", name="Turn a quarter").click()
    page.get_by_role("button", name="Swap black and white").click()
    after = badge.bounding_box()
    assert after is not None
    assert (after["x"], after["y"]) == (before["x"], before["y"])
    assert "turned a quarter to the right" in badge.inner_text()
    assert "black and white swapped" in badge.inner_text()


def test_greys_are_changed_on_the_picture_and_told_in_words(page: Page) -> None:
    page.get_by_label("Brightness").fill("130")
    page.get_by_label("Contrast").fill("80")
    page.get_by_role("button", name="Swap black and white").click()
    filters = page.evaluate("getComputedStyle(document.querySelector('.tf-film image')).filter")
    assert filters == "invert(1) brightness(1.3) contrast(0.8)"
    said = page.get_by_label("Brightness").get_attribute("aria-valuetext")
    assert said == "30 per cent brighter"
    assert page.locator("output").nth(1).inner_text() == "20 per cent flatter"
    page.get_by_role("button", name="Greys as filmed").click()
    assert page.locator("output").all_inner_texts() == ["as filmed", "as filmed"]
    filters = page.evaluate("getComputedStyle(document.querySelector('.tf-film image')).filter")
    assert filters == "none"


def test_a_proposed_point_stays_proposed_until_it_is_confirmed(
    page: Page, bench: Workbench
) -> None:
    base, tip = _mark(page, "distal_phalanx_base"), _mark(page, "distal_phalanx_tip")
    x, y = _on_screen(page, "distal_phalanx_tip")
    _drag(page, (x, y), (x + 30, y))
    base.focus()
    page.keyboard.press("Shift+ArrowRight")
    assert [one.get_attribute("data-state") for one in (base, tip)] == ["proposed", "proposed"]
    assert tip.locator(".tf-over .tf-diamond").is_visible()
    assert not tip.locator(".tf-over .tf-cross").is_visible()
    page.mouse.move(5, 5)
    assert tip.locator("text").text_content() == "6 proposed"
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Confirm distal phalanx tip").click()
    assert [one.get_attribute("data-state") for one in (base, tip)] == ["placed", "placed"]
    assert tip.locator(".tf-over .tf-cross").is_visible()
    page.get_by_role("button", name="Save this round").click()
    page.get_by_text("Round 3 is saved.").wait_for()
    assert bench.saved[0]["confirmed"] == ["distal_phalanx_base", "distal_phalanx_tip"]


def test_a_missing_point_is_placed_by_a_tap(page: Page) -> None:
    scale = _scale(page)
    assert _mark(page, "skin_tip").is_hidden()
    page.get_by_role("button", name="Skin tip").click()
    x, y = _on_screen(page, "distal_phalanx_tip")
    # over another point, too, the tap places the one that was asked for
    page.mouse.click(x, y - 12)
    assert _on_film(page, "skin_tip") == pytest.approx((320, 150 - 12 / scale), abs=0.02)
    assert _mark(page, "skin_tip").get_attribute("data-state") == "placed"
    assert _on_film(page, "distal_phalanx_tip") == (320, 150)


def test_a_missing_point_is_placed_by_keys_in_the_middle_of_the_view(page: Page) -> None:
    page.get_by_role("button", name="Skin tip").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    assert _on_film(page, "skin_tip") == (299.5, 399.5)
    assert page.evaluate("document.activeElement.dataset.name") == "skin_tip"
    page.keyboard.press("Control+z")
    assert _mark(page, "skin_tip").is_hidden()


def test_live_points_are_sent_one_at_a_time_and_the_newest_wins(
    page: Page, bench: Workbench
) -> None:
    bench.open_gate.clear()
    before = len(bench.live)
    _mark(page, "metacarpal_head").focus()
    for _ in range(12):
        page.keyboard.press("ArrowUp")
    assert page.get_by_text("Working out the lengths.").is_visible()
    bench.open_gate.set()
    # 700 - 448 rows of 0.2 mm each
    page.get_by_text("50.4 mm ± 0.4 mm").wait_for()
    assert bench.most_at_once == 1
    assert len(bench.live) - before == 2
    points = bench.live[-1]["points"]
    assert isinstance(points, list)
    assert points[1] == {"name": "metacarpal_head", "col": 300, "row": 448, "state": "placed"}
    assert "50.4 mm" in page.locator(".tf-said").all_text_contents()
    assert set(bench.marks) == {"a-mark"}


def test_the_end_of_a_movement_is_spoken_once_with_the_lengths_that_changed(page: Page) -> None:
    spoken = page.locator("[aria-live=polite]")
    _mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowUp")
    assert spoken.inner_text() == ""
    by_hand = (
        "Metacarpal head, column 300.0, row 450.0, placed. First metacarpal: 50.0 mm ± 0.4 mm."
    )
    page.get_by_text(by_hand, exact=True).wait_for()


def test_a_round_is_saved_with_what_it_is_based_on(page: Page, bench: Workbench) -> None:
    _mark(page, "metacarpal_head").focus()
    page.keyboard.press("ArrowUp")
    page.get_by_text("Not saved yet; kept on this computer.").wait_for()
    page.get_by_role("button", name="Save this round").click()
    page.get_by_text("Round 3 is saved.").wait_for()
    sent = bench.saved[0]
    assert (sent["based_on"], sent["confirmed"]) == ("round-2", [])
    assert isinstance(sent["points"], list)
    assert len(sent["points"]) == 6
    assert page.get_by_text("3 rounds are saved.").is_visible()
    assert page.locator(".tf-unsaved").is_hidden()
    page.get_by_role("button", name="Save this round").click()
    page.wait_for_function("document.querySelector('.tf-message').dataset.kind === 'good'")
    assert bench.saved[1]["based_on"] == "round-3"
    page.reload()
    page.locator(".tf-lengths dd").first.wait_for()
    assert page.locator(".tf-offer").is_hidden()


def test_what_a_refused_round_held_is_offered_back(page: Page, bench: Workbench) -> None:
    bench.save_code = 409
    _mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowLeft")
    page.get_by_role("button", name="Save this round").click()
    page.get_by_text("Another round was saved meanwhile.").wait_for()
    page.reload()
    page.get_by_role("button", name="Bring them back").wait_for()
    assert _on_film(page, "metacarpal_head") == (300, 460)
    # what is done meanwhile does not overwrite the points on offer
    _mark(page, "metacarpal_base").focus()
    page.keyboard.press("ArrowLeft")
    page.get_by_text("Not kept either, until you decide about the older points.").wait_for()
    page.reload()
    page.get_by_role("button", name="Bring them back").click()
    assert _on_film(page, "metacarpal_head") == (290, 460)


def test_a_key_pressed_just_before_leaving_is_kept(page: Page) -> None:
    _mark(page, "metacarpal_head").focus()
    page.keyboard.press("ArrowLeft")
    page.reload()
    page.get_by_role("button", name="Bring them back").click()
    assert _on_film(page, "metacarpal_head") == (299, 460)


def test_points_thrown_away_are_not_offered_again(page: Page) -> None:
    _mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowLeft")
    page.get_by_text("Metacarpal head, column 290.0").wait_for()
    page.reload()
    page.get_by_role("button", name="Throw them away").click()
    page.reload()
    page.locator(".tf-lengths dd").first.wait_for()
    assert page.locator(".tf-offer").is_hidden()
    assert _on_film(page, "metacarpal_head") == (300, 460)


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (768, 1024)])
def test_a_barrier_check_finds_nothing(
    browser: Browser, bench: Workbench, width: int, height: int
) -> None:
    with _opened(browser, bench, width=width, height=height) as page:
        _mark(page, "metacarpal_head").focus()
        page.keyboard.press("ArrowUp")
        page.get_by_role("button", name="Skin tip").click()
        page.get_by_role("button", name="Swap black and white").click()
        found = Axe().run(page)
        assert found.response["violations"] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_points_the_workbench_cannot_measure_leave_the_old_lengths_marked(
    page: Page, bench: Workbench
) -> None:
    bench.live_code = 422
    _mark(page, "metacarpal_head").focus()
    page.keyboard.press("ArrowUp")
    by_hand = (
        "Two ends of a bone fall together. These lengths belong to the points before the last move."
    )
    page.get_by_text(by_hand, exact=True).wait_for()
    assert "tf-stale" in (page.locator(".tf-lengths").get_attribute("class") or "")
    assert page.get_by_text("48.0 mm ± 0.4 mm").is_visible()


def test_a_film_without_its_size_is_told_in_plain_words(page: Page) -> None:
    page.evaluate(
        "document.body.append(Object.assign(document.createElement('thumb-film'), {id: 'bare'}))"
    )
    said = page.locator("#bare").inner_text()
    assert "The film's columns are not stated as a whole number." in said


def _hash_of_sources() -> str:
    found = hashlib.sha256()
    for file in sorted((WEB / "film").glob("*.ts"), key=lambda one: one.name):
        found.update(f"{file.name}\n".encode())
        found.update(file.read_bytes())
    return found.hexdigest()


def test_the_built_module_belongs_to_its_sources(tmp_path: Path) -> None:
    kept = (STATIC / "film.js").read_text(encoding="utf-8")
    first, second = kept.splitlines()[:2]
    assert first == "// generated from web/film by esbuild; do not edit"
    assert second == f"// sources sha256 {_hash_of_sources()}"
    npm = shutil.which("npm")
    if npm is None or not (WEB / "node_modules" / "esbuild").is_dir():
        return
    fresh = tmp_path / "film.js"
    subprocess.run([npm, "run", "--silent", "build", "--", str(fresh)], cwd=WEB, check=True)
    assert fresh.read_text(encoding="utf-8") == kept


def test_the_lock_file_names_no_registry() -> None:
    lock = (WEB / "package-lock.json").read_text(encoding="utf-8")
    assert "resolved" not in lock
    assert "://" not in lock
