"""Later visits are recorded one by one, refused in words, and taken back; nothing is lost."""

import datetime as dt
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser
from starlette.testclient import TestClient
from tests.web.browsing import chromium, served, visit
from tests.web.desks import demo_desk, visitor

from thumbwright.core.case.growth_checks import GrowthCheck, PlatesSeen
from thumbwright.core.foundations.answer import Unknown
from thumbwright.interchange.case_file import read_case
from thumbwright.storage.documents import replayed
from thumbwright.storage.records import Edit, Part, Table
from thumbwright.web.clash_words import both, in_words, label
from thumbwright.web.desk import Desk
from thumbwright.web.exam_answers import contradictions_on, text_of
from thumbwright.web.growth_visits import (
    empty_values,
    grew_when_examined,
    row_of,
    visit_given,
    visit_page,
    visits_in,
)
from thumbwright.web.steps import steps_of

PAGE = "/cases/girl/growth"
# The girl of the demo was examined in 2026; her left thumb is the new one.
FORM = {
    "measured_on": "2027-11-02",
    "side": "left",
    "thumb_mm": "61,5",
    "thumb_doubt_mm": "0.8",
    "other_thumb_mm": "66",
    "other_thumb_doubt_mm": "",
    "plates": "open",
}
STORED: Table = {
    "measured_on": "2027-11-02",
    "side": "left",
    "thumb_mm": 61.5,
    "thumb_doubt_mm": 0.8,
    "other_thumb_mm": 66.0,
    "plates": "open",
}
TYPED = st.text(st.characters(exclude_categories=["Cs"]), max_size=12) | st.sampled_from(
    ["left", "2027-01-01", "2027-02-30", "80", "1e999", "-0", "nan", "open", "", "not_examined"]
)


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


def facts(desk: Desk, key: str = "girl") -> Any:  # noqa: ANN401  the facts are no one type
    return desk.cases.case(key).parts[Part.FACTS]


def form(desk: Desk, **changed: str) -> dict[str, str]:
    """Return a visit as a page of now would post it."""
    return FORM | {"based_on": str(desk.cases.case("girl").version)} | changed


def step(desk: Desk, key: str = "girl") -> tuple[str, str]:
    case = desk.cases.case(key)
    (found,) = [one for one in steps_of(desk, case, desk.result(case)) if one.key == "growth"]
    return found.state, found.words


def test_a_visit_becomes_a_fact_of_the_case(client: TestClient, desk: Desk) -> None:
    before = desk.cases.case("girl").version
    text = client.post(PAGE, data=form(desk)).text
    assert "The visit is recorded." in text
    assert visits_in(facts(desk)) == [STORED]
    row = text.partition("<tbody>")[2].partition("</tbody>")[0]
    for words in ("2027-11-02", "left", "61.5 ± 0.8 mm", "66 ± 1 mm", "open"):
        assert words in row
    change = desk.cases.history("girl")[-1]
    assert (change.number, change.made_by, change.path) == (before + 1, "Dr A", ("growth_checks",))
    assert change.why == "growth visit of 2027-11-02"
    read = read_case(text_of(facts(desk)), "girl").growth_checks
    assert read == (
        GrowthCheck(
            measured_on=dt.date(2027, 11, 2),
            side=read[0].side,
            thumb_mm=61.5,
            thumb_doubt_mm=0.8,
            other_thumb_mm=66.0,
            plates=PlatesSeen.OPEN,
        ),
    )


def test_visits_stand_by_their_days_however_they_come(client: TestClient, desk: Desk) -> None:
    for day in ("2028-05-01", "2027-05-01", "2029-05-01"):
        assert client.post(PAGE, data=form(desk, measured_on=day)).status_code == 200
    days = [row_of(one).day for one in visits_in(facts(desk))]
    assert days == ["2027-05-01", "2028-05-01", "2029-05-01"]


def test_all_faults_stand_beside_their_fields_and_nothing_typed_is_lost(
    client: TestClient, desk: Desk
) -> None:
    version = desk.cases.case("girl").version
    wrong = {"measured_on": "2.11.2027", "thumb_mm": "long", "thumb_doubt_mm": "21"}
    posted = form(desk, **wrong, plates="ajar")
    del posted["side"]
    answer = client.post(PAGE, data=posted)
    assert answer.status_code == 400
    assert "5 answers could not be taken" in answer.text
    for name in (*wrong, "side", "plates"):
        id_ = "exam-" + name.replace("_", "-")
        assert f'id="{id_}-fault"' in answer.text
        assert f'<a href="#{id_}">' in answer.text
    for typed in ("2.11.2027", "long", "21", "66"):
        assert f'value="{typed}"' in answer.text
    assert "ajar (not allowed)" in answer.text
    assert "above 0 and at most 20 [mm]" in answer.text
    assert "leave it empty" not in answer.text.partition('id="exam-measured-on-fault"')[2][:250]
    assert desk.cases.case("girl").version == version


@pytest.mark.parametrize(
    ("changed", "name", "words"),
    [
        ({"measured_on": "2025-11-02"}, "measured-on", "Day of the examination"),
        ({"side": "right"}, "side", "Injury: Side of the lost thumb"),
        (
            {"thumb_mm": "", "other_thumb_mm": "", "plates": "not_examined"},
            "thumb-mm",
            "no length and no plates",
        ),
    ],
)
def test_what_cannot_stand_beside_the_case_is_refused_beside_its_field(
    client: TestClient, desk: Desk, changed: dict[str, str], name: str, words: str
) -> None:
    answer = client.post(PAGE, data=form(desk, **changed))
    assert answer.status_code == 400
    fault = answer.text.partition(f'id="exam-{name}-fault"')[2].partition("</div>")[0]
    assert words in fault
    assert visits_in(facts(desk)) == []


def test_a_wrong_side_is_told_together_with_a_wrong_length(desk: Desk) -> None:
    answers = {name: [typed] for name, typed in FORM.items()}
    found = visit_given(answers | {"side": ["right"], "thumb_mm": ["900"]}, [], facts(desk))
    assert [fault.path for fault in found.faults] == ["side", "thumb_mm"]


def test_a_second_visit_of_one_day_is_refused_by_its_day(client: TestClient, desk: Desk) -> None:
    client.post(PAGE, data=form(desk))
    answer = client.post(PAGE, data=form(desk, thumb_mm="62"))
    assert answer.status_code == 400
    assert "visit of 2027-11-02, Day of the visit" in answer.text
    assert visits_in(facts(desk)) == [STORED]


def test_a_form_sent_twice_records_once(client: TestClient, desk: Desk) -> None:
    posted = form(desk)
    client.post(PAGE, data=posted)
    version = desk.cases.case("girl").version
    assert client.post(PAGE, data=posted).status_code == 200
    assert desk.cases.case("girl").version == version


def test_a_visit_is_taken_back_by_a_further_change(client: TestClient, desk: Desk) -> None:
    client.post(PAGE, data=form(desk))
    client.post(PAGE, data=form(desk, measured_on="2028-11-02"))
    version = desk.cases.case("girl").version
    answer = client.post(f"{PAGE}/0/take-back", data={"based_on": str(version)})
    assert "The visit is taken back." in answer.text
    assert [row_of(one).day for one in visits_in(facts(desk))] == ["2028-11-02"]
    history = desk.cases.history("girl")
    assert history[-1].number == version + 1
    assert history[-1].why == "growth visit of 2027-11-02 taken back"
    assert replayed(history) == desk.cases.case("girl").parts
    client.post(f"{PAGE}/0/take-back", data={"based_on": str(version + 1)})
    assert "growth_checks" not in facts(desk)
    assert "No visit yet" in client.get(PAGE).text


def test_a_visit_that_is_not_there_cannot_be_taken_back(client: TestClient, desk: Desk) -> None:
    answer = client.post(f"{PAGE}/3/take-back", data={"based_on": "2"})
    assert answer.status_code == 400
    assert "allowed are the visits of the list" in answer.text
    assert desk.cases.case("girl").version == 2


def test_two_people_at_the_list_see_both_and_can_keep_both(client: TestClient, desk: Desk) -> None:
    posted = form(desk)
    later: Table = {**STORED, "measured_on": "2029-01-01"}
    edit = Edit(path=("growth_checks",), value=[later])
    version = desk.cases.case("girl").version
    desk.cases.record("girl", Part.FACTS, [edit], "Dr B", "seen", based_on=version)
    answer = client.post(PAGE, data=posted)
    assert answer.status_code == 409
    assert "Growth visits" in answer.text
    assert "2029-01-01, left: new thumb 61.5 ± 0.8 mm" in answer.text
    action = re.search(r'class="merge" method="post" action="([^"]+)"', answer.text)
    based_on = re.search(r'name="based_on" value="(\d+)"', answer.text)
    assert action
    assert based_on
    chosen = {"based_on": based_on[1], "choice-0": "both"}
    settled = client.post(action[1], data=chosen)
    assert settled.url.path == PAGE
    assert visits_in(facts(desk)) == [STORED, later]


def test_merged_visits_stand_by_their_days_and_other_lists_as_they_were() -> None:
    one: Table = {**STORED}
    two: Table = {**STORED, "measured_on": "2029-01-01"}
    assert both(None, [two], [one]) == [one, two]
    assert both([], ["b"], ["a"]) == ["b", "a"]
    path = ("growth_checks",)
    assert label(Part.FACTS, path) == "Growth visits"
    assert in_words(Part.FACTS, path, [one])[0].startswith("2027-11-02, left")


def test_without_a_name_nothing_is_recorded_and_nothing_typed_is_lost(desk: Desk) -> None:
    with visitor(desk, who="") as nobody:
        answer = nobody.post(PAGE, data=form(desk))
    assert answer.status_code == 400
    assert "Nobody has said who is at the desk" in answer.text
    assert 'value="61,5"' in answer.text
    assert visits_in(facts(desk)) == []


@pytest.mark.parametrize("based_on", ["", "-1", "²", "9" * 40])
def test_a_version_that_no_case_can_have_is_refused(
    client: TestClient, desk: Desk, based_on: str
) -> None:
    assert client.post(PAGE, data=form(desk, based_on=based_on)).status_code == 400
    assert client.post(f"{PAGE}/0/take-back", data={"based_on": based_on}).status_code == 422


def test_a_recorded_visit_that_clashes_later_is_named_on_both_pages(
    client: TestClient, desk: Desk
) -> None:
    client.post(PAGE, data=form(desk))
    edit = Edit(path=("examined_on",), value="2028-01-01")
    desk.cases.record("girl", Part.FACTS, [edit], "Dr B", "slip", based_on=99)
    text = client.get(PAGE).text
    assert "Does not fit together" in text
    assert "visit of 2027-11-02, Day of the visit and Case: Day of the examination" in text
    (warning,) = contradictions_on("general", facts(desk))
    assert "Growth visits and Case: Day of the examination" in warning.given


def test_the_path_says_whether_growth_was_looked_at(client: TestClient, desk: Desk) -> None:
    assert step(desk) == ("missing", "no visit yet")
    client.post(PAGE, data=form(desk))
    assert step(desk) == ("done", "1 visit, the last on 2027-11-02")
    client.post(PAGE, data=form(desk, measured_on="2028-11-02"))
    assert step(desk) == ("done", "2 visits, the last on 2028-11-02")
    assert f'href="{PAGE}" aria-current="page"' in client.get(PAGE).text


def test_a_grown_hand_needs_no_visit(client: TestClient, desk: Desk) -> None:
    assert step(desk, "farmer") == ("needless", "does not grow")
    assert "this hand does not grow" in client.get("/cases/farmer/growth").text


def test_whether_a_hand_grew_needs_birth_and_sex() -> None:
    today = dt.date(2027, 6, 1)
    child: Any = {"patient": {"birth_date": "2019-06-01", "sex": "female"}}
    by_hand_years = 8
    assert by_hand_years == today.year - 2019
    assert grew_when_examined(child, today) is True
    assert grew_when_examined(child | {"examined_on": "2045-01-01"}, today) is False
    read_as_grown: Table = {"patient": child["patient"] | {"bone_age_years": 18.5}}
    assert grew_when_examined(read_as_grown, today) is False
    unread: Table = {"patient": {"birth_date": "soon", "sex": "female"}}
    assert isinstance(grew_when_examined(unread, today), Unknown)
    assert isinstance(grew_when_examined({}, today), Unknown)


def test_an_untouched_form_is_refused_for_day_side_and_silence() -> None:
    given_ = visit_given({name: [*typed] for name, typed in empty_values().items()}, [], {})
    assert [fault.path for fault in given_.faults] == ["measured_on", "side", "thumb_mm"]
    assert given_.values["thumb_doubt_mm"] == ("1",)


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    posted=st.dictionaries(
        st.sampled_from([entry.name for entry in visit_page().entries]),
        st.lists(TYPED, max_size=3),
        max_size=7,
    )
)
def test_strange_answers_never_raise_and_a_sound_visit_can_be_read(
    posted: dict[str, list[str]],
) -> None:
    case: Any = {
        "case_id": "7",
        "examined_on": "2026-01-01",
        "patient": {"pseudonym": "A", "birth_date": "2019-06-01", "sex": "female"},
        "injury": {"side": "left", "mechanism": "sharp"},
    }
    found = visit_given(posted, [{**STORED}, "no table"], case)
    assert all(one.path in found.values for one in found.faults)
    alone = visit_given(posted, [], case)
    if not alone.faults:
        document = case | {"growth_checks": alone.visits}
        assert len(read_case(text_of(document), "case").growth_checks) == 1
    for one in alone.visits:
        assert row_of(one).words


def test_without_scripts_a_visit_is_recorded_by_keyboard(browser: Browser, tmp_path: Path) -> None:
    with (
        demo_desk(tmp_path) as desk,
        served(desk) as address,
        visit(browser, address, scripts=False, refused=True) as page,
    ):
        page.goto(f"{address}/cases/girl")
        page.get_by_role("link", name="Growth visits").click()
        page.get_by_label("Length of the new thumb [mm]", exact=True).focus()
        page.keyboard.type("61,5")
        page.keyboard.press("Enter")
        page.get_by_text("2 answers could not be taken").wait_for()
        assert page.locator("input[name='thumb_mm']").input_value() == "61,5"
        page.locator("input[name='measured_on']").focus()
        page.keyboard.type("2027-11-02")
        page.keyboard.press("Tab")
        page.locator("input[name='side']").first.focus()
        page.keyboard.press("Space")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.get_by_text("The visit is recorded.").wait_for()
        assert row_of(visits_in(facts(desk))[0]).words.startswith("2027-11-02, left")
        page.get_by_role("button", name="Take the visit of 2027-11-02 back").focus()
        page.keyboard.press("Enter")
        page.get_by_text("The visit is taken back.").wait_for()


@pytest.mark.parametrize("size", ["desk", "tablet"])
def test_the_page_with_visits_and_with_faults_passes_the_rules_of_access(
    browser: Browser, tmp_path: Path, size: str
) -> None:
    with (
        demo_desk(tmp_path) as desk,
        served(desk) as address,
        visit(browser, address, size, refused=True) as page,
    ):
        edit = Edit(path=("growth_checks",), value=[{**STORED}])
        desk.cases.record("girl", Part.FACTS, [edit], "Dr B", "seen", based_on=2)
        page.goto(f"{address}{PAGE}")
        assert Axe().run(page).response["violations"] == []
        page.get_by_role("button", name="Record the visit").click()
        page.get_by_text("answers could not be taken").wait_for()
        assert Axe().run(page).response["violations"] == []
        room = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert room <= 0
