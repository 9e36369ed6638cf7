"""A real browser at a real server, for the tests that need one."""

from collections.abc import Iterator
from contextlib import contextmanager
from shutil import which
from threading import Thread
from time import monotonic, sleep

import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright
from tests.web.desks import SECRET

from thumbwright.web.app import create_app
from thumbwright.web.desk import Desk

ARGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SIZES = {"desk": (1280, 800), "tablet": (820, 1180)}


@contextmanager
def served(desk: Desk) -> Iterator[str]:
    """Serve the workbench over a desk, and give its address."""
    app = create_app(desk)
    app.state.secret = SECRET
    server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="error", ws="none"))
    thread = Thread(target=server.run)
    thread.start()
    until = monotonic() + 30
    while not server.started and monotonic() < until:
        sleep(0.05)
    port = server.servers[0].sockets[0].getsockname()[1]
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join()


@contextmanager
def chromium() -> Iterator[Browser]:
    """Give Debian's browser."""
    place = which("chromium")
    assert place, "the tests of pages need Debian's chromium; .ci/run installs it"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=place, args=list(ARGS))
        yield browser
        browser.close()


@contextmanager
def visit(
    browser: Browser,
    address: str,
    size: str = "desk",
    *,
    who: str = "Dr A",
    refused: bool = False,
    scripts: bool = True,
) -> Iterator[Page]:
    """Give a page at a size, under a name; a console error fails.

    Where a refusal is asked for, the browser's own remark on its status is no error.
    """
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        has_touch=size == "tablet",
        java_script_enabled=scripts,
    )
    page = context.new_page()
    wrong: list[str] = []
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda fault: wrong.append(str(fault)))
    page.goto(f"{address}/")
    page.get_by_label("At the desk").fill(who)
    page.get_by_role("button", name="Say who you are").click()
    page.wait_for_load_state()
    yield page
    context.close()
    if refused:
        wrong = [words for words in wrong if "the server responded with a status of 4" not in words]
    assert wrong == []
