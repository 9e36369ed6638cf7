"""The unit's prices: saved one list after another, refused in words, and counted in the report."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.desks import demo_desk, visitor

from thumbwright.core.outlook.prices import Item
from thumbwright.web.desk import Desk

FORM = {
    "currency": "EUR",
    "prices.theatre_hour": "900",
    "prices.hospital_day": "400",
    "prices.operation": "500",
    "prices.visit": "60,5",
}


@pytest.fixture(name="desk")
def fixture_desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as desk:
        yield desk


@pytest.fixture(name="client")
def fixture_client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as client:
        yield client


def test_no_price_is_built_in(desk: Desk, client: TestClient) -> None:
    assert desk.prices().prices == {}
    assert "No prices yet" in client.get("/prices").text


def test_a_list_is_saved_and_counts(desk: Desk, client: TestClient) -> None:
    answer = client.post("/prices", data=FORM | {"based_on": ""})
    assert answer.status_code == 200
    assert "counts now" in answer.text
    assert desk.prices().currency == "EUR"
    assert desk.prices().prices[Item.VISIT] == 60.5


def test_every_fault_is_told_at_once_and_nothing_typed_is_lost(
    desk: Desk, client: TestClient
) -> None:
    wrong = FORM | {"prices.visit": "-3", "prices.operation": "much", "based_on": ""}
    answer = client.post("/prices", data=wrong)
    assert answer.status_code == 400
    assert "2 answers" in answer.text
    assert 'value="much"' in answer.text
    assert desk.prices().prices == {}


def test_who_saves_on_an_older_page_sees_both(desk: Desk, client: TestClient) -> None:
    client.post("/prices", data=FORM | {"based_on": ""})
    answer = client.post("/prices", data=FORM | {"prices.visit": "70", "based_on": ""})
    assert answer.status_code == 409
    assert "somebody else saved" in answer.text
    assert desk.prices().prices[Item.VISIT] == 60.5


def test_an_older_list_stays_on_record(desk: Desk, client: TestClient) -> None:
    client.post("/prices", data=FORM | {"based_on": ""})
    newest = desk.unit_prices.papers.newest_name()
    client.post("/prices", data=FORM | {"prices.visit": "70", "based_on": newest})
    assert desk.prices().prices[Item.VISIT] == 70
    assert len(desk.unit_prices.saved()) == 2


def test_a_spoilt_newest_list_does_not_count(desk: Desk, client: TestClient) -> None:
    client.post("/prices", data=FORM | {"based_on": ""})
    newest = desk.unit_prices.papers.newest_name()
    client.post("/prices", data=FORM | {"prices.visit": "70", "based_on": newest})
    place = next(desk.folder.rglob(desk.unit_prices.papers.newest_name()))
    place.write_text("{ half", "utf-8")
    assert desk.prices().prices[Item.VISIT] == 60.5
    assert client.get("/prices").status_code == 200


def test_prices_are_part_of_every_copy(desk: Desk, client: TestClient) -> None:
    client.post("/prices", data=FORM | {"based_on": ""})
    copy = desk.back_up()
    desk.prove(copy)
    name = desk.unit_prices.papers.newest_name()
    assert [one.name for one in (desk.folder / "backups").rglob(name)] == [name]


def test_the_report_of_what_lies_ahead_counts_them(client: TestClient) -> None:
    before = client.get("/cases/joiner/ahead/ahead").text
    assert "Cost is unknown" in before
    client.post("/prices", data=FORM | {"based_on": ""})
    after = client.get("/cases/joiner/ahead/ahead").text
    assert "Cost is unknown" not in after
    assert " EUR" in after
