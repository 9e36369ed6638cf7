"""A copy is put back on the page, after a look at what would be lost; the desk goes on with it."""

from collections.abc import Iterator
from datetime import timedelta
from itertools import count
from pathlib import Path
from threading import Event, Thread

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from starlette.testclient import TestClient
from tests.web.browsing import SIZES, chromium, served, visit
from tests.web.desks import NOW, demo_desk, visitor
from tests.web.test_in_the_browser import SHOTS

from thumbwright.storage.records import Edit, Part, StoreError
from thumbwright.web.desk import Desk
from thumbwright.web.gate import Gate


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as desk:
        ticks = count()
        desk.now = lambda: NOW + timedelta(seconds=next(ticks))
        yield desk


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as client:
        yield client


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


def rename(desk: Desk, name: str) -> None:
    edit = Edit(path=("patient", "pseudonym"), value=name)
    desk.cases.record("girl", Part.FACTS, [edit], "B", "", based_on=999)


def test_a_copy_is_put_back_and_the_workbench_goes_on(client: TestClient, desk: Desk) -> None:
    before = desk.result(desk.cases.case("girl"))
    copy = desk.back_up().folder.name
    rename(desk, "Somebody")
    desk.cases.copy("girl", "B")
    listed = client.get("/safety").text
    assert copy in listed
    assert "not yet" in listed
    look = client.get(f"/safety/{copy}/put-back").text
    assert "Somebody: 1 change" in look
    assert "Somebody: the whole case (" in look
    answer = client.post(f"/safety/{copy}/put-back", data={"sure": "true"})
    assert answer.status_code == 200
    assert f"The copy {copy} is in its place." in answer.text
    assert [row.name for row in desk.cases.cases("girl")] == ["Girl 7"]
    assert desk.troubles(read_files=True) == ()
    after = desk.result(desk.cases.case("girl"))
    assert after.paper == before.paper
    assert client.get("/cases/girl/films/hand_left.dcm").status_code == 200
    rename(desk, "Again")
    (newest, _) = desk.backups()
    desk.put_back(newest.folder.name)
    assert desk.cases.case("girl").row.name == "Somebody"


def test_nothing_is_put_back_without_the_word(client: TestClient, desk: Desk) -> None:
    copy = desk.back_up().folder.name
    rename(desk, "Somebody")
    assert client.post(f"/safety/{copy}/put-back").status_code == 400
    assert client.post("/safety/none/put-back", data={"sure": "true"}).status_code == 400
    assert desk.cases.case("girl").row.name == "Somebody"


def test_a_copy_is_read_back_on_the_page(client: TestClient, desk: Desk) -> None:
    made = desk.back_up().folder
    assert "was read back whole" in client.post(f"/safety/{made.name}/prove").text
    assert "● </span> whole" in client.get("/safety").text.replace("●</span>", "● </span>")
    (made / "cases.db").write_bytes(b"x")
    refused = client.post(f"/safety/{made.name}/prove")
    assert refused.status_code == 400
    assert "does not hold" in refused.text
    rename(desk, "Somebody")
    assert client.post(f"/safety/{made.name}/put-back", data={"sure": "1"}).status_code == 400
    assert desk.cases.case("girl").row.name == "Somebody"


def test_a_fault_in_the_middle_leaves_the_workbench_on_what_was_there(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = desk.back_up().folder.name
    rename(desk, "Somebody")

    def fail(*_: object) -> None:
        raise StoreError("cut off")

    monkeypatch.setattr("thumbwright.storage.restore.put_back", fail)
    answer = client.post(f"/safety/{copy}/put-back", data={"sure": "true"})
    assert answer.status_code == 400
    assert "cut off" in answer.text
    assert "Somebody" in client.get("/").text


def test_requests_wait_while_a_copy_is_put_back(client: TestClient, desk: Desk) -> None:
    said: list[int] = []
    with desk.gate.alone():
        asks = Thread(target=lambda: said.append(client.get("/").status_code))
        asks.start()
        asks.join(0.5)
        assert said == []
    asks.join(30)
    assert said == [200]


def test_who_waits_too_long_is_told_so(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("thumbwright.web.waiting.LONGEST_WAIT_S", 0.0)
    with desk.gate.alone():
        answer = client.post("/cases/girl/papers")
    assert answer.status_code == 503
    assert "A copy is being put back" in answer.text
    assert desk.papers.of_case("girl") == ()


def test_nobody_is_alone_while_others_are_inside() -> None:
    gate = Gate()
    assert gate.enter()
    with pytest.raises(StoreError, match="1 others are still at work"), gate.alone(0.0):
        pass
    with gate.alone(0.0, own=1):
        assert not gate.enter()
        with pytest.raises(StoreError, match="one at a time"), gate.alone(0.0):
            pass
    gate.leave()
    entered = Event()

    def go_in() -> None:
        with gate.inside():
            entered.set()

    with gate.alone(0.0):
        thread = Thread(target=go_in)
        thread.start()
        assert not entered.wait(0.1)
    assert entered.wait(30)
    thread.join()


@pytest.mark.parametrize("size", SIZES)
def test_a_copy_is_put_back_with_the_keyboard(browser: Browser, desk: Desk, size: str) -> None:
    copy = desk.back_up()
    rename(desk, "Somebody")
    SHOTS.mkdir(parents=True, exist_ok=True)
    with served(desk) as address, visit(browser, address, size) as page:
        page.goto(f"{address}/safety")
        page.screenshot(path=SHOTS / f"{size}_copies.png", full_page=True)
        assert Axe().run(page).response["violations"] == []
        page.get_by_role("link", name="see what would be lost").press("Enter")
        page.get_by_text("Somebody: 1 change").wait_for()
        page.screenshot(path=SHOTS / f"{size}_put_back.png", full_page=True)
        assert Axe().run(page).response["violations"] == []
        page.get_by_label("I have read").press("Space")
        page.get_by_role("button", name="Put this copy back").press("Enter")
        page.get_by_text(f"The copy {copy.folder.name} is in its place.").wait_for()
    assert desk.cases.case("girl").row.name == "Girl 7"
