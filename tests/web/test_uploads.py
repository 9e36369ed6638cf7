"""Many files at once: each is taken in or refused for itself, by the form and one by one."""

import json
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page, Route
from starlette.testclient import TestClient
from tests.web.browsing import SIZES, chromium, served, visit
from tests.web.desks import demo_desk, visitor
from tests.web.test_in_the_browser import SHOTS

from thumbwright.storage.records import Part
from thumbwright.web.desk import Desk

JSON = {"accept": "application/json"}
FAULTY_LIST = json.dumps(
    {"thumbwright_films": 1, "films": [{"file": "a.dcm", "side": "upper"}, {"view": 7}]}
).encode()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as desk:
        yield desk


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as client:
        yield client


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


def film(desk: Desk) -> bytes:
    return desk.files.read("girl", "hand_left.dcm")[1]


def names(desk: Desk, kind: str = "film") -> set[str]:
    return {one.name for one in desk.files.of_case("joiner", kind)}


def list_of(desk: Desk, key: str) -> bytes:
    return json.dumps(
        {"thumbwright_films": 1, "films": desk.cases.case(key).parts[Part.FILMS]["films"]}
    ).encode()


def picture(name: str) -> dict[str, str | bytes]:
    out = BytesIO()
    Image.new("RGB", (60, 40), (180, 140, 120)).save(out, "PNG")
    return {"name": name, "mimeType": "image/png", "buffer": out.getvalue()}


def test_a_faulty_list_stands_among_the_refusals_and_the_films_are_taken_in(
    client: TestClient, desk: Desk
) -> None:
    files = [("first.dcm", film(desk)), ("films.json", FAULTY_LIST), ("last.dcm", film(desk))]
    answer = client.post("/cases/joiner/films", files=[("files", one) for one in files])
    assert answer.status_code == 400
    assert "Not taken in" in answer.text
    assert "films.json has" in answer.text
    assert "side" in answer.text
    assert "Taken in: first.dcm, last.dcm." in answer.text
    assert {"first.dcm", "last.dcm"} <= names(desk)


def test_a_conflict_stands_among_the_refusals_and_the_films_are_taken_in(
    client: TestClient, desk: Desk
) -> None:
    before = desk.cases.case("joiner").parts[Part.FILMS]
    files = [
        ("one.json", list_of(desk, "girl")),
        ("two.json", list_of(desk, "farmer")),
        ("last.dcm", film(desk)),
    ]
    answer = client.post("/cases/joiner/films", files=[("files", one) for one in files])
    assert answer.status_code == 400
    assert "changed by somebody else" in answer.text
    assert "Taken in: one.json, last.dcm." in answer.text
    assert desk.cases.case("joiner").parts[Part.FILMS] != before
    assert "last.dcm" in names(desk)


def test_a_file_sent_for_itself_is_answered_with_its_outcome(
    client: TestClient, desk: Desk
) -> None:
    for where, given, words in (
        ("films", ("new.dcm", film(desk)), ""),
        ("films", ("torn.dcm", film(desk)[:-1000]), "torn.dcm"),
        ("films", ("films.toml", FAULTY_LIST), "films.toml"),
        ("photographs", ("words.jpg", b"no picture"), "words.jpg"),
    ):
        answer = client.post(f"/cases/joiner/{where}", files=[("files", given)], headers=JSON)
        assert answer.status_code == 200
        found = answer.json()
        assert found["taken"] == ([] if words else [given[0]])
        assert words in "".join(found["refused"])
    assert {"new.dcm"} == names(desk) - {"hand_left.dcm"} - {
        name for name in names(desk) if name.startswith(("hand_", "foot_"))
    }


def test_a_nobody_is_told_so_for_each_file(desk: Desk) -> None:
    with visitor(desk, who="") as client:
        files = [("files", ("new.dcm", film(desk)))]
        answer = client.post("/cases/joiner/films", files=files, headers=JSON)
    assert "nobody has said who is at the desk" in answer.json()["refused"][0]
    assert "new.dcm" not in names(desk)


@pytest.mark.parametrize("size", SIZES)
def test_files_are_sent_one_by_one_and_each_outcome_stands_in_words(
    browser: Browser, desk: Desk, size: str
) -> None:
    with served(desk) as address, visit(browser, address, size) as page:
        page.goto(f"{address}/cases/joiner/photographs")
        words = {"name": "words.png", "mimeType": "image/png", "buffer": b"no picture"}
        files = [picture("one.png"), words, picture("two.png")]
        page.get_by_label("Photographs", exact=True).set_input_files(files)  # type: ignore[arg-type]
        page.get_by_text("3 files are ready").wait_for()
        page.get_by_label("I have looked").check()
        page.get_by_role("button", name="Attach", exact=True).press("Enter")
        page.get_by_text("Done: 2 taken in, 1 refused.").wait_for()
        rows = page.locator(".sent li").all_inner_texts()
        assert [row.split("\n")[0].split(" ")[0] for row in rows] == ["●", "✕", "●"]
        assert "taken in" in rows[0]
        assert "allowed are PNG and JPEG" in rows[1]
        assert page.locator(".sent progress").count() == 0
        SHOTS.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=SHOTS / f"{size}_sent.png", full_page=True)
        assert Axe().run(page).response["violations"] == []
        page.get_by_role("link", name="Show the list as it is now").click()
        page.get_by_role("heading", name="two.png").wait_for()
    assert names(desk, "photograph") == {"one.png", "two.png"}


def held_back(page: Page) -> list[Route]:
    """Hold every file back that the page sends, as a slow line does."""
    held: list[Route] = []

    def hold(route: Route) -> None:
        if route.request.method == "POST":
            held.append(route)
        else:
            route.continue_()

    page.route("**/photographs", hold)
    return held


def test_what_is_under_way_shows_its_progress_and_can_be_cancelled(
    browser: Browser, desk: Desk
) -> None:
    with served(desk) as address, visit(browser, address) as page:
        page.goto(f"{address}/cases/joiner/photographs")
        held = held_back(page)
        files = [picture("one.png"), picture("two.png"), picture("three.png")]
        page.get_by_label("Photographs", exact=True).set_input_files(files)  # type: ignore[arg-type]
        page.get_by_label("I have looked").check()
        page.get_by_role("button", name="Attach", exact=True).click()
        page.get_by_text("Sending 1 of 3: one.png").wait_for()
        assert page.get_by_role("progressbar", name="Sending one.png").is_visible()
        assert page.get_by_role("progressbar", name="Sending two.png").is_visible()
        page.screenshot(path=SHOTS / "desk_sending.png", full_page=True)
        page.get_by_role("button", name="Cancel the rest").click()
        page.get_by_text("Done: 3 cancelled.").wait_for()
        assert len(held) == 1
        page.unroute_all(behavior="ignoreErrors")
    assert names(desk, "photograph") == set()


DROP = """(files) => {
  const all = new DataTransfer();
  for (const [name, text] of files) {
    const bytes = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
    all.items.add(new File([bytes], name, {type: "image/png"}));
  }
  const field = document.querySelector("[data-drop]");
  for (const kind of ["dragover", "drop"]) {
    field.dispatchEvent(new DragEvent(kind, {dataTransfer: all, bubbles: true, cancelable: true}));
  }
}"""


def test_files_are_dragged_in_and_added_to_those_chosen(browser: Browser, desk: Desk) -> None:
    import base64

    with served(desk) as address, visit(browser, address) as page:
        page.goto(f"{address}/cases/joiner/photographs")
        chosen = picture("chosen.png")
        page.get_by_label("Photographs", exact=True).set_input_files([chosen])  # type: ignore[arg-type]
        text = base64.b64encode(bytes(picture("x.png")["buffer"])).decode()  # type: ignore[arg-type]
        page.evaluate(DROP, [["dragged.png", text]])
        page.get_by_text("2 files are ready").wait_for()
        page.get_by_label("I have looked").check()
        page.get_by_role("button", name="Attach", exact=True).click()
        page.get_by_text("Done: 2 taken in.").wait_for()
    assert names(desk, "photograph") == {"chosen.png", "dragged.png"}


def test_without_scripts_the_form_sends_all_at_once(browser: Browser, desk: Desk) -> None:
    with served(desk) as address, visit(browser, address, scripts=False) as page:
        page.goto(f"{address}/cases/joiner/photographs")
        assert not page.get_by_text("Or drag files").is_visible()
        files = [picture("one.png"), picture("two.png")]
        page.get_by_label("Photographs", exact=True).set_input_files(files)  # type: ignore[arg-type]
        page.get_by_label("I have looked").check()
        page.get_by_role("button", name="Attach", exact=True).click()
        page.get_by_text("Attached.").wait_for()
    assert names(desk, "photograph") == {"one.png", "two.png"}
