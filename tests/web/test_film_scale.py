"""Ball, ruler, heights and tilt are said on the page of a film, by the checks of the list."""

from collections.abc import Iterator
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.web.desks import demo_desk, visitor
from tests.web.film_bench import plain_film

from thumbwright.core.radiograph.landmarks import FilmNote
from thumbwright.web.desk import Desk
from thumbwright.web.film_scale import fields_of
from thumbwright.web.stored_documents import notes_of

FILM = "foot_left.dcm"
PAGE = f"/cases/girl/films/{FILM}"
RULER = [
    {"name": "ruler_start", "col": 100, "row": 100, "state": "placed"},
    {"name": "ruler_end", "col": 400, "row": 500, "state": "placed"},
]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as made:
        yield made


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as made:
        yield made


def _note(desk: Desk) -> FilmNote:
    (note,) = (one for one in notes_of(desk.cases.case("girl")).films if one.file == FILM)
    return note


def _said(desk: Desk, **changed: str) -> dict[str, str]:
    return fields_of(_note(desk)) | changed


def _live(client: TestClient, scale: dict[str, str], points: list[Any]) -> dict[str, Any]:
    answer = client.post(f"{PAGE}/live", json={"points": points, "scale": scale})
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def _record(client: TestClient, desk: Desk, scale: dict[str, str], points: list[Any]) -> Any:  # noqa: ANN401  an answer of the client
    version = str(desk.cases.case("girl").version)
    body = {"points": points, "scale": scale, "based_on": version}
    return client.post(f"{PAGE}/scale", json=body)


def test_a_ball_said_to_be_larger_makes_every_pixel_larger_in_proportion(
    client: TestClient, desk: Desk
) -> None:
    before = _live(client, _said(desk), [])["scale"]["mm_per_px"]
    after = _live(client, _said(desk, ball_mm="20.5"), [])["scale"]["mm_per_px"]
    # the ball is looked for among other sizes, and found within a hair of the same edge
    by_hand = before * 20.5 / 20
    assert after == pytest.approx(by_hand, rel=1e-4)


def test_a_ruler_gives_the_scale_where_no_ball_lies(client: TestClient, desk: Desk) -> None:
    without = {key: "" for key in fields_of(_note(desk)) if key.startswith("ball")}
    found = _live(client, _said(desk, **without, ruler_mm="75", tilt_deg="6"), RULER)
    by_hand = 75 / hypot(300, 400)
    assert found["faults"] == []
    assert found["scale"]["mm_per_px"] == pytest.approx(by_hand, rel=1e-9)
    assert "by the ruler" in found["scale"]["text"]


def test_a_lower_limit_of_tilt_shortens_the_doubt(client: TestClient, desk: Desk) -> None:
    points = [
        {"name": "great_proximal_base", "col": 607, "row": 396, "state": "placed"},
        {"name": "great_proximal_head", "col": 606, "row": 255, "state": "placed"},
    ]

    def width(tilt: str) -> float:
        (row,) = _live(client, _said(desk, tilt_deg=tilt), points)["rows"][:1]
        low, high = row["text"].split("(")[1].rstrip(")").split(" to ")
        return float(high) - float(low)

    assert width("1") < width("40")


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("ball_mm", "200", "at most 60"),
        ("ball_mm", "large", "a number"),
        ("ball_above_mm", "900", "at most 100"),
        ("source_mm", "12", "above 300"),
        ("bone_height_mm", "-1", "above 0"),
        ("tilt_deg", "60", "at most 45"),
        ("ruler_mm", "75", "An end of the ruler is not placed"),
    ],
)
def test_a_fault_is_told_beside_its_field_and_the_old_scale_stays(
    client: TestClient, desk: Desk, field: str, typed: str, said: str
) -> None:
    before = _live(client, _said(desk), [])["scale"]
    found = _live(client, _said(desk, **{field: typed}), [])
    assert [one["field"] for one in found["faults"]] == [field]
    assert said in found["faults"][0]["text"]
    assert found["scale"] == before
    refused = _record(client, desk, _said(desk, **{field: typed}), [])
    assert refused.status_code == 400
    assert refused.json()["faults"] == found["faults"]


def test_a_ruler_beyond_the_source_is_refused(client: TestClient) -> None:
    plain_film(client)
    typed = {"ruler_mm": "75", "ruler_above_mm": "60"}
    typed |= {"source_mm": "301", "bone_height_mm": "250"}
    body = {"points": RULER, "scale": typed}
    (fault,) = client.post("/cases/girl/films/plain.png/live", json=body).json()["faults"]
    assert fault["field"] == "source_mm"
    assert "a marker nearer than the source" in fault["text"]


def test_a_ruler_beside_the_film_is_refused(client: TestClient, desk: Desk) -> None:
    beside = [RULER[0], RULER[1] | {"col": 90_000}]
    answer = _record(client, desk, _said(desk, ruler_mm="75"), beside)
    assert answer.status_code == 400
    assert answer.json()["faults"][0]["field"] == "ruler_mm"


def test_ball_and_ruler_are_recorded_and_taken_away_and_the_points_stay(
    client: TestClient, desk: Desk
) -> None:
    rounds = _note(desk).placements
    full = _said(desk, ball_mm="25,4", ruler_mm="75", bone_height_mm="12", tilt_deg="4")
    assert _record(client, desk, full, RULER).status_code == 200
    note = _note(desk)
    assert note.ball is not None
    assert note.ruler is not None
    assert (note.ball.diameter_mm, note.ruler.end) == (25.4, (400, 500))
    assert (note.bone_above_detector_mm, note.tilt_limit_deg) == (12, 4)
    empty = dict.fromkeys(full, "")
    assert _record(client, desk, empty, []).status_code == 200
    note = _note(desk)
    assert (note.ball, note.ruler, note.bone_above_detector_mm) == (None, None, None)
    assert note.placements == rounds
    assert client.get(PAGE).status_code == 200


def test_a_scale_based_on_an_old_version_is_not_recorded(client: TestClient, desk: Desk) -> None:
    old = str(desk.cases.case("girl").version)
    assert _record(client, desk, _said(desk, tilt_deg="4"), []).status_code == 200
    body = {"points": [], "scale": _said(desk, tilt_deg="5"), "based_on": old}
    answer = client.post(f"{PAGE}/scale", json=body)
    assert answer.status_code == 409
    assert "somebody else" in answer.json()["message"]
    assert _note(desk).tilt_limit_deg == 4
