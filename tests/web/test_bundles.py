"""A case is handed out as one file and taken in at another desk."""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.desks import NOW, demo_desk, visitor

from thumbwright.web.app import create_app
from thumbwright.web.desk import Desk
from thumbwright.web.handlers import bundles


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path / "full") as desk:
        yield desk


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Desk]:
    desk = Desk(tmp_path / "other", lambda: NOW + dt.timedelta(days=1))
    yield desk
    desk.close()


def sent(client: TestClient, data: bytes, *, follow: bool = True) -> tuple[int, str, str]:
    files = {"file": ("case.zip", data)}
    answer = client.post("/cases/from-bundle", files=files, follow_redirects=follow)
    return answer.status_code, answer.text, answer.headers.get("location", "")


def fetched(desk: Desk, key: str = "girl") -> bytes:
    with visitor(desk) as client:
        answer = client.get(f"/cases/{key}/bundle.zip")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/zip"
    assert answer.headers["content-disposition"] == f'attachment; filename="case-{key}.zip"'
    return answer.content


def test_a_case_is_carried_from_desk_to_desk_with_its_paper(desk: Desk, other: Desk) -> None:
    with visitor(desk) as client:
        client.post("/cases/girl/papers")
    data = fetched(desk)
    with visitor(other) as client:
        status, _, location = sent(client, data, follow=False)
        assert (status, location.split("?")[0]) == (303, "/cases/girl")
        page = client.get(location).text
        assert "Girl 7" in page
        assert "The case of the bundle is here, with all of its 2 changes." in page
        assert client.get("/cases/girl/papers/1.pdf").content.startswith(b"%PDF")
        assert client.get("/cases/girl/films/hand_left.dcm/picture.png").status_code == 200
    assert fetched(other) == data
    assert other.troubles(read_files=True) == ()


def test_taking_in_a_case_that_is_there_changes_nothing(desk: Desk) -> None:
    data = fetched(desk)
    with visitor(desk) as client:
        assert "is here" in sent(client, data)[1]
    assert fetched(desk) == data
    assert len(desk.cases.cases()) == 5


@pytest.mark.parametrize("cut", [0, 100, -1])
def test_a_damaged_bundle_is_refused_in_words(desk: Desk, other: Desk, cut: int) -> None:
    data = fetched(desk)[:cut]
    with visitor(other) as client:
        status, text, _ = sent(client, data)
    assert status == 400
    assert "no whole zip file" in text
    assert other.cases.cases() == ()
    assert list(other.kept.names()) == []


def test_a_file_too_large_for_a_bundle_is_refused(
    other: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bundles, "LARGEST_BYTES", 10)
    with visitor(other) as client:
        status, text, _ = sent(client, bytes(11))
    assert status == 400
    assert "up to 10 bytes" in text


def test_nobody_takes_a_case_in(desk: Desk, other: Desk) -> None:
    data = fetched(desk)
    with visitor(other, who="") as client:
        status, text, _ = sent(client, data)
    assert status == 400
    assert "nobody has said who is at the desk" in text
    assert other.cases.cases() == ()


def test_the_bundle_of_no_case_is_refused(other: Desk) -> None:
    with visitor(other) as client:
        assert client.get("/cases/nobody/bundle.zip").status_code == 404


def test_the_workbench_knows_both_addresses(other: Desk) -> None:
    paths = create_app(other).openapi()["paths"]
    assert {"/cases/{key}/bundle.zip", "/cases/from-bundle"} <= set(paths)
