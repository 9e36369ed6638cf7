"""Every technique has its course; every figure has its basis; faults are said with their place."""

from importlib.resources import files

import pytest
from tests.core.scheduling.unit import treatments

from thumbwright import bootstrap
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.scheduling.treatment import StepKind, TreatmentStep
from thumbwright.core.scheduling.treatment_reading import read_treatments

TEXT = (files("thumbwright") / "core" / "scheduling" / "treatments.toml").read_text("utf-8")
KNOWN = bootstrap.knowledge()


def test_every_technique_of_the_catalogue_has_a_course_with_its_stages() -> None:
    found = treatments()
    for technique in KNOWN.techniques:
        assert len(found[technique.key].operations) == technique.stages, technique.key


def test_only_techniques_of_microsurgery_join_vessels() -> None:
    for technique in KNOWN.techniques:
        joins = any(step.joins_vessels for step in treatments()[technique.key].steps)
        assert joins == technique.needs_microsurgery, technique.key


def test_planned_courses_begin_with_a_talk_and_leave_time_to_decide() -> None:
    for one in treatments().values():
        if not one.emergency:
            assert one.steps[0].kind is StepKind.CONSULTATION
            assert any(step.kind is StepKind.DECISION for step in one.steps)


def step_of(technique: str, key: str) -> TreatmentStep:
    return next(one for one in treatments()[technique].steps if one.key == key)


def test_published_gaps_are_those_in_print() -> None:
    groin = next(s for s in treatments()["staged_osteoplastic"].steps if s.key == "division")
    published_best, published_latest = 27, 33
    assert (groin.gaps[0].best_days, groin.gaps[0].latest_days) == (
        published_best,
        published_latest,
    )
    fixator = next(
        s for s in treatments()["metacarpal_distraction"].steps if s.key == "fixator_off"
    )
    published_mean, published_longest = 124, 165
    assert (fixator.gaps[0].best_days, fixator.gaps[0].latest_days) == (
        published_mean,
        published_longest,
    )
    later = next(s for s in treatments()["second_toe"].steps if s.key == "correction")
    published_share = 19 / 133
    assert later.share_prob == pytest.approx(published_share, abs=5e-4)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('second_toe = "free_toe"', 'second_toe = "nothing"', "name of a course"),
        ("days = [21, 27, 33]", "days = [29, 27, 33]", "in order"),
        ('after = "first_stage", days = [21', 'after = "later", days = [21', "an earlier step"),
        ('"osteocutaneous-groin-2009"', '"nobody-1999"', "a key of the bibliography"),
        ('kind = "decision"', 'kind = "guess"', "a step as the file's head says"),
        ("[follows]", "[follows", "could not be read"),
    ],
)
def test_a_fault_in_the_courses_is_said_with_its_place(old: str, new: str, words: str) -> None:
    assert old in TEXT
    with pytest.raises(KnowledgeError, match=words):
        read_treatments(TEXT.replace(old, new), KNOWN.techniques, KNOWN.bibliography)


def test_an_operation_needs_hours_of_its_technique() -> None:
    none = [one for one in KNOWN.techniques if one.key == "no_operation"]
    text = TEXT.replace('no_operation = "no_theatre"', 'no_operation = "skin_operation"')
    with pytest.raises(KnowledgeError, match="whose technique names its hours"):
        read_treatments(text, none, KNOWN.bibliography)
