"""What lies ahead on its pages: every part, details on demand, drawings, and the paper of it."""

import re
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient
from tests.web.desks import demo_desk, visitor

from thumbwright.web.desk import Desk
from thumbwright.web.handlers.ahead import PARTS

GIRL = "/cases/girl/ahead"


@pytest.fixture(name="desk", scope="module")
def fixture_desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with demo_desk(tmp_path_factory.mktemp("ahead")) as desk:
        yield desk


@pytest.fixture(name="client", scope="module")
def fixture_client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as client:
        yield client


@pytest.mark.parametrize("part", PARTS)
def test_every_part_is_shown_with_its_drawings(client: TestClient, part: str) -> None:
    answer = client.get(f"{GIRL}/{part}")
    assert answer.status_code == 200
    assert "This decides nothing" in answer.text
    drawings = re.findall(rf'src="({GIRL}/{part}/drawings/[^"]+)"', answer.text)
    assert part == "risk" or drawings
    for place in drawings[:3]:
        drawn = client.get(place)
        assert drawn.status_code == 200
        assert drawn.headers["content-type"].startswith("image/svg+xml")


def test_the_first_part_is_the_weighing(client: TestClient) -> None:
    assert str(client.get(GIRL).url).endswith("/ahead/weighing")


def test_details_of_any_technique_that_is_left_are_shown(client: TestClient) -> None:
    answer = client.get(f"{GIRL}/reach?of=pollicization")
    assert "reach%20pollicization" in answer.text
    assert "reach%20second_toe" not in answer.text


def test_details_of_a_closed_technique_are_refused_in_words(client: TestClient) -> None:
    answer = client.get(f"{GIRL}/reach?of=great_toe_wrap_around")
    assert answer.status_code == 400
    assert "allowed are" in answer.text


@pytest.mark.parametrize(
    "place",
    [
        f"{GIRL}/reach/drawings/x.svg?of=nothing",
        f"{GIRL}/everything",
        f"{GIRL}/reach/drawings/none.svg",
        f"{GIRL}/all/drawings/x",
    ],
)
def test_what_is_not_there_is_refused_in_words(client: TestClient, place: str) -> None:
    answer = client.get(place)
    assert answer.status_code in {400, 404}
    assert "allowed" in answer.text


def test_the_report_is_issued_as_a_paper(client: TestClient, desk: Desk) -> None:
    answer = client.post(GIRL)
    assert "was issued" in answer.text
    paper = desk.papers.of_case("girl")[0]
    assert paper.kind == "ahead"
    assert desk.kept.read(paper.pdf_sha256).startswith(b"%PDF-1.7")


def test_a_case_that_cannot_be_planned_says_what_stands_in_the_way(
    client: TestClient, desk: Desk
) -> None:
    case = client.post(
        "/cases", data={"case_id": "N-1", "pseudonym": "Nobody"}, follow_redirects=False
    )
    key = case.headers["location"].split("/")[2].split("?")[0]
    answer = client.get(f"/cases/{key}/ahead/growth")
    assert answer.status_code == 200
    assert "What stands in the way" in answer.text
    assert client.post(f"/cases/{key}/ahead").status_code == 400
    assert desk.papers.of_case(key) == ()
