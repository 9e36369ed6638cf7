"""From the computed plan to the paper: nothing is lost, nothing is said that was not found."""

import json
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema
import pytest
from pypdf import PdfReader

from thumbwright.bootstrap import knowledge, versions
from thumbwright.core.foundations.answer import Unknown
from thumbwright.documents.compose import age_in_words, compose
from thumbwright.documents.plan_report import write_json, write_pdf
from thumbwright.documents.plan_schema import plan_schema
from thumbwright.pathway.plan_case import Plan

FROM_MEMORY = "from memory, unverified"
PEOPLE = ("joiner", "girl", "farmer", "fitter", "violinist")
Json = Any


@pytest.fixture(scope="module", name="papers")
def fixture_papers() -> ModuleType:
    """Return the maker of the papers, which is found from the root of the project."""
    root = str(Path(__file__).parents[2])
    if root not in sys.path:
        sys.path.insert(0, root)
    from tests.pathway import papers

    return papers


@pytest.fixture(scope="module", name="sheets")
def fixture_sheets(papers: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Json]:
    """Return each plan as the JSON that is written of it."""
    sheets: dict[str, Json] = papers.sheets_of(tmp_path_factory)
    return sheets


@pytest.fixture(scope="module", name="plans")
def fixture_plans(papers: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Plan]:
    """Return the five plans, and some with less than everything."""
    plans: dict[str, Plan] = papers.plans_of(tmp_path_factory)
    return plans


def inside(part: Json) -> Iterator[Json]:
    """Yield every object anywhere in a JSON document."""
    if isinstance(part, dict):
        yield part
    values = part.values() if isinstance(part, dict) else part if isinstance(part, list) else ()
    for value in values:
        yield from inside(value)


@pytest.fixture(scope="module", name="printed")
def fixture_printed(plans: dict[str, Plan]) -> dict[str, str]:
    """Return the words of two papers, spaces made even."""
    words = {}
    for key in ("girl", "other thumb lost"):
        paper, drawings = compose(plans[key], knowledge(), (), versions())
        reader = PdfReader(BytesIO(write_pdf(paper, drawings)))
        text = " ".join(page.extract_text() for page in reader.pages)
        words[key] = re.sub(r"\s+", " ", text)
    return words


def bases(sheet: Json) -> list[Json]:
    return [part for part in inside(sheet) if set(part) == {"provenance", "source", "locator"}]


def unknowns(plan: Plan) -> Iterator[Unknown]:
    """Yield what is unknown in a plan and matters to who reads it."""
    lengths, situation = plan.lengths, plan.situation
    answers: list[object] = [
        *(lengths.missing, lengths.stump, lengths.metacarpal_left, lengths.wanted.length),
        *(plan.level.level, plan.level.probabilities),
        *(situation.growing, situation.days_since_loss),
        *(plan.ranking.plan_a, plan.ranking.fallback),
        *(toe.toe.cut for toe in plan.toes),
        *(reading.scale for reading in plan.readings),
        *(reading.placed for reading in plan.readings),
        *(scheme.group for scheme in plan.schemes),
        *(toe.widths for toe in plan.toes if not isinstance(toe.toe.cut, Unknown)),
    ]
    yield from (answer for answer in answers if isinstance(answer, Unknown))


def test_every_plan_is_a_document_of_the_schema(sheets: dict[str, Json]) -> None:
    validator = jsonschema.Draft202012Validator(plan_schema())
    for key, sheet in sheets.items():
        assert list(validator.iter_errors(sheet)) == [], key


def test_every_unknown_of_a_plan_stands_on_the_paper_with_its_reason(
    plans: dict[str, Plan], sheets: dict[str, Json]
) -> None:
    counted = 0
    for key, plan in plans.items():
        written = json.dumps(sheets[key], ensure_ascii=False)
        for answer in unknowns(plan):
            counted += 1
            assert answer.reason in written, (key, answer)
    assert counted > 40


def test_missing_length_level_and_each_waiting_technique_are_open_questions(
    plans: dict[str, Plan], sheets: dict[str, Json]
) -> None:
    sheet = sheets["nothing confirmed"]
    asked = [row["question"] for row in sheet["open_questions"]]
    assert asked[:2] == ["missing length", "level of loss"]
    waiting = [
        one.technique.short_name
        for one in plans["nothing confirmed"].options
        if one.verdict.value == "unknown"
    ]
    assert waiting
    assert {f"whether {name} is open" for name in waiting} <= set(asked)
    assert all(row["settled_by"] for row in sheet["open_questions"])


def test_each_foot_without_a_film_is_an_open_question(sheets: dict[str, Json]) -> None:
    rows = {row["question"]: row for row in sheets["no foot films"]["open_questions"]}
    row = rows["cut of the LEFT second toe"]
    assert row["settled_by"] == ["a film of the left foot"]
    assert "cut of the RIGHT great toe" in rows


def test_where_everything_was_found_no_question_is_open(sheets: dict[str, Json]) -> None:
    assert sheets["joiner"]["open_questions"] == []
    assert sheets["joiner"]["not_examined"] == []


def test_what_nobody_looked_for_is_an_open_question_of_its_own(sheets: dict[str, Json]) -> None:
    row = sheets["farmer"]["open_questions"][-1]
    assert row["question"] == "findings that nobody has looked for"
    assert "patient: vascular disease" in row["settled_by"]


def test_the_sources_are_those_that_are_cited_and_no_other(sheets: dict[str, Json]) -> None:
    for key, sheet in sheets.items():
        listed = [entry["key"] for entry in sheet["sources"]]
        cited = {basis["source"] for basis in bases(sheet) if basis["source"]}
        assert set(listed) == cited, key
        assert [entry["number"] for entry in sheet["sources"]] == list(range(1, len(listed) + 1))
        assert set(listed) <= set(knowledge().bibliography)


def test_every_length_that_follows_from_memory_says_so_in_print(
    printed: dict[str, str], sheets: dict[str, Json]
) -> None:
    words = sheets["other thumb lost"]["glance"]["missing_length"]["words"]
    places = [found.end() for found in re.finditer(re.escape(words), printed["other thumb lost"])]
    assert len(places) >= 4
    for place in places:
        assert FROM_MEMORY in printed["other thumb lost"][place : place + 120]


def test_a_scheme_from_memory_is_marked_beside_its_name_in_print(
    printed: dict[str, str], sheets: dict[str, Json]
) -> None:
    schemes = sheets["girl"]["levels"]["schemes"]
    text = printed["girl"].split("In published schemes")[1].split("Options")[0]
    begins = [text.index(row["scheme"]) for row in schemes]
    for row, begin, end in zip(schemes, begins, [*begins[1:], len(text)], strict=True):
        recalled = row["basis"]["provenance"] == "recalled"
        assert (FROM_MEMORY in text[begin:end]) == recalled, row["scheme"]


def test_each_film_is_pictured_and_its_description_names_the_side(
    plans: dict[str, Plan], sheets: dict[str, Json]
) -> None:
    for key, plan in plans.items():
        films = sheets[key]["films"]
        assert len(films) == len(plan.readings)
        for film, reading in zip(films, plan.readings, strict=True):
            side = f"{reading.note.side.value.upper()} {reading.note.region.value}"
            assert film["side"] == side
            assert side in film["picture"]["alt"]
            assert side in film["picture"]["caption"]


def test_a_film_with_nothing_marked_is_shown_whole_and_says_why_nothing_is_measured(
    sheets: dict[str, Json],
) -> None:
    for film in sheets["nothing confirmed"]["films"]:
        assert film["picture"]["alt"].endswith("on which no ray is marked.")
        assert any("not confirmed" in remark["text"] for remark in film["remarks"])
    stump = next(film for film in sheets["fitter"]["films"] if film["name"] == "hand_left.dcm")
    assert "no ray is marked" in stump["picture"]["alt"]


def test_plan_a_says_of_each_donor_toe_what_speaks_against_it(sheets: dict[str, Json]) -> None:
    sheet = sheets["joiner"]
    said = [sentence["text"] for sentence in sheet["plan_a"]]
    assert "LEFT great toe as donor: nothing found rules it out." in said
    assert any(text.startswith("RIGHT great toe: An earlier injury") for text in said)
    stops = [sentence["text"] for sentence in sheet["glance"]["stops"]]
    assert any("earlier injury of the right foot" in text for text in stops)


def test_a_toe_too_short_without_its_metatarsal_is_said_to_be_so(sheets: dict[str, Json]) -> None:
    # Plan A leaves the metatarsal in the foot; the whole length asks for a cut within it.
    cut = next(row for row in sheets["girl"]["cuts"] if row["donor"] == "LEFT second toe")
    assert cut["bone"] == "second metatarsal"
    words = (
        f"LEFT second toe: taken at its MTP joint it would leave the thumb {cut['cut']['words']}"
    )
    for section in (sheets["girl"]["plan_a"], sheets["girl"]["glance"]["stops"]):
        assert any(sentence["text"].startswith(words) for sentence in section)
    stops = [sentence["text"] for sentence in sheets["joiner"]["glance"]["stops"]]
    assert not any("short of the other" in text for text in stops)


def test_no_warning_is_given_twice(sheets: dict[str, Json]) -> None:
    for key, sheet in sheets.items():
        for option in sheet["options"]:
            texts = [warning["text"] for warning in option["warnings"]]
            assert len(set(texts)) == len(texts), (key, option["technique"])


def test_warnings_to_plan_a_and_open_questions_stand_in_the_glance(
    sheets: dict[str, Json],
) -> None:
    stops = [sentence["text"] for sentence in sheets["farmer"]["glance"]["stops"]]
    assert any(text.startswith("To plan A: The patient smokes") for text in stops)
    count = len(sheets["farmer"]["open_questions"])
    assert stops[-1].startswith("1 question is open" if count == 1 else f"{count} questions are")


def test_a_doubtful_pattern_is_a_stop_and_a_sound_one_is_none(sheets: dict[str, Json]) -> None:
    lost = [sentence["text"] for sentence in sheets["other thumb lost"]["glance"]["stops"]]
    assert any(text.startswith("There is no other thumb to go by") for text in lost)
    sound = [sentence["text"] for sentence in sheets["girl"]["glance"]["stops"]]
    assert not any("pattern" in text for text in sound)


def test_with_the_level_unknown_plan_a_says_that_nothing_was_graded(
    sheets: dict[str, Json],
) -> None:
    sheet = sheets["nothing confirmed"]
    stops = [sentence["text"] for sentence in sheet["glance"]["stops"]]
    assert any("nothing could be graded" in text for text in stops)
    assert sheet["levels"]["schemes"]["reason"] == "the level is unknown"


def test_a_conflict_of_film_and_examination_is_the_first_stop(plans: dict[str, Plan]) -> None:
    plan = plans["joiner"]
    at_odds = replace(plan, level=replace(plan.level, conflict="The film says one thing."))
    paper, _ = compose(at_odds, knowledge(), (), versions())
    assert paper.glance.stops[0].text == "The film says one thing."
    assert paper.levels.reasons[0].text == "The film says one thing."


def test_the_birth_date_stands_nowhere_and_the_age_does(
    plans: dict[str, Plan], sheets: dict[str, Json]
) -> None:
    for key in PEOPLE:
        born = plans[key].case.patient.birth_date
        assert born.isoformat() not in json.dumps(sheets[key])
    assert sheets["girl"]["age"] == "7 years 6 months"
    assert sheets["joiner"]["age"] == "41 years"


@pytest.mark.parametrize(
    ("born", "today", "by_hand"),
    [
        (date(2026, 11, 3), date(2026, 11, 20), "0 months"),
        (date(2026, 2, 20), date(2026, 11, 20), "9 months"),
        (date(2025, 10, 21), date(2026, 11, 20), "1 year"),
        (date(2025, 10, 20), date(2026, 11, 20), "1 year 1 month"),
        (date(2008, 11, 21), date(2026, 11, 20), "17 years 11 months"),
        (date(2008, 11, 20), date(2026, 11, 20), "18 years"),
        (date(2001, 3, 1), date(2027, 3, 1), "26 years"),
        (date(1968, 2, 29), date(2027, 2, 28), "58 years"),
    ],
)
def test_the_age_is_counted_by_the_calendar(born: date, today: date, by_hand: str) -> None:
    assert age_in_words(born, today) == by_hand


def test_paper_and_json_of_one_plan_are_the_same_each_time(plans: dict[str, Plan]) -> None:
    first, again = (compose(plans["girl"], knowledge(), (), versions()) for _ in range(2))
    assert write_json(first[0]) == write_json(again[0])
    assert write_pdf(*first) == write_pdf(*again)
