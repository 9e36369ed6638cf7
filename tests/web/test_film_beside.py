"""Hand film and foot film beside each other: one length, on both, in lines and in words."""

from collections.abc import Iterator
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.web.desks import case_file, demo_desk, visitor
from tests.web.film_bench import plain_film

from thumbwright.core.radiograph.landmarks import FilmNote
from thumbwright.web.desk import Desk
from thumbwright.web.film_points import film_points
from thumbwright.web.stored_documents import notes_of

PAGE = "/cases/girl/beside"
PICK = {"hand": "hand_right.dcm", "foot": "foot_left.dcm", "toe": "second toe"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as made:
        yield made


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk) as made:
        yield made


def _note(desk: Desk, file: str) -> FilmNote:
    (note,) = (one for one in notes_of(desk.cases.case("girl")).films if one.file == file)
    return note


def _points(desk: Desk, file: str) -> list[Any]:
    shown: list[Any] = film_points(_note(desk, file))
    return [point for point in shown if point["col"] is not None]


def _beside(client: TestClient, films: dict[str, Any], **asked: str) -> dict[str, Any]:
    answer = client.post(f"{PAGE}/live", json={**PICK, **asked, "films": films})
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def _carried(found: dict[str, Any]) -> dict[str, str]:
    return {row["name"]: row["text"] for row in found["carried"]}


def _drawn_mm(answer: dict[str, Any]) -> float:
    """Return how long a bar is as drawn, by the film's own millimetres."""
    way = answer["bar"]["points"]
    return float(
        sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(way))
        * answer["scale"]["mm_per_px"]
    )


def _missing_mm(found: dict[str, Any]) -> float:
    return float(_carried(found)["missing length"].split(" mm")[0])


def test_the_films_that_give_wanted_length_and_cut_are_shown_first(client: TestClient) -> None:
    text = client.get(PAGE).text
    assert '<option value="hand_right.dcm" selected>right hand' in text
    assert '<option value="foot_left.dcm" selected>left foot' in text
    assert "in the same millimetres" in text
    other = client.get(f"{PAGE}?foot=foot_right.dcm&toe=great+toe").text
    assert '<option value="foot_right.dcm" selected>right foot' in other
    assert "<option selected>great toe" in other


def test_the_bar_is_the_missing_length_on_both_films_and_ends_at_the_cut(
    client: TestClient,
) -> None:
    found = _beside(client, {})
    hand, foot = (found["films"][PICK[name]] for name in ("hand", "foot"))
    # bones are a little longer than they are seen: by the mean loss of a tilt of up to 6 degrees
    by_hand = _missing_mm(found) / (1 + 0.10472**2 / 6)
    assert _drawn_mm(hand) == pytest.approx(by_hand, rel=0.01)
    assert _drawn_mm(foot) == pytest.approx(by_hand, rel=0.01)
    assert foot["bar"]["points"][-1] == pytest.approx(foot["cut"]["at"], abs=1e-6)
    assert foot["bar"]["text"] == hand["bar"]["text"]


def test_the_bar_goes_on_from_the_stump_on_the_injured_hand(client: TestClient, desk: Desk) -> None:
    file = "hand_left.dcm"
    found = _beside(client, {file: {"points": _points(desk, file)}}, hand=file)
    hand = found["films"][file]
    (end,) = (one for one in _points(desk, file) if one["name"] == "stump_bone_end")
    assert hand["bar"]["points"][-1] == pytest.approx([end["col"], end["row"]], abs=1e-6)
    assert _drawn_mm(hand) == pytest.approx(_missing_mm(found), abs=0.06)


def test_the_band_is_as_broad_as_the_doubt_of_the_cut(client: TestClient) -> None:
    found = _beside(client, {})
    foot = found["films"][PICK["foot"]]
    (a, b), scale = (foot["band"]["from"], foot["band"]["to"]), foot["scale"]["mm_per_px"]
    broad_mm = hypot(b[0] - a[0], b[1] - a[1]) * scale
    low, high = _carried(found)["cut, left second toe"].split("(")[1].split(")")[0].split(" to ")
    assert broad_mm == pytest.approx(float(high) - float(low), abs=0.11)
    middle = [(x + y) / 2 for x, y in zip(a, b, strict=True)]
    assert middle == pytest.approx(foot["cut"]["at"], abs=1e-6)


@pytest.mark.parametrize(
    ("file", "name", "step", "towards_body"),
    [
        ("hand_right.dcm", "distal_phalanx_tip", 20.0, True),
        ("foot_left.dcm", "second_distal_tip", 20.0, True),
    ],
)
def test_a_point_moved_on_either_film_moves_the_cut(
    client: TestClient,
    desk: Desk,
    file: str,
    name: str,
    step: float,
    towards_body: bool,
) -> None:
    points = _points(desk, file)
    before = _beside(client, {file: {"points": points}})
    (point,) = (one for one in points if one["name"] == name)
    moved = [one | {"row": one["row"] + step} if one is point else one for one in points]
    after = _beside(client, {file: {"points": moved}})
    rows = [one["films"]["foot_left.dcm"]["cut"]["at"][1] for one in (before, after)]
    if file.startswith("hand"):
        # a thumb marked shorter lacks less, so the cut comes nearer to the tip, upwards
        assert _missing_mm(after) < _missing_mm(before)
        assert rows[1] < rows[0] - 5
    else:
        # a toe marked shorter at its tip must be cut so much nearer to the body, downwards
        assert _missing_mm(after) == _missing_mm(before)
        assert (rows[1] > rows[0] + 5) is towards_body


def test_the_scale_of_each_film_is_said_in_words(client: TestClient) -> None:
    carried = _carried(_beside(client, {}))
    assert "mm" in carried["scale, right hand"]
    assert carried["scale, left foot"].endswith("a pixel, by the ball")


def test_a_film_without_millimetres_is_said_so_with_what_settles_it(client: TestClient) -> None:
    plain_film(client)
    text = client.get(f"{PAGE}?foot=plain.png").text
    assert "are <strong>not</strong> shown in the same millimetres" in text
    assert "settled by" in text
    found = _beside(client, {}, foot="plain.png")
    assert found["films"]["plain.png"]["bar"] is None
    carried = _carried(found)
    for row in ("cut", "scale, left foot"):
        assert carried[row].startswith("unknown: ")
        assert "Settled by a ball or ruler of known size" in carried[row]


def test_a_length_that_is_unknown_is_said_so_with_what_settles_it(
    client: TestClient, desk: Desk
) -> None:
    file = "hand_right.dcm"
    points = [one for one in _points(desk, file) if one["name"] != "distal_phalanx_tip"]
    found = _beside(client, {file: {"points": points}})
    carried = _carried(found)
    assert carried["wanted length"].startswith("unknown: the distal phalanx tip")
    assert "Settled by" in carried["missing length"]
    assert [one["bar"] for one in found["films"].values()] == [None, None]


def test_a_case_without_films_says_what_is_needed(client: TestClient) -> None:
    made = client.post("/cases/from-file", files={"file": ("case.json", case_file())})
    key = made.url.path.split("/")[2]
    page = client.get(f"/cases/{key}/beside")
    assert page.status_code == 200
    assert "Settled by a film of a hand" in page.text
    answer = client.post(f"/cases/{key}/beside/live", json={})
    assert answer.status_code == 400
    assert "no film of a hand" in answer.json()["message"]


@pytest.mark.parametrize(
    "sent", [{"films": 3}, {"films": {"foot_left.dcm": {"points": ["x"]}}}, {"hand": 7, "toe": []}]
)
def test_strange_things_sent_are_refused_or_passed_over(
    client: TestClient, sent: dict[str, Any]
) -> None:
    assert client.post(f"{PAGE}/live", json=PICK | sent).status_code in {200, 400}
