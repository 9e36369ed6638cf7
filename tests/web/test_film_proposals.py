"""Joint lines are proposed on the page, and count for nothing until a person confirms them."""

from collections.abc import Iterator
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.web.desks import demo_desk, visitor

from thumbwright.cli.proposing import as_placement
from thumbwright.core.radiograph.detection import ProposedPoint, RayProposal
from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, RayName
from thumbwright.web.desk import Desk
from thumbwright.web.film_points import film_points, rounds_of
from thumbwright.web.stored_documents import notes_of

FILM = "foot_left.dcm"
PAGE = f"/cases/girl/films/{FILM}"
ENDS = ("second_metatarsal_base", "second_distal_tip")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as made:
        yield made


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as made:
        yield made


def _note(desk: Desk, file: str = FILM) -> FilmNote:
    (note,) = (one for one in notes_of(desk.cases.case("girl")).films if one.file == file)
    return note


def _points(desk: Desk, *names: str, file: str = FILM) -> list[Any]:
    shown: list[Any] = film_points(_note(desk, file))
    return [point for point in shown if point["name"] in names and point["col"] is not None]


def _propose(client: TestClient, points: list[Any], **asked: object) -> Any:  # noqa: ANN401  an answer of the client
    body = {"points": points, "ray": "second toe", **asked}
    return client.post(f"{PAGE}/proposals", json=body)


def test_the_joints_of_a_toe_are_proposed_near_where_a_person_placed_them(
    client: TestClient, desk: Desk
) -> None:
    found = {one["name"]: one for one in _propose(client, _points(desk, *ENDS)).json()["points"]}
    assert not set(ENDS) & set(found)
    for name in ("second_metatarsal_head", "second_proximal_base", "second_proximal_head"):
        (placed,) = _points(desk, name)
        off_px = hypot(found[name]["col"] - placed["col"], found[name]["row"] - placed["row"])
        # across the bone a person and the axis may differ by some millimetres of 0.145 mm pixels
        assert off_px < 25
        assert found[name]["sure"] is True
        assert found[name]["confidence"].endswith(" %")


def test_a_placed_point_is_never_proposed_anew(client: TestClient, desk: Desk) -> None:
    points = _points(desk, *ENDS, "second_proximal_head")
    names = {one["name"] for one in _propose(client, points).json()["points"]}
    assert "second_proximal_head" not in names
    assert "second_middle_base" in names


@pytest.mark.parametrize(
    ("names", "asked", "said"),
    [
        (ENDS[:1], {}, "second distal tip were placed"),
        (ENDS, {"ray": "thumb"}, "great toe, second toe"),
    ],
)
def test_what_cannot_be_proposed_is_said_in_words(
    client: TestClient, desk: Desk, names: tuple[str, ...], asked: dict[str, str], said: str
) -> None:
    answer = _propose(client, _points(desk, *names), **asked)
    assert answer.status_code == 400
    assert said in answer.json()["message"]


def test_a_stump_is_proposed_by_the_bones_that_are_left(client: TestClient, desk: Desk) -> None:
    file = "hand_left.dcm"
    ends = _points(desk, "metacarpal_base", "stump_bone_end", file=file)
    assert len(ends) == 2
    body = {"points": ends, "ray": "thumb"}
    page = f"/cases/girl/films/{file}/proposals"
    answer = client.post(page, json=body | {"bones": 1})
    assert answer.status_code == 200
    names = {one["name"] for one in answer.json()["points"]}
    assert names <= {"stump_skin_end"}
    refused = client.post(page, json=body | {"bones": 4})
    assert refused.status_code == 400
    assert "allowed are 1 to 3" in refused.json()["message"]


def test_a_proposal_that_nobody_confirmed_enters_no_length(client: TestClient, desk: Desk) -> None:
    (base,) = _points(desk, "great_proximal_base")
    (head,) = _points(desk, "great_proximal_head")
    for state, rows in (("placed", 1), ("proposed", 0)):
        body = {"points": [base, head | {"state": state}]}
        found = client.post(f"{PAGE}/live", json=body).json()
        bones = [row for row in found["rows"] if row["name"] == "great toe, proximal phalanx"]
        assert len(bones) == rows
        assert len(found["lines"]) == rows
    only = {"points": [one | {"state": "proposed"} for one in (base, head)]}
    words = client.post(f"{PAGE}/live", json=only).json()["rows"][0]["text"]
    assert "proposed by the program and not confirmed" in words


def test_a_confirmed_proposal_is_stored_as_the_command_line_would_have_it(
    client: TestClient, desk: Desk
) -> None:
    before = _note(desk)
    placed = _points(desk, *ENDS)
    (one, other, *_) = _propose(client, placed).json()["points"]
    sent = [*placed, one | {"state": "placed"}, other | {"state": "proposed"}]
    version = str(desk.cases.case("girl").version)
    body = {"points": sent, "confirmed": [one["name"]], "based_on": version}
    answer = client.post(f"{PAGE}/rounds", json=body)
    assert answer.json()["message"] == "Round 4 is saved: 3 points."
    own, proposed = _note(desk).placements[len(before.placements) :]
    assert (own.observer, set(own.points)) == ("Dr A", {Landmark(name) for name in ENDS})
    assert set(proposed.points) == {Landmark(one["name"])}
    printed = as_placement(
        RayProposal(
            ray=RayName.SECOND_TOE,
            points=(
                ProposedPoint(
                    landmark=Landmark(one["name"]),
                    point=(one["col"], one["row"]),
                    confidence_prob=0.9,
                ),
            ),
            joints=(),
            axis=(),
        )
    )
    assert f'observer = "{proposed.observer}"' in printed
    # a person has written confirmed = true, and nothing else differs
    assert proposed.confirmed is True
    assert f"points.{one['name']} = [{one['col']}, {one['row']}]" in printed
    assert rounds_of(_note(desk)) == 4
    (again,) = _points(desk, one["name"])
    assert (again["state"], again["confirmed"]) == ("placed", True)
