"""A case document is read whole, or refused with every fault in plain words."""

import json
import tomllib
from dataclasses import fields
from datetime import date
from importlib.resources import files
from typing import Any

import pytest

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import NOT_EXAMINED, Finding, Side
from thumbwright.core.case.goals import Goal
from thumbwright.core.case.hand import Nail
from thumbwright.core.case.patient import Sex
from thumbwright.core.foundations.errors import CaseFileError, Fault, FilmsFileError
from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.interchange.case_file import CASE, VERSION_KEY, read_case, write_case
from thumbwright.interchange.schemas import document_model
from thumbwright.interchange.validation import DocumentKind, parse_document

CASES = files("thumbwright") / "demo" / "cases"
DEMOS = ("farmer", "fitter", "girl", "joiner", "violinist")
SHORT = """\
thumbwright_case = 1
case_id = "7"
examined_on = 2026-11-02

[patient]
pseudonym = "A"
birth_date = 1985-03-09
sex = "male"

[injury]
side = "right"
mechanism = "sharp"
"""


def faults_of(document: str | bytes) -> dict[str, Fault]:
    with pytest.raises(CaseFileError) as refused:
        read_case(document, "case.toml")
    by_path = {fault.path: fault for fault in refused.value.faults}
    assert len(by_path) == len(refused.value.faults)
    return by_path


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_case_is_read_and_has_no_contradictions(name: str) -> None:
    case = read_case((CASES / f"{name}.toml").read_bytes(), name)
    assert case.case_id == f"demo-{name}"
    assert case.examined_on.year == 2026
    assert case.wishes.goals


@pytest.mark.parametrize("name", DEMOS)
def test_a_written_case_reads_back_as_the_same_case(name: str) -> None:
    case = read_case((CASES / f"{name}.toml").read_bytes(), name)
    assert read_case(write_case(case), "again") == case


def test_the_short_document_leaves_everything_else_not_examined() -> None:
    case = read_case(SHORT, "case.toml")
    assert case.patient.birth_date == date(1985, 3, 9)
    assert case.patient.sex is Sex.MALE
    assert case.injury.side is Side.RIGHT
    assert case.injury.happened_on is NOT_EXAMINED
    assert case.kept.nail is Nail.NOT_EXAMINED
    assert case.feet.left.earlier_injury is Finding.NOT_EXAMINED


def test_json_says_the_same_as_toml() -> None:
    table = tomllib.loads(SHORT)
    assert read_case(json.dumps(table, default=str), "case.json") == read_case(SHORT, "case.toml")


def test_bytes_with_a_byte_order_mark_and_windows_line_ends_are_read() -> None:
    data = b"\xef\xbb\xbf" + SHORT.replace("\n", "\r\n").encode()
    assert read_case(data, "case.toml") == read_case(SHORT, "case.toml")


def test_the_document_has_the_fields_of_the_case_and_the_version_key() -> None:
    assert list(CASE.model.model_fields) == [VERSION_KEY, *(f.name for f in fields(Case))]


def test_goals_keep_the_order_of_the_patient() -> None:
    case = read_case(SHORT + '[wishes]\ngoals = ["looks", "length"]\n', "case.toml")
    assert case.wishes.goals == (Goal.LOOKS, Goal.LENGTH)


SINGLE_FAULTS: dict[str, tuple[str, str, str]] = {
    "kept.mcp.range_to_deg": (
        "[kept.mcp]\nrange_to_deg = 300\n",
        "300",
        "a number from -90 to 180 [deg], or not_examined",
    ),
    "kept.nail": (
        '[kept]\nnail = "kpt"\n',
        '"kpt"',
        "kept, partly_kept, lost or not_examined; did you mean kept?",
    ),
    "kept.ip.presnt": (
        '[kept.ip]\npresnt = "yes"\n',
        "an unknown key",
        "the keys present, mobile, stable, range_from_deg, range_to_deg; did you mean present?",
    ),
    "kept.ip.present": (
        "[kept.ip]\npresent = true\n",
        "true",
        'yes, no or not_examined; write "yes" in quotes',
    ),
    "kept.two_point_mm": (
        '[kept]\ntwo_point_mm = "7"\n',
        '"7"',
        "a number from 1 to 40 [mm], or not_examined; write the number without quotes",
    ),
    "kept.cmc": (
        "[kept]\ncmc = 1\n",
        "1",
        "a table with the keys present, mobile, stable, range_from_deg, range_to_deg",
    ),
    "kept.pulp_lost_share": (
        "[kept]\npulp_lost_share = nan\n",
        "nan",
        "a number from 0 to 1 [share], or not_examined",
    ),
    "wishes.goals[1]": (
        '[wishes]\ngoals = ["looks", "lenght"]\n',
        '"lenght"',
        "spare_donor_site; did you mean length?",
    ),
    "wishes.goals": ('[wishes]\ngoals = "looks"\n', '"looks"', "a list, each entry length"),
    "feet.footwear": (
        f'[feet]\nfootwear = "{"x" * 300}"\n',
        '"xxx',
        "text of at most 200 characters",
    ),
}


@pytest.mark.parametrize("path", SINGLE_FAULTS)
def test_one_fault_is_named_once_with_what_was_given_and_what_is_allowed(path: str) -> None:
    lines, given, allowed = SINGLE_FAULTS[path]
    fault = faults_of(SHORT + lines)[path]
    assert fault.given.startswith(given)
    assert allowed in str(fault)
    assert len(fault.given) <= 60


REPLACED_FAULTS: dict[str, tuple[str, str, str, str]] = {
    "patient.birth_date": (
        "1985-03-09",
        '"9.3.1985"',
        '"9.3.1985"',
        "a date such as 2026-11-25",
    ),
    "patient.sex": ('sex = "male"\n', "", "nothing", "female or male; add this key"),
    "patient": (
        '[patient]\npseudonym = "A"\nbirth_date = 1985-03-09\nsex = "male"\n',
        "",
        "nothing",
        "a table with the keys pseudonym",
    ),
    "injury.mechanism": (
        '"sharp"',
        '"Shap"',
        '"Shap"',
        "did you mean sharp?",
    ),
    "case_id": ('"7"', "7", "7", "text of 1 to 40 characters"),
    "examined_on": ("2026-11-02", "2026-11-02T08:00:00", '"2026-11-02T08:00:00"', "a date such as"),
}


@pytest.mark.parametrize("path", REPLACED_FAULTS)
def test_a_required_entry_that_is_missing_or_wrong_is_the_only_fault(path: str) -> None:
    before, after, given, allowed = REPLACED_FAULTS[path]
    found = faults_of(SHORT.replace(before, after))
    assert list(found) == [path]
    assert found[path].given == given
    assert allowed in str(found[path])


@pytest.mark.parametrize("digits", ["0", "1700000000", "-1", "1e9"])
def test_digits_in_quotes_are_no_date(digits: str) -> None:
    assert list(faults_of(SHORT.replace("1985-03-09", f'"{digits}"'))) == ["patient.birth_date"]


def test_all_faults_stand_together_in_the_order_of_the_document() -> None:
    document = SHORT.replace('"male"', '"man"').replace('"right"', '"rigth"') + "[kept]\nnial = 1\n"
    assert list(faults_of(document)) == ["patient.sex", "injury.side", "kept.nial"]


def test_faults_and_contradictions_are_reported_at_once() -> None:
    document = SHORT.replace('"sharp"', '"sharpp"') + (
        '[kept]\nnail = "kept"\n[kept.ip]\npresent = "no"\nmobile = "yes"\n'
        '[wishes]\ngoals = ["looks", "looks"]\n'
    )
    found = list(faults_of(document))
    # Whether a nail can stand there depends on the mechanism, which is at fault.
    assert found == ["injury.mechanism", "wishes.goals", "kept.ip.present and kept.ip.mobile"]


def test_contradictions_alone_refuse_the_document() -> None:
    document = SHORT.replace("2026-11-02", "1980-11-02")
    assert list(faults_of(document)) == ["patient.birth_date and examined_on"]


@pytest.mark.parametrize(
    ("line", "given"),
    [
        ("", "nothing"),
        ("thumbwright_case = 2", "thumbwright_case = 2"),
        ("thumbwright_case = true", "thumbwright_case = true"),
        ("thumbwright_case = 1.0", "thumbwright_case = 1.0"),
        ('thumbwright_case = "1"', 'thumbwright_case = "1"'),
        ("thumbwright_films = 1", 'a document of another kind, "thumbwright_films"'),
    ],
)
def test_a_document_without_the_right_version_is_refused(line: str, given: str) -> None:
    found = faults_of(SHORT.replace("thumbwright_case = 1", line))
    assert list(found) == [VERSION_KEY]
    assert found[VERSION_KEY].given == given
    assert found[VERSION_KEY].allowed == "thumbwright_case = 1"


UNREADABLE: dict[str, tuple[str | bytes, str]] = {
    "TOML with an open quote": ('a = "b\n', "at line 1, column 7"),
    "TOML with a key twice": ("a = 1\na = 2\n", "at line 2"),
    "JSON cut short": ('{"a": 1', "line 1, column 8"),
    "JSON with a key twice": ('{"a": 1, "a": 2}', "the key more than once"),
    "a picture": (b"\x89PNG\r\n\x1a\n", "the byte 0x89 at position 1"),
    "text of another encoding": ("# \u00fc".encode("latin-1"), "which is not UTF-8 text"),
    "a document without end": ("a" * 1_000_001, "1,000,001 bytes"),
    "lists in lists": ("a = " + "[" * 100_000, "in each other without end"),
    "tables in tables": ('{"a":' * 100_000, "in each other without end"),
    "a key of many parts": ("a." * 100_000 + "a = 1", "joined by dots"),
    "a number without end": ("a = " + "9" * 5000, "thousands of digits"),
}


@pytest.mark.parametrize("what", UNREADABLE)
def test_a_document_that_cannot_be_read_says_where_and_why(what: str) -> None:
    document, given = UNREADABLE[what]
    (fault,) = faults_of(document).values()
    assert given in str(fault)
    assert fault.advice


def test_the_message_counts_the_faults_and_names_the_document() -> None:
    with pytest.raises(CaseFileError, match=r"case\.toml has 1 fault; nothing was taken from it"):
        read_case(SHORT.replace('"7"', '""'), "case.toml")


def test_faults_beyond_counting_are_cut_off_with_a_word() -> None:
    lines = "".join(f"key_{number} = 1\n" for number in range(5000))
    found = faults_of(lines + SHORT)
    assert len(found) == 201
    assert list(found.values())[-1].given == "more than 200 faults"


def test_control_characters_are_refused_where_they_stand() -> None:
    found = faults_of(SHORT.replace('"A"', '"A\\u0007"'))
    assert found["patient.pseudonym"].advice == "remove the control characters"


def test_half_a_character_in_json_is_refused_where_it_stands() -> None:
    table: dict[str, Any] = tomllib.loads(SHORT)
    table["patient"]["pseudonym"] = "\ud800"
    assert list(faults_of(json.dumps(table, default=str))) == ["patient.pseudonym"]


def test_a_pair_of_which_one_number_is_none_is_one_fault() -> None:
    films = DocumentKind(
        version_key="thumbwright_films",
        version=1,
        model=document_model("FilmsDocument", "thumbwright_films", FilmNotes),
        error=FilmsFileError,
    )
    document = """
        thumbwright_films = 1
        [[films]]
        file = "a.dcm"
        region = "hand"
        side = "left"
        view = "posteroanterior"
        [[films.placements]]
        observer = "KT"
        points = { skin_tip = [1, nan], skin_top = [1, 2], metacarpal_base = [1] }
    """
    with pytest.raises(FilmsFileError) as refused:
        parse_document(document, films, name="films.toml")
    points = "films[0].placements[0].points"
    assert [(fault.path, fault.given) for fault in refused.value.faults] == [
        (f"{points}.skin_tip", "nan"),
        (f"{points}.skin_top", "an unknown key"),
        (f"{points}.metacarpal_base", "[1]"),
    ]


def test_the_reader_of_documents_gives_the_model_itself() -> None:
    document = parse_document(SHORT, CASE, name="case.toml")
    assert document.model_dump()["case_id"] == "7"


VISITS = """
[[growth_checks]]
measured_on = 2027-11-02
side = "right"
thumb_mm = 61.5

[[growth_checks]]
measured_on = 2028-11-02
side = "right"
plates = "open"
"""


def test_later_visits_are_read_in_their_order_and_written_back() -> None:
    case = read_case(SHORT + VISITS, "case.toml")
    assert [check.measured_on for check in case.growth_checks] == [
        date(2027, 11, 2),
        date(2028, 11, 2),
    ]
    assert read_case(write_case(case), "again") == case


def test_a_fault_in_a_visit_is_named_by_its_path() -> None:
    wrong = VISITS.replace('side = "right"\nthumb', 'side = "righ"\nthumb')
    faults = faults_of(SHORT + wrong.replace("61.5", "615").replace("open", "ajar"))
    assert set(faults) == {
        "growth_checks[0].side",
        "growth_checks[0].thumb_mm",
        "growth_checks[1].plates",
    }
    assert faults["growth_checks[0].thumb_mm"].allowed.startswith(
        "a number above 0 and at most 160"
    )


def test_a_visit_that_contradicts_the_case_is_told_beside_a_fault_of_another() -> None:
    wrong = VISITS.replace("measured_on = 2027-11-02\n", "").replace(
        'side = "right"\nplates', 'side = "left"\nplates'
    )
    assert set(faults_of(SHORT + wrong)) == {
        "growth_checks[0].measured_on",
        "growth_checks[1].side and injury.side",
    }


def test_a_visit_that_is_no_table_hides_no_number_of_the_others() -> None:
    document = json.loads(write_case(read_case(SHORT + VISITS, "case.toml")))
    document["growth_checks"][0] = 5
    document["growth_checks"][1]["side"] = "left"
    assert set(faults_of(json.dumps(document))) == {"growth_checks[0]"}


def test_girths_and_ways_have_paths_of_their_own() -> None:
    wrong = '[girths.left_foot.great]\nnail_mm = 0\n[vessel_ways]\ntoe_vein_mm = "far"\n'
    assert set(faults_of(SHORT + wrong)) == {
        "girths.left_foot.great.nail_mm",
        "vessel_ways.toe_vein_mm",
    }
