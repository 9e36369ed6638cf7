"""A small server under a strict content policy, and a browser, for tests of the film page."""

import io
import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from math import hypot
from pathlib import Path
from threading import Event, Thread

import numpy as np
from PIL import Image
from playwright.sync_api import Browser, Locator, Page, sync_playwright
from starlette.testclient import TestClient

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "thumbwright" / "web" / "static"
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


@contextmanager
def film_served() -> Iterator[Workbench]:
    """Serve one film."""
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


@contextmanager
def chromium() -> Iterator[Browser]:
    """Give Debian's chromium."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=found, args=FLAGS)
        yield made
        made.close()


@contextmanager
def opened(
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


def mark(page: Page, name: str) -> Locator:
    return page.locator(f'[data-name="{name}"]')


def on_film(page: Page, name: str) -> Place:
    transform = mark(page, name).get_attribute("transform")
    assert transform is not None
    column, row = transform.removeprefix("translate(").split(")")[0].split()
    return float(column), float(row)


def on_screen(page: Page, name: str) -> Place:
    box = mark(page, name).locator(".tf-reach").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def film_scale(page: Page) -> float:
    """Measure screen pixels for a film pixel between two known points."""
    (_, top), (_, bottom) = on_screen(page, "metacarpal_head"), on_screen(page, "metacarpal_base")
    return (bottom - top) / 240


def drag(page: Page, start: Place, end: Place) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    page.mouse.move(*end)
    page.mouse.up()


def touch(page: Page, steps: list[list[Place]]) -> None:
    """Lay fingers down at the first places, move them along, and lift all."""
    session = page.context.new_cdp_session(page)
    for index, places in enumerate(steps):
        more = index == 0 or len(places) > len(steps[index - 1])
        kind = "touchStart" if more else "touchMove"
        touches = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    session.detach()


def plain_film(client: TestClient) -> None:
    """Take a picture of a left foot into a case, with nothing that tells of millimetres."""
    pixels = client.get("/cases/girl/films/foot_left.dcm/picture.png").content
    files = {"files": ("plain.png", pixels, "image/png")}
    sent = client.post("/cases/girl/films", files=files, data={"looked": "true"})
    assert sent.status_code == 200
    version = sent.text.split('name="based_on" value="')[1].split('"')[0]
    note = {"side": "left", "region": "foot", "view": "dorsoplantar", "based_on": version}
    assert client.post("/cases/girl/films/plain.png/note", data=note).status_code == 200
