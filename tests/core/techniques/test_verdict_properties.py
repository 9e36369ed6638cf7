"""Laws that every verdict keeps, whatever the case."""

from collections.abc import Mapping

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.techniques.worked_situations import (
    TECHNIQUES,
    at,
    changed,
    examinable_paths,
    situation,
    unexamined,
)

from thumbwright.core.case.examined import NOT_EXAMINED, Finding, Pulse, Quality
from thumbwright.core.case.feet import ToeArtery, ToeState
from thumbwright.core.case.goals import Refusal
from thumbwright.core.case.hand import (
    AllenTest,
    FingerState,
    StumpSkin,
    Tendon,
    VesselImaging,
    WebContracture,
)
from thumbwright.core.case.patient import Smoking
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import Verdict, eligible, eligible_all
from thumbwright.core.techniques.rule_answers import Unsettled
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

_OPENNESS = {Verdict.CLOSED: 0, Verdict.UNKNOWN: 1, Verdict.OPEN: 2}

_FAULTS: Mapping[str, tuple[object, ...]] = {
    "patient.asa_class": (4, 5),
    "patient.smoking": (Smoking.CURRENT,),
    "patient.diabetes": (Finding.YES,),
    "patient.vascular_disease": (Finding.YES,),
    "patient.clotting_disorder": (Finding.YES,),
    "injury.several_levels": (Finding.YES,),
    "kept.cmc.present": (Finding.NO,),
    "kept.cmc.mobile": (Finding.NO,),
    "kept.cmc.stable": (Finding.NO,),
    "kept.thenar_function": (Quality.WEAK, Quality.ABSENT),
    "kept.first_web_contracture": (WebContracture.MILD, WebContracture.SEVERE),
    "kept.stump_skin": (StumpSkin.THIN, StumpSkin.SCARRED, StumpSkin.UNSTABLE),
    "kept.tendons.long_flexor": (Tendon.LOST,),
    "fingers.index": (FingerState.STIFF, FingerState.DAMAGED, FingerState.LOST),
    "fingers.middle": (FingerState.DAMAGED, FingerState.LOST),
    "fingers.ring": (FingerState.DAMAGED, FingerState.LOST),
    "fingers.little": (FingerState.DAMAGED, FingerState.LOST),
    "recipient_vessels.radial_pulse": (Pulse.WEAK, Pulse.ABSENT),
    "recipient_vessels.ulnar_pulse": (Pulse.WEAK, Pulse.ABSENT),
    "recipient_vessels.snuffbox_doppler": (Pulse.WEAK, Pulse.ABSENT),
    "recipient_vessels.allen_test": (
        AllenTest.RADIAL_ONLY,
        AllenTest.ULNAR_ONLY,
        AllenTest.NEITHER,
    ),
    "recipient_vessels.superficial_veins": (Quality.WEAK, Quality.ABSENT),
    "recipient_vessels.imaging": (VesselImaging.ABNORMAL,),
    "feet.left.toes.great": (ToeState.DAMAGED, ToeState.LOST),
    "feet.right.toes.great": (ToeState.DEFORMED, ToeState.LOST),
    "feet.left.toes.second": (ToeState.DAMAGED, ToeState.LOST),
    "feet.right.toes.second": (ToeState.DEFORMED, ToeState.LOST),
    "feet.left.dorsal_pedal_pulse": (Pulse.WEAK, Pulse.ABSENT),
    "feet.right.posterior_tibial_pulse": (Pulse.ABSENT,),
    "feet.left.posterior_tibial_pulse": (Pulse.ABSENT,),
    "feet.left.first_web_doppler": (Pulse.ABSENT,),
    "feet.right.first_web_doppler": (Pulse.WEAK, Pulse.ABSENT),
    "feet.right.dominant_artery": (ToeArtery.PLANTAR, ToeArtery.ABSENT),
    "feet.left.infection_or_ulcer": (Finding.YES,),
    "feet.right.loss_of_feeling": (Finding.YES,),
    "feet.right.earlier_injury": (Finding.YES,),
    "feet.high_foot_demand": (Finding.YES,),
    "feet.barefoot_or_thong_need": (Finding.YES,),
    "facility.microsurgery": (Finding.NO,),
    "facility.microscope": (Finding.NO,),
    "facility.intensive_observation": (Finding.NO,),
}
"""Per finding, what is worse than what the well-examined patient has."""

_TREATS = {
    "damaged_finger_transfer": {path for path in _FAULTS if path.startswith("fingers.")},
    "palmar_advancement_flap": {"kept.stump_skin"},
    "innervated_cross_finger_flap": {"kept.stump_skin"},
    "first_dorsal_metacarpal_artery_flap": {"kept.stump_skin"},
    "neurovascular_island_flap": {"kept.stump_skin"},
    "toe_pulp_flap": {"kept.stump_skin"},
    "skin_graft": {"kept.stump_skin"},
    "second_intention": {"kept.stump_skin"},
    "stump_trimming": {"kept.stump_skin"},
}
"""A fault that a technique is there for is no fault to it."""

techniques = st.sampled_from(TECHNIQUES)
levels = st.sampled_from(Level)
ages = st.sampled_from((3, 30, 65))
paths = st.sampled_from(sorted(_FAULTS))


@st.composite
def flawed(draw: st.DrawFn) -> Situation:
    """Draw a patient with some faults and some findings that were not looked for."""
    built = situation(draw(levels), age_years=draw(ages))
    case, blind = built.case, unexamined(built.case)
    for path in draw(st.lists(paths, max_size=4, unique=True)):
        case = changed(case, path, draw(st.sampled_from(_FAULTS[path])))
    unseen = st.lists(st.sampled_from(examinable_paths(case)), max_size=6, unique=True)
    for path in draw(unseen):
        case = changed(case, path, at(blind, path))
    return changed(built, "case", case)


@settings(deadline=None)
@given(built=flawed(), path=st.sampled_from(examinable_paths(situation().case)), one=techniques)
def test_a_finding_that_turns_out_good_never_closes_a_technique(
    built: Situation, path: str, one: Technique
) -> None:
    good = at(situation(Level.TERMINAL_PHALANX).case, path)
    blind = at(unexamined(built.case), path)
    before = eligible(one, changed(built, f"case.{path}", blind))
    after = eligible(one, changed(built, f"case.{path}", good))
    if before.verdict is Verdict.OPEN:
        assert after.verdict is Verdict.OPEN


@settings(deadline=None)
@given(built=flawed(), refusals=st.lists(st.sampled_from(Refusal), unique=True), one=techniques)
def test_refusing_something_never_opens_a_technique(
    built: Situation, refusals: list[Refusal], one: Technique
) -> None:
    more = changed(built, "case.wishes.refusals", tuple(refusals))
    fewer = changed(built, "case.wishes.refusals", tuple(refusals[1:]))
    assert _OPENNESS[eligible(one, more).verdict] <= _OPENNESS[eligible(one, fewer).verdict]


@settings(deadline=None)
@given(built=flawed(), path=paths, data=st.data(), one=techniques)
def test_one_fault_more_never_moves_a_verdict_towards_open(
    built: Situation, path: str, data: st.DataObject, one: Technique
) -> None:
    if path in _TREATS.get(one.key, set()):
        return
    good = at(situation().case, path)
    worse = data.draw(st.sampled_from(_FAULTS[path]))
    before = eligible(one, changed(built, f"case.{path}", good))
    after = eligible(one, changed(built, f"case.{path}", worse))
    assert _OPENNESS[after.verdict] <= _OPENNESS[before.verdict]
    assert after.is_advised_against or not before.is_advised_against


@settings(deadline=None)
@given(built=flawed())
def test_nothing_is_open_while_one_of_its_rules_is_unsettled(built: Situation) -> None:
    for found in eligible_all(TECHNIQUES, built):
        unsettled = [one for one in found.reasons if isinstance(one.answer, Unsettled)]
        if found.verdict is Verdict.OPEN:
            assert not unsettled
        if found.verdict is Verdict.UNKNOWN:
            assert found.would_settle
        if unsettled:
            assert found.verdict is not Verdict.OPEN


def test_of_a_person_whom_nobody_has_examined_no_operation_is_open() -> None:
    for level in Level:
        built = situation(level)
        blind = changed(built, "case", unexamined(built.case))
        still_open = {
            found.technique.key
            for found in eligible_all(TECHNIQUES, blind)
            if found.verdict is Verdict.OPEN
        }
        assert still_open == {"prosthesis", "no_operation"}


def test_every_fault_of_the_list_matters_to_some_technique() -> None:
    """A fault that changed nothing would make the law above hold for no reason."""
    for path, worse_values in _FAULTS.items():
        differs = False
        for level in Level:
            built = situation(level)
            for worse in worse_values:
                spoilt = changed(built, f"case.{path}", worse)
                differs |= any(
                    (before.reasons, before.donors) != (after.reasons, after.donors)
                    for before, after in zip(
                        eligible_all(TECHNIQUES, built),
                        eligible_all(TECHNIQUES, spoilt),
                        strict=True,
                    )
                )
        assert differs, path


def test_the_well_examined_patient_leaves_nothing_unsettled() -> None:
    for level in Level:
        verdicts = {found.verdict for found in eligible_all(TECHNIQUES, situation(level))}
        assert verdicts == {Verdict.OPEN, Verdict.CLOSED}


def test_an_unexamined_case_holds_no_finding() -> None:
    blind = unexamined(situation().case)
    assert blind.patient.asa_class is NOT_EXAMINED
    assert blind.kept.cmc.mobile is Finding.NOT_EXAMINED
    assert blind.feet.left.toes.second is ToeState.NOT_EXAMINED
