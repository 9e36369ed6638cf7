"""The tables of the room are read whole, and any fault in them is named with its line."""

import re
from pathlib import Path

import pytest
from tests.core.evidence.worked_arms import factors, studies, techniques

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import pool_all
from thumbwright.core.evidence.risk_factor import COLUMNS as FACTOR_COLUMNS
from thumbwright.core.evidence.risk_factor import FindingKind, read_risk_factors
from thumbwright.core.evidence.study import FREE_FLAPS, Averaged, Counted, StudyArm, Subset
from thumbwright.core.evidence.study_table import COLUMNS, read_studies
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Source

PAGE = (Path(__file__).parents[3] / "docs" / "how-to-add-a-study.md").read_text("utf-8")
LINE = "one,second_toe,,loss,5,,,,,,54,mixed,trauma,,,,read,lister-1983,abstract,a note"
FACTOR = "one,smokes,replantation,loss,odds_ratio,3.48,1.96,6.17,0.3,read,a-key,abstract,"


def read(line: str) -> tuple[StudyArm, ...]:
    return read_studies("\n".join((",".join(COLUMNS), line)), {"second_toe"})


def changed(**cells: str) -> str:
    found = dict(zip(COLUMNS, LINE.split(","), strict=True)) | cells
    return ",".join(found[column] for column in COLUMNS)


def test_a_line_becomes_an_arm() -> None:
    (arm,) = read(LINE)
    assert arm.result == Counted(events=5, total=54)
    assert arm.speaks_of("second_toe") is Subset.PURE
    assert arm.speaks_of("pollicization") is None
    assert arm.basis.source == "lister-1983"


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"events": "55"}, "55 of 54.*line 2"),
        ({"events": "-1"}, "'-1' under 'events'.*whole number from 0"),
        ({"events": ""}, "do not fit 'loss'.*events and total"),
        ({"total": "0"}, "events from 0 to the total"),
        ({"outcome": "joy"}, "'joy' under 'outcome'.*loss"),
        ({"outcome": "static_two_point"}, "do not fit 'static_two_point'.*a mean"),
        ({"techniques": "third_toe"}, "'third_toe' under 'techniques'"),
        ({"techniques": ""}, "none at all.*line 2"),
        ({"widely": "second_toe"}, "under both"),
        ({"population": "giants"}, "'giants' under 'population'.*child, adult"),
        ({"review": "maybe"}, "'maybe' under 'review'.*yes, or nothing"),
        ({"provenance": "heard"}, "'heard' under 'provenance'.*read"),
        ({"source": ""}, "no source.*key of the bibliography"),
        ({"key": ""}, "nothing under 'key'"),
    ],
)
def test_a_fault_is_named_with_its_line_and_with_what_is_allowed(
    cells: dict[str, str], said: str
) -> None:
    with pytest.raises(KnowledgeError, match=f"(?s){said}"):
        read(changed(**cells))


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"mean": "9", "sd": "0"}, "standard deviation above 0"),
        ({"mean": "9", "low": "10", "high": "12"}, "a range that holds the mean"),
        ({"mean": "9", "low": "3"}, "with both its ends"),
        ({"mean": "nine"}, "'nine' under 'mean'.*a number"),
        ({"mean": "nan"}, "'nan' under 'mean'.*finite"),
    ],
)
def test_an_impossible_mean_is_named(cells: dict[str, str], said: str) -> None:
    measured = {"outcome": "static_two_point", "events": ""} | cells
    with pytest.raises(KnowledgeError, match=said):
        read(changed(**measured))


def test_a_key_that_stands_twice_is_named() -> None:
    with pytest.raises(KnowledgeError, match="'one' twice in line 3"):
        read(f"{LINE}\n{LINE}")


def test_wrong_columns_and_missing_cells_are_named() -> None:
    with pytest.raises(KnowledgeError, match="the columns key, outcome"):
        read_studies("key,outcome\na,b")
    with pytest.raises(KnowledgeError, match="2 cells in line 2; allowed is 20"):
        read("a,b")


def test_a_source_that_is_not_in_the_bibliography_is_named() -> None:
    text = "\n".join((",".join(COLUMNS), LINE))
    with pytest.raises(KnowledgeError, match="the source 'lister-1983' in line 2"):
        read_studies(text, {"second_toe"}, {"other": Source(key="other", citation="x")})


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (",3.48,1.96,6.17,", ",3.48,,,", "do not fit 'odds_ratio'"),
        (",3.48,1.96,6.17,", ",3.48,4,6.17,", "out of order"),
        (",3.48,1.96,6.17,", ",-3.48,-4,6.17,", "out of order"),
        (",0.3,", ",1.3,", "1.3 under 'people_share'"),
        (",0.3,", ",,", "no 'people_share'"),
        ("odds_ratio", "no_effect", "do not fit 'no_effect'"),
        ("smokes", "dreams", "'dreams' under 'fact'"),
    ],
)
def test_a_fault_of_a_risk_factor_is_named(old: str, new: str, said: str) -> None:
    assert read_risk_factors("\n".join((",".join(FACTOR_COLUMNS), FACTOR)))
    text = "\n".join((",".join(FACTOR_COLUMNS), FACTOR.replace(old, new)))
    with pytest.raises(KnowledgeError, match=said):
        read_risk_factors(text)


PUBLISHED_COUNTS = [
    # transcribed from the abstracts, apart from the table
    ("lister-1983-loss", 5, 54),
    ("gu-1997-loss", 14, 400),
    ("yim-2004-reexploration-2", 17, 144),
    ("del-pinal-2011-loss", 3, 250),
    ("jones-clune-2019-loss", 0, 14),
    ("child-toes-306-circulation-trouble", 19, 306),
    ("thumbs-26-and-32-no-pinch", 6, 26),
    ("thumb-replants-73-loss", 20, 73),
    ("child-replants-2021-reexploration", 209, 1140),
    ("lengthening-246-malalignment", 29, 246),
    ("matev-2003-non-union", 23, 70),
    ("chen-2007-rescued-whole", 72, 113),
    ("wang-1997-vessel-variant", 104, 541),
    ("uk-replants-2021-loss", 22, 68),
]


@pytest.mark.parametrize(("key", "published_events", "published_total"), PUBLISHED_COUNTS)
def test_a_packaged_count_is_the_printed_one(
    key: str, published_events: int, published_total: int
) -> None:
    (found,) = [one for one in studies() if one.key == key]
    assert found.result == Counted(events=published_events, total=published_total)


def test_every_outcome_of_the_list_is_reported_by_some_arm() -> None:
    assert {one.outcome for one in studies()} == set(Outcome)


def test_no_arm_of_the_table_is_from_memory() -> None:
    assert [one.key for one in studies() if one.is_recalled] == []


def test_a_percentage_turned_into_a_count_is_called_derived() -> None:
    said = [one for one in studies() if one.note.startswith("from ")]
    assert len(said) > 10
    assert {one.basis.provenance.value for one in said} == {"derived"}


def test_mixed_toes_never_speak_purely_of_one_toe() -> None:
    (lister,) = [one for one in studies() if one.key == "lister-1983-loss"]
    assert {lister.speaks_of(key) for key in ("second_toe", "great_toe")} == {Subset.MIXED}


def test_free_flaps_of_the_body_are_never_added_to_a_technique() -> None:
    general = [one for one in studies() if FREE_FLAPS in one.techniques]
    assert len(general) > 15
    assert {one.techniques + one.widely for one in general} == {(FREE_FLAPS,)}


def test_everything_counted_can_be_pooled_for_every_technique() -> None:
    found = pool_all(studies(), [*techniques(), FREE_FLAPS])
    assert len(found) > 150
    assert len({one.technique for one in found}) > 15


def test_each_unit_of_a_measured_arm_is_that_of_its_outcome() -> None:
    measured = [one for one in studies() if isinstance(one.result, Averaged)]
    assert len(measured) > 60
    assert all(
        isinstance(one.result, Averaged) and one.result.unit == one.outcome.unit for one in measured
    )


def test_both_sides_of_the_quarrel_over_smoking_stand_in_the_table() -> None:
    kinds = {one.finding for one in factors() if one.fact.value == "smokes"}
    assert {FindingKind.ODDS_RATIO, FindingKind.NO_EFFECT} <= kinds


def test_the_lines_of_the_page_on_adding_can_be_added() -> None:
    study, factor = re.findall(r"```csv\n(.*?)```", PAGE, flags=re.DOTALL)
    (arm,) = read_studies("\n".join((",".join(COLUMNS), study)), techniques())
    (effect,) = read_risk_factors("\n".join((",".join(FACTOR_COLUMNS), factor)))
    assert arm.key not in {one.key for one in studies()}
    assert effect.key not in {one.key for one in factors()}
    assert all(f"`{column}`" in PAGE for column in (*COLUMNS, *FACTOR_COLUMNS))
