"""The catalogue of techniques is complete, every statement has a basis, and faults are refused."""

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from tests.core.techniques.worked_situations import (
    BIBLIOGRAPHY,
    BY_KEY,
    CATALOGUE_TEXT,
    TECHNIQUES,
)

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Provenance, Statement
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.catalogue import read_catalogue
from thumbwright.core.techniques.rules import RULES
from thumbwright.core.techniques.technique import (
    Family,
    Gift,
    Grade,
    Span,
    Suitability,
    Technique,
    ThumbJoint,
)

_NAMED_BY_THE_TRADE = {  # common practice, no source
    "replantation",
    "second_toe",
    "second_toe_with_mtp_joint",
    "great_toe",
    "trimmed_great_toe",
    "great_toe_wrap_around",
    "partial_great_toe",
    "toe_pulp_flap",
    "staged_osteoplastic",
    "single_stage_osteoplastic",
    "pollicization",
    "damaged_finger_transfer",
    "metacarpal_distraction",
    "proximal_phalanx_distraction",
    "first_web_deepening",
    "palmar_advancement_flap",
    "innervated_cross_finger_flap",
    "first_dorsal_metacarpal_artery_flap",
    "neurovascular_island_flap",
    "skin_graft",
    "second_intention",
    "stump_trimming",
    "prosthesis",
    "no_operation",
}


def _all_statements() -> Iterator[tuple[Technique, Statement]]:
    for technique in TECHNIQUES:
        for statement in technique.statements():
            yield technique, statement


def test_every_technique_of_the_trade_is_in_the_catalogue() -> None:
    assert set(BY_KEY) == _NAMED_BY_THE_TRADE


def test_every_family_has_a_technique() -> None:
    assert {one.family for one in TECHNIQUES} == set(Family)


def test_every_level_has_an_indicated_technique() -> None:
    for level in Level:
        fits = [one.levels[level].suitability for one in TECHNIQUES]
        assert Suitability.INDICATED in fits


def test_prosthesis_and_no_operation_may_be_chosen_at_every_level() -> None:
    assert BY_KEY["prosthesis"].done_at == tuple(Level)
    assert BY_KEY["no_operation"].done_at == tuple(Level)


def test_no_statement_stands_without_a_sentence_and_a_basis_that_can_be_looked_up() -> None:
    for technique, statement in _all_statements():
        where = (technique.key, statement.text)
        assert statement.text.endswith("."), where
        if statement.basis.provenance in {Provenance.READ, Provenance.DERIVED}:
            assert statement.basis.source in BIBLIOGRAPHY, where
            assert statement.basis.locator, where


def test_a_statement_of_common_practice_prints_no_study_result() -> None:
    """A decimal, a percentage or a count "n of m" is a study's; it must name the study."""
    of_a_study = re.compile(r"\d+\.\d|%|\b\d+ of \d+\b|\bSD\b")
    for technique, statement in _all_statements():
        if statement.basis.provenance is Provenance.COMMON_PRACTICE:
            assert not of_a_study.search(statement.text), (technique.key, statement.text)


def test_recalled_statements_are_few_and_labelled() -> None:
    recalled = {
        (technique.key, statement.text)
        for technique, statement in _all_statements()
        if statement.basis.provenance is Provenance.RECALLED
    }
    assert recalled  # the label below is then put to use
    assert {text for _, text in recalled} == {"No clear difference in feeling between the toes."}
    assert Provenance.RECALLED.label == "from memory, unverified"


def test_no_statement_claims_to_have_read_what_the_bibliography_only_recalls() -> None:
    for _, statement in _all_statements():
        source = BIBLIOGRAPHY.get(statement.basis.source)
        if source is not None and source.provenance is Provenance.RECALLED:
            assert statement.basis.provenance is Provenance.RECALLED


def test_every_rule_applies_to_some_technique() -> None:
    used = {name for technique in TECHNIQUES for name in technique.rules}
    assert used == set(RULES)


def test_published_lengths_are_those_of_their_sources() -> None:
    published_matev_2003_abstract_mm = (20.0, 45.0)
    published_phalanx_distraction_2004_abstract_mm = (18.0, 26.0)
    metacarpal = BY_KEY["metacarpal_distraction"].added_length
    phalanx = BY_KEY["proximal_phalanx_distraction"].added_length
    assert isinstance(metacarpal, Span)
    assert isinstance(phalanx, Span)
    assert (metacarpal.low, metacarpal.high) == published_matev_2003_abstract_mm
    assert (phalanx.low, phalanx.high) == published_phalanx_distraction_2004_abstract_mm
    published_pannier_children_mm = (8.0, 21.0)
    in_children = BY_KEY["metacarpal_distraction"].added_length_in_children
    assert isinstance(in_children, Span)
    assert (in_children.low, in_children.high) == published_pannier_children_mm
    assert in_children.statement.basis.source == "pannier-children"
    assert metacarpal.statement.basis.source == "matev-2003"
    assert phalanx.statement.basis.source == "phalanx-distraction-2004"


_AT_THE_MCP_JOINT = {  # common practice, no source: an isolated loss there, CMC joint sound
    "second_toe": {
        "length": 3, "stability": 3, "growth": 3, "mcp_motion": 2, "ip_motion": 2, "looks": 2,
    },
    "great_toe_wrap_around": {
        "length": 3, "stability": 3, "looks": 3, "ip_motion": 0, "growth": 0,
    },
    "trimmed_great_toe": {
        "length": 3, "stability": 3, "mcp_motion": 2, "ip_motion": 2, "looks": 3, "growth": 2,
        "spare_donor_site": 0,
    },
    "staged_osteoplastic": {
        "length": 3, "stability": 3, "ip_motion": 0, "looks": 1, "growth": 0,
    },
    "single_stage_osteoplastic": {
        "length": 3, "stability": 3, "ip_motion": 0, "looks": 1, "growth": 0,
    },
}  # fmt: skip


@pytest.mark.parametrize("key", _AT_THE_MCP_JOINT)
def test_what_the_trade_says_of_the_mcp_level_stands_in_the_catalogue(key: str) -> None:
    technique = BY_KEY[key]
    joints = {joint.goal: joint for joint in ThumbJoint}
    for name, common_practice_grade in _AT_THE_MCP_JOINT[key].items():
        goal = Goal(name)
        graded = (
            technique.joints[joints[goal]][Level.MCP_JOINT].grade
            if goal in joints
            else technique.grades[goal][Level.MCP_JOINT].grade
        )
        assert graded is Grade(common_practice_grade), name


def test_a_toe_gives_the_mcp_joint_at_its_level_and_keeps_the_own_one_beyond() -> None:
    mcp = BY_KEY["second_toe"].joints[ThumbJoint.MCP]
    assert mcp[Level.MCP_JOINT].gift is Gift.GIVEN
    assert mcp[Level.PROXIMAL_PHALANX].gift is Gift.KEPT


def test_the_index_brings_all_three_joints_where_the_cmc_joint_is_lost() -> None:
    joints = BY_KEY["pollicization"].joints
    assert {gifts[Level.CMC_JOINT].gift for gifts in joints.values()} == {Gift.GIVEN}


def test_no_technique_but_replantation_and_fingers_may_be_done_without_a_basal_joint() -> None:
    done = {one.key for one in TECHNIQUES if Level.CMC_JOINT in one.done_at}
    assert done == {
        "replantation",
        "pollicization",
        "damaged_finger_transfer",
        "prosthesis",
        "no_operation",
    }


def test_where_no_series_of_children_was_read_that_is_said() -> None:
    in_children = BY_KEY["proximal_phalanx_distraction"].added_length_in_children
    assert isinstance(in_children, Unknown)
    assert in_children.reason == "no series of children was read"


def test_what_adds_no_bone_says_nought_and_not_unknown() -> None:
    without = {one.key for one in TECHNIQUES if one.added_length == _nought_of(one)}
    assert without == {
        one.key
        for one in TECHNIQUES
        if one.family
        in {Family.WEB, Family.LOCAL_FLAP, Family.SKIN, Family.PROSTHESIS, Family.NO_OPERATION}
        or one.key == "toe_pulp_flap"
    }


def _nought_of(one: Technique) -> Span | None:
    added = one.added_length
    return replace(added, low=0.0, high=0.0) if isinstance(added, Span) else None


def test_the_stump_itself_decides_how_it_feels_where_its_own_skin_stays_at_the_tip() -> None:
    of_the_stump = {
        one.key
        for one in TECHNIQUES
        if any(graded.of_the_stump for graded in one.grades[Goal.FEELING].values())
    }
    assert of_the_stump == {
        "metacarpal_distraction",
        "proximal_phalanx_distraction",
        "first_web_deepening",
        "no_operation",
    }


_FIRST_LEVEL = '"1" = ["not_indicated", "A loss distal to a proximal phalanx of 20 mm'
_FAULTS = {
    "no TOML": ("[second_toe]", "[second_toe", "could not be read"),
    "a missing field": ('short_name = "the second toe"\n', "", "no entry 'short_name'"),
    "an unknown field": (
        'short_name = "the second toe"\n',
        'short_name = "the second toe"\nfame = 3\n',
        "an unknown entry 'fame' at second_toe",
    ),
    "an unknown family": ('family = "web"', 'family = "webbing"', "'webbing' at .*one of replan"),
    "an unknown source": ('"wang-1997"', '"wang-1897"', "the source 'wang-1897'"),
    "a source from memory called read": (
        '"recalled", "lin-2011"',
        '"read", "lin-2011"',
        "the source itself was not read",
    ),
    "an unknown provenance": ('"recalled", "lin-2011"', '"heard", "lin-2011"', "'heard'"),
    "half a source": (', "lin-2011", "memory"', ', "lin-2011"', "a statement: text and prov"),
    "a statement without a sentence": ('[3, "No donor site."', '[3, "No donor site"', "full stop"),
    "an empty statement": ('[3, "No donor site."', '[3, " "', "a text"),
    "an unknown rule": ('"web_skin_is_supple"', '"web_is_supple"', "the rule 'web_is_supple'"),
    "a rule twice": (
        '"web_skin_is_supple",',
        '"web_skin_is_supple", "web_skin_is_supple",',
        "each once",
    ),
    "the grade of the stump for looks": (
        'looks = { "2" = [1, "A stump without a nail."',
        'looks = { "2" = ["stump", "A stump without a nail."',
        "the grade of the stump in 'grades.looks'",
    ),
    "an unknown level": (_FIRST_LEVEL, _FIRST_LEVEL.replace('"1"', '"0"'), "the key '0'"),
    "a level twice": (_FIRST_LEVEL, _FIRST_LEVEL.replace('"1"', '"1-2"'), "level 2 twice"),
    "a level left out": (
        '"2-4" = ["not_indicated", "It is too',
        '"2-3" = ["not_indicated", "It is too',
        "no level 4 in 'levels'",
    ),
    "a grade left out": (
        'stability = { "1-2" = [3, "A solid',
        'stability = { "1" = [3, "A solid',
        "no level 2 in 'grades.stability'",
    ),
    "a grade beyond the scale": (
        '[3, "No donor site."',
        '[4, "No donor site."',
        "one of 0, 1, 2, 3",
    ),
    "a switch as a number": (
        "needs_microsurgery = false",
        "needs_microsurgery = 0",
        "true or false",
    ),
    "stages as a text": ("stages = 3", 'stages = "3"', "a whole number from 0 to 9"),
    "a span upside down": ("length_mm = [20, 45,", "length_mm = [45, 20,", "45 before 20"),
    "a negative span": ("length_mm = [20, 45,", "length_mm = [-20, 45,", "a number from 0 upwards"),
    "a graded goal left out": ('growth = { "2" = [2,', 'growing = { "2" = [2,', "entry 'grow"),
    "stages without an operation": ("stages = 3", "stages = 0", "0 without an operation"),
    "no rule on microsurgery": (
        '"unit_has_microsurgery", "unit_can_watch_a_flap",\n  "part_is',
        '"unit_can_watch_a_flap",\n  "part_is',
        "no rule 'unit_has_microsurgery'",
    ),
    "microsurgery where none is": (
        '"web_skin_is_supple",',
        '"web_skin_is_supple", "unit_has_microsurgery",',
        "does without",
    ),
    "a toe taken from nowhere": ('donor_toes = ["second"]', "donor_toes = []", "do not agree"),
}


@pytest.mark.parametrize("fault", _FAULTS)
def test_a_fault_in_the_catalogue_is_refused_with_its_place(fault: str) -> None:
    good, bad, message = _FAULTS[fault]
    assert good in CATALOGUE_TEXT
    with pytest.raises(KnowledgeError, match=message):
        read_catalogue(CATALOGUE_TEXT.replace(good, bad, 1), BIBLIOGRAPHY)


def test_the_order_of_the_catalogue_is_kept() -> None:
    assert TECHNIQUES[0].key == "replantation"
    assert TECHNIQUES[-1].key == "no_operation"
