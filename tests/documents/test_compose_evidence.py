"""Series, what they come to and the patient's risk are printed whole, with their sources."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from thumbwright.bootstrap import knowledge
from thumbwright.core.evidence.exposures import Exposure
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import pool
from thumbwright.core.evidence.risk import patient_risk
from thumbwright.core.evidence.risk_factor import Fact
from thumbwright.core.evidence.study import Cause, Counted, Population, StudyArm
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, Source
from thumbwright.documents.compose_evidence import evidence_part, risk_part, study_name
from thumbwright.documents.evidence_content import EvidencePart, RiskPart, RowKind
from thumbwright.documents.evidence_figures import WIDTH_MM, forest, forest_words

TOE = "second_toe"


def part(key: str = TOE, outcome: Outcome = Outcome.LOSS) -> EvidencePart:
    known = knowledge()
    name = next(one.name for one in known.techniques if one.key == key)
    return evidence_part(pool(known.studies, key, outcome), name, known.bibliography)


def rows_of(found: EvidencePart) -> list[str]:
    assert not isinstance(found.rows, Unknown)
    return [row.study for row in found.rows]


def recalled_arm() -> StudyArm:
    return StudyArm(
        key="memory",
        techniques=(TOE,),
        widely=(),
        outcome=Outcome.LOSS,
        result=Counted(events=3, total=50),
        population=Population.ADULT,
        cause=Cause.TRAUMA,
        years="",
        is_review=False,
        overlap_group="",
        basis=Basis(provenance=Provenance.RECALLED, source="lin-2011", locator="not seen"),
    )


def test_pure_series_stand_first_and_the_larger_before_the_smaller() -> None:
    found = part()
    assert not isinstance(found.rows, Unknown)
    kinds = [row.kind for row in found.rows]
    assert kinds == sorted(kinds, key=list(RowKind).index)
    assert rows_of(found)[0] == "Thumbs 26 and 32"
    assert "Yim 2004, arm 1" in rows_of(found)


def test_every_row_has_its_source_and_its_exact_interval() -> None:
    found = part()
    assert not isinstance(found.rows, Unknown)
    for row in found.rows:
        assert row.remark.basis is not None
        assert row.remark.basis.source in knowledge().bibliography
        assert row.share.low is not None
        assert row.share.high is not None
        assert row.share.low <= row.share.value <= row.share.high


def test_what_is_left_out_is_named_with_its_reason() -> None:
    texts = [one.text for one in part().left_out]
    assert any(re.match(r"Left out: Gu 1997, 400 people, because its people", t) for t in texts)


def test_all_frequencies_of_a_table_have_one_denominator() -> None:
    found = part()
    assert found.denominator == 100
    assert all(" of 100 " in one.frequency for one in found.pooled)
    assert not isinstance(found.used, Unknown)
    assert " of 100 " in found.used[0].text


def test_mixed_series_are_called_mixed_wherever_they_are_used() -> None:
    found = part("great_toe", Outcome.REEXPLORATION)
    assert not isinstance(found.used, Unknown)
    assert "from mixed series only" in found.used[0].text
    assert found.pooled[-1].name == "used: mixed as wider prior"


def test_numbers_from_memory_are_labelled_in_word_shape_and_sentence() -> None:
    known = knowledge()
    evidence = pool([recalled_arm()], TOE, Outcome.LOSS, with_recalled=True)
    found = evidence_part(evidence, "second toe", known.bibliography)
    assert not isinstance(found.rows, Unknown)
    assert found.rows[0].kind is RowKind.FROM_MEMORY
    assert not isinstance(found.used, Unknown)
    assert "from memory, unverified" in found.used[0].text
    assert "stroke-dasharray" in forest(found)
    assert "from memory" in " ".join(forest_words(found))


def test_an_outcome_nobody_counted_says_so_and_has_no_picture() -> None:
    found = part("skin_graft")
    assert isinstance(found.rows, Unknown)
    assert isinstance(found.used, Unknown)
    assert found.picture is None


def test_a_table_without_rows_must_say_why() -> None:
    with pytest.raises(KnowledgeError, match="or Unknown with the reason; say why"):
        EvidencePart(
            technique="toe",
            outcome="loss",
            denominator=100,
            rows=(),
            pooled=(),
            used=Unknown(reason="none"),
        )


@pytest.mark.parametrize(
    ("key", "outcome"),
    [
        (TOE, Outcome.LOSS),
        (TOE, Outcome.SECONDARY_OPERATION),
        ("replantation", Outcome.LOSS),
        ("toe_pulp_flap", Outcome.GAIT_TROUBLE),
        ("prosthesis", Outcome.INFECTION),
    ],
)
def test_the_forest_is_sound_and_says_everything_in_words_too(key: str, outcome: Outcome) -> None:
    found = part(key, outcome)
    drawing = forest(found)
    root = ET.fromstring(drawing)  # noqa: S314  our own drawing
    assert float(root.get("width", "0")) == WIDTH_MM
    texts = [element.text or "" for element in root.iter() if element.tag.endswith("text")]
    words = " ".join(forest_words(found))
    assert not isinstance(found.rows, Unknown)
    for row in found.rows:
        assert row.study in words
        assert f"{row.counted}, {row.share.words}" in texts
    assert texts.count("pure") + texts.count("mixed") + texts.count("review") == len(found.rows)
    assert found.picture is not None
    assert found.picture.alt == words


def test_nothing_of_the_forest_leaves_the_paper() -> None:
    for number in re.findall(r' (?:x|cx|x1|x2)="(-?[\d.]+)"', forest(part())):
        assert 0 <= float(number) <= WIDTH_MM


def test_kinds_differ_by_shape_and_the_caption_names_the_shapes() -> None:
    assert len({kind.shape for kind in RowKind}) == len(RowKind)
    found = part("replantation")
    assert found.picture is not None
    for kind in (RowKind.PURE, RowKind.MIXED, RowKind.REVIEW):
        assert kind.shape in found.picture.caption


def printed_risk(*, smokes: bool | Unknown) -> RiskPart:
    known = knowledge()
    technique = next(one for one in known.techniques if one.key == TOE)
    found = patient_risk(
        pool(known.studies, TOE, Outcome.LOSS),
        technique,
        [Exposure(fact=Fact.SMOKES, present=smokes, because="the case says so")],
        known.risk_factors,
        np.random.default_rng(11),
    )
    assert not isinstance(found, Unknown)
    return risk_part(found, technique.name)


def test_the_risk_of_a_patient_stands_beside_that_in_print_with_one_denominator() -> None:
    found = printed_risk(smokes=True)
    assert " of 100 " in found.in_print
    assert " of 100 " in found.for_patient.words
    assert "seed 11" in found.draws


def test_both_sides_of_a_quarrel_are_printed_with_their_sources() -> None:
    found = printed_risk(smokes=True)
    sources = {one.basis.source for one in found.because if one.basis}
    assert {"hwang-2018", "ehrl-2018"} <= sources
    assert any("no effect found" in one.text for one in found.because)


def test_what_was_not_applied_says_why() -> None:
    texts = " ".join(one.text for one in printed_risk(smokes=True).not_applied)
    assert "diabetes, because those who looked found no effect" in texts
    assert "because it is still in the patient's hands" in texts


def test_what_nobody_asked_about_is_asked_for() -> None:
    unknown = Unknown(reason="nobody asked", needed=("smoking",))
    found = printed_risk(smokes=unknown)
    assert found.settled_by == ("smoking",)
    assert "taken as there in 30 of 100 (working assumption)" in found.because[0].text


@pytest.mark.parametrize(
    ("citation", "name"),
    [
        ("Lister GD, Kalisman M. Toes. 1983;71:372-86.", "Lister 1983"),
        ("del Pinal F, Herrero F. Report. 2011;55.", "del Pinal 2011"),
        ("Survival in the UK. Cureus 2021;13.", "A key 7"),
        ("Wang C, et al. Toes. 1997.", "Wang 1997"),
    ],
)
def test_a_study_is_called_by_its_first_author_or_by_its_key(citation: str, name: str) -> None:
    assert study_name(Source(key="a-key-7", citation=citation)) == name
