"""All techniques have dimensions; what is unknown travels with what would settle it."""

from dataclasses import replace

import pytest
from tests.core.dimensions.worked_parts import NOT_KNOWN, parts
from tests.core.techniques.worked_situations import BIBLIOGRAPHY, BY_KEY, TECHNIQUES

from thumbwright.core.case.examined import NOT_EXAMINED, Side
from thumbwright.core.case.girths import Girths
from thumbwright.core.dimensions.bone import BoneCut, Wedge
from thumbwright.core.dimensions.dimension_plan import DimensionPlan, dimension
from thumbwright.core.dimensions.parts import PlanParts
from thumbwright.core.dimensions.settings import (
    DEFAULTS,
    Choices,
    DimensionSettings,
    TrimSide,
)
from thumbwright.core.dimensions.structures import STRUCTURES
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import UnitError
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.techniques.technique import Technique, Toe

AS_IT_IS = DimensionSettings()


def planned(
    technique: Technique, made: PlanParts | None = None, settings: DimensionSettings = AS_IT_IS
) -> DimensionPlan:
    toe = technique.donor_toes[0] if technique.donor_toes else None
    return dimension(technique, Side.LEFT, toe, made or parts(), settings)


def values(plan: DimensionPlan) -> dict[str, Measured | Unknown]:
    return {one.key: one.value for section in plan.sections for one in section.dimensions}


@pytest.mark.parametrize("technique", TECHNIQUES, ids=lambda one: one.key)
def test_every_technique_has_dimensions_with_sources_that_exist(technique: Technique) -> None:
    plan = planned(technique)
    bases = [
        basis
        for section in plan.sections
        for basis in (
            *(basis for one in section.dimensions for basis in one.bases),
            *(said.basis for said in section.statements),
        )
    ]
    assert plan.sections
    assert {basis.source for basis in bases if basis.source} <= set(BIBLIOGRAPHY)


@pytest.mark.parametrize("technique", TECHNIQUES, ids=lambda one: one.key)
def test_nothing_is_made_up_where_nothing_was_measured(technique: Technique) -> None:
    made = replace(parts(missing=NOT_KNOWN, girths=Girths()), widths={})
    kept = replace(made.case.kept, pulp_defect_mm=NOT_EXAMINED, first_web_span_mm=NOT_EXAMINED)
    made = replace(made, case=replace(made.case, kept=kept))
    plan = planned(technique, made)
    from_print = {"back_length", "back_base"}
    known = {key for key, value in values(plan).items() if isinstance(value, Measured)}
    assert known <= from_print | {"artery_needed"}
    assert bool(plan.questions) == (len(known) < len(values(plan)))


@pytest.mark.parametrize("key", sorted(STRUCTURES))
def test_structures_are_listed_for_techniques_that_exist(key: str) -> None:
    assert key in BY_KEY
    assert planned(BY_KEY[key]).structures == STRUCTURES[key]


def test_a_second_toe_is_sawn_closed_and_joined() -> None:
    plan = planned(BY_KEY["second_toe"])
    assert isinstance(plan.cut, BoneCut)
    assert plan.donor == "second toe of the LEFT foot"
    assert [section.title for section in plan.sections] == [
        "Bone",
        "Skin of the second toe",
        "Vessels",
    ]
    assert [sided.words for sided in plan.patterns] == ["LEFT second toe"] * 2


def test_the_oblique_cut_comes_with_the_mtp_joint_and_the_surgeons_angle() -> None:
    tilted = DimensionSettings(choices=Choices(mtp_correction_deg=50.0))
    taken = planned(BY_KEY["second_toe_with_mtp_joint"], parts(from_joint_mm=12.0), tilted)
    left = planned(BY_KEY["second_toe"], parts(from_joint_mm=-8.0), tilted)
    assert isinstance(taken.oblique, Wedge)
    assert isinstance(left.oblique, Unknown)


def test_the_side_that_a_toe_is_trimmed_from_is_asked_for() -> None:
    technique = BY_KEY["trimmed_great_toe"]
    decided = DimensionSettings(choices=Choices(trim_side=TrimSide.TIBIAL))
    assert any("which side" in one for one in planned(technique).questions)
    assert not any("which side" in one for one in planned(technique, None, decided).questions)


def test_patterns_of_the_hand_lie_on_the_injured_side_and_are_mirrored_for_the_right() -> None:
    made = parts()
    right = replace(made, case=replace(made.case, injury=replace(made.case.injury, side=Side.LEFT)))
    wished = DimensionSettings(choices=Choices(web_span_wanted_mm=90.0, graft_width_mm=14.0))
    left_plan = planned(BY_KEY["staged_osteoplastic"], right, wished)
    assert {sided.side for sided in left_plan.patterns} == {Side.LEFT}
    assert not any(sided.pattern.is_mirrored for sided in left_plan.patterns)
    toe_plan = dimension(BY_KEY["second_toe"], Side.RIGHT, Toe.SECOND, made, AS_IT_IS)
    assert {sided.side for sided in toe_plan.patterns} == {Side.RIGHT}
    assert all(sided.pattern.is_mirrored for sided in toe_plan.patterns)


@pytest.mark.parametrize("key", ["pollicization", "damaged_finger_transfer"])
def test_a_finger_brings_what_is_missing_and_what_is_given_up(key: str) -> None:
    piece = values(planned(BY_KEY[key]))["finger_piece"]
    assert isinstance(piece, Measured)
    by_hand_mm = 44.0 + 2.0 + 1.0
    assert piece.value == by_hand_mm


def test_a_length_to_build_that_was_set_is_built() -> None:
    technique = BY_KEY["great_toe_wrap_around"]
    built = DimensionSettings(choices=Choices(build_length_mm=30.0, graft_width_mm=14.0))
    length = values(planned(technique, None, built))["graft_length"]
    assert isinstance(length, Measured)
    assert length.value == pytest.approx(30.0 + 2.0 + 10.0 + 2.3)


@pytest.mark.parametrize("toe", [None, Toe.GREAT])
def test_a_toe_that_the_technique_does_not_take_is_refused(toe: Toe | None) -> None:
    with pytest.raises(UnitError, match="allowed is the second toe"):
        dimension(BY_KEY["second_toe"], Side.LEFT, toe, parts(), AS_IT_IS)


def test_allowances_are_part_of_the_settings() -> None:
    assert DimensionSettings().allowances is DEFAULTS
