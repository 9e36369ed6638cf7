"""Two people at one fact: both values side by side, a choice for each, and nothing lost."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from starlette.testclient import TestClient
from tests.web.browsing import SIZES, chromium, served, visit
from tests.web.desks import demo_desk, visitor
from tests.web.test_in_the_browser import SHOTS

from thumbwright.storage.documents import replayed
from thumbwright.storage.records import Edit, Part, Value
from thumbwright.web.clash_words import both, in_words, label
from thumbwright.web.desk import Desk

POINT, SPAN = "kept.two_point_mm", "kept.first_web_span_mm"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with demo_desk(tmp_path) as desk:
        yield desk


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    with visitor(desk, who="Nurse B") as client:
        yield client


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


def now(desk: Desk, name: str) -> Value:
    value: Value = desk.cases.case("girl").parts[Part.FACTS]
    for step in name.split("."):
        assert isinstance(value, dict)
        value = value.get(step)
    return value


def meet(client: TestClient, desk: Desk) -> tuple[str, dict[str, str]]:
    """Record one fact as Dr A, then that and another as Nurse B, who saw the old one."""
    version = desk.cases.case("girl").version
    edit = Edit(path=("kept", "two_point_mm"), value=5.0)
    desk.cases.record("girl", Part.FACTS, [edit], "Dr A", "felt", based_on=version)
    form = {POINT: "6", SPAN: "41", "based_on": str(version), "why": "felt too"}
    answer = client.post("/cases/girl/hand", data=form)
    assert answer.status_code == 409
    return answer.text, fields(answer.text)


def fields(text: str) -> dict[str, str]:
    action = re.search(r'class="merge" method="post" action="([^"]+)"', text)
    based_on = re.search(r'name="based_on" value="(\d+)"', text)
    choice = re.search(r'name="(choice-\d+)"', text)
    assert action
    assert based_on
    assert choice
    return {"action": action[1], "based_on": based_on[1], "choice": choice[1]}


def test_both_values_stand_side_by_side_in_words(client: TestClient, desk: Desk) -> None:
    text, _ = meet(client, desk)
    assert "Somebody else changed the same" in text
    assert "Keep theirs</b> (Dr A" in text
    assert "Use mine</b> (Nurse B)" in text
    assert '<span class="line">5</span>' in text
    assert '<span class="line">6</span>' in text
    assert label(Part.FACTS, ("kept", "first_web_span_mm")) in text
    assert (now(desk, POINT), now(desk, SPAN) == 41) == (5.0, False)


@pytest.mark.parametrize(("choice", "kept"), [("theirs", 5.0), ("mine", 6)])
def test_the_chosen_value_stands_and_the_history_keeps_both(
    client: TestClient, desk: Desk, choice: str, kept: float
) -> None:
    _, found = meet(client, desk)
    form = {"based_on": found["based_on"], found["choice"]: choice}
    answer = client.post(found["action"], data=form)
    assert "Settled. The history keeps both." in answer.text
    assert (now(desk, POINT), now(desk, SPAN)) == (kept, 41)
    history = desk.cases.history("girl")
    values = [change.after for change in history if change.path == ("kept", "two_point_mm")]
    assert values == ([5.0] if choice == "theirs" else [5.0, 6])
    assert "felt too (chosen beside what Dr A recorded)" in {change.why for change in history}
    assert replayed(history) == desk.cases.case("girl").parts
    assert desk.drafts.of_case("girl", "Nurse B", "") == ()


def test_without_a_choice_nothing_is_recorded_and_all_is_kept(
    client: TestClient, desk: Desk
) -> None:
    _, found = meet(client, desk)
    version = desk.cases.case("girl").version
    answer = client.post(found["action"], data={"based_on": found["based_on"]})
    assert answer.status_code == 400
    assert "nothing was chosen for" in answer.text
    assert desk.cases.case("girl").version == version
    assert found["action"] in client.get("/cases/girl/history").text
    assert "Use mine" in client.get(found["action"]).text


def test_a_third_change_is_shown_before_anything_is_recorded(
    client: TestClient, desk: Desk
) -> None:
    _, found = meet(client, desk)
    edit = Edit(path=("kept", "two_point_mm"), value=9.0)
    desk.cases.record("girl", Part.FACTS, [edit], "Dr C", "again", based_on=99)
    form = {"based_on": found["based_on"], found["choice"]: "mine"}
    answer = client.post(found["action"], data=form)
    assert answer.status_code == 409
    assert "changed once more" in answer.text
    assert "Dr C" in answer.text
    assert now(desk, POINT) == 9.0
    client.post(found["action"], data=form | {"based_on": fields(answer.text)["based_on"]})
    assert now(desk, POINT) == 6


def test_nobody_else_sees_or_settles_it(client: TestClient, desk: Desk) -> None:
    _, found = meet(client, desk)
    with visitor(desk, who="Dr A") as other:
        assert other.get(found["action"]).status_code == 400
        assert found["action"] not in other.get("/cases/girl/history").text


def test_marks_of_both_people_can_be_kept(client: TestClient, desk: Desk) -> None:
    version = desk.cases.case("girl").version
    for who, region in (("Dr A", "first_web"), ("Nurse B", "thumb_distal")):
        form = {"region": f"left_hand_palm.{region}", "kind": "scar", "based_on": str(version)}
        with visitor(desk, who) as person:
            answer = person.post("/cases/girl/drawing", data=form)
    assert answer.status_code == 409
    assert "Keep both" in answer.text
    assert "Left hand, palm side: first web: scar" in answer.text
    found = fields(answer.text)
    form = {"based_on": found["based_on"], found["choice"]: "both"}
    text = client.post(found["action"], data=form).text
    assert "Settled" in text
    marks = desk.cases.case("girl").parts[Part.DRAWING]["marks"]
    assert isinstance(marks, list)
    assert len(marks) == 2


def test_a_mark_that_another_took_away_is_not_taken_for_its_neighbour(
    client: TestClient, desk: Desk
) -> None:
    marks: list[Value] = [
        {"kind": "scar", "region": f"left_hand_palm.{region}"}
        for region in ("first_web", "thumb_distal")
    ]
    edit = Edit(path=("marks",), value=marks)
    desk.cases.record("girl", Part.DRAWING, [edit], "Dr A", "", based_on=99)
    form = {"based_on": str(desk.cases.case("girl").version)}
    with visitor(desk, "Dr A") as other:
        assert other.post("/cases/girl/drawing/0/take-away", data=form).status_code == 200
    answer = client.post("/cases/girl/drawing/1/take-away", data=form)
    assert answer.status_code == 409
    assert "allowed are the marks" not in answer.text
    mine = answer.text.split("Use mine")[1]
    assert "first web: scar" in mine
    assert "thumb, distal" not in mine


@pytest.mark.parametrize(
    ("base", "theirs", "mine", "by_hand"),
    [
        (["a"], ["a", "b"], ["a", "c"], ["a", "b", "c"]),
        (["a", "b"], ["b"], ["a", "b", "c"], ["b", "c"]),
        (["a"], ["a"], ["a", "b"], None),
        (None, ["a"], ["b"], ["a", "b"]),
        ([{"file": "x"}], [{"file": "x", "ball": 1}], [{"file": "x", "view": 2}], None),
        ("a", ["b"], ["c"], None),
    ],
)
def test_two_lists_become_one_only_where_that_is_clear(
    base: Value, theirs: Value, mine: Value, by_hand: Value
) -> None:
    assert both(base, theirs, mine) == by_hand


@pytest.mark.parametrize(
    ("part", "path", "value", "words"),
    [
        (Part.FACTS, ("patient", "smoking"), None, ("nothing",)),
        (Part.FACTS, ("injury", "mechanism"), "avulsion", ("Avulsion (torn off)",)),
        (Part.FACTS, ("kept", "cmc", "present"), True, ("yes",)),
        (Part.DECISION, ("plan",), {"plan_a": "x"}, ("plan a: x",)),
        (Part.DRAWING, ("marks",), ["no mark"], ("no mark",)),
        (
            Part.FILMS,
            ("films",),
            [{"file": "a", "side": "left", "region": "hand", "view": "lateral", "ball": {"d": 1}}],
            ("a: left hand lateral, with ball, 0 rounds of points",),
        ),
    ],
)
def test_a_value_is_told_in_words(
    part: Part, path: tuple[str, ...], value: Value, words: tuple[str, ...]
) -> None:
    assert in_words(part, path, value) == words


@pytest.mark.parametrize(("size", "scripts"), [("desk", True), ("tablet", False)])
def test_it_is_settled_with_the_keyboard_also_without_scripts(
    browser: Browser, desk: Desk, size: str, *, scripts: bool
) -> None:
    with served(desk) as address:
        options = {"who": "Nurse B", "refused": True, "scripts": scripts}
        with visit(browser, address, size, **options) as page:  # type: ignore[arg-type]
            page.goto(f"{address}/cases/girl/hand")
            page.locator(f"input[name='{POINT}']").fill("6")
            page.locator(f"input[name='{SPAN}']").fill("41")
            edit = Edit(path=("kept", "two_point_mm"), value=5.0)
            desk.cases.record("girl", Part.FACTS, [edit], "Dr A", "felt", based_on=99)
            page.locator(f"input[name='{SPAN}']").press("Enter")
            page.get_by_role("heading", name="Somebody else changed the same").wait_for()
            SHOTS.mkdir(parents=True, exist_ok=True)
            page.screenshot(path=SHOTS / f"{size}_conflict.png", full_page=True)
            if scripts:
                assert Axe().run(page).response["violations"] == []
            page.get_by_role("radio", name="Keep theirs").focus()
            page.keyboard.press("ArrowDown")
            page.keyboard.press("Enter")
            page.get_by_text("Settled. The history keeps both.").wait_for()
    assert (now(desk, POINT), now(desk, SPAN)) == (6, 41)
    assert set(SIZES) >= {size}
