"""Published classifications: which group a loss falls into, and how far the borders were read."""

from dataclasses import replace
from datetime import date

import pytest
from tests.core.level.pattern_thumb import mm

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, Quality, Side
from thumbwright.core.case.hand import Fingers, FingerState, Joint, Kept, StumpSkin
from thumbwright.core.case.injury import Injury, Mechanism
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.level.levels import Level
from thumbwright.core.level.scheme_groups import USEFUL_PHALANX
from thumbwright.core.level.schemes import SchemeFinding, in_published_schemes, stump_phalanx
from thumbwright.core.radiograph.measurement import NamedLength

L1, L2, L3, L4, L5 = Level
SOUND, LOST = FingerState.SOUND, FingerState.LOST
CASE = Case(
    case_id="s",
    examined_on=date(2026, 11, 2),
    patient=Patient(pseudonym="A", birth_date=date(1985, 3, 9), sex=Sex.MALE),
    injury=Injury(side=Side.RIGHT, mechanism=Mechanism.SHARP),
    kept=Kept(
        mcp=Joint(present=Finding.NO),
        thenar_function=Quality.GOOD,
        stump_skin=StumpSkin.SCARRED,
    ),
    fingers=Fingers(index=SOUND, middle=SOUND, ring=SOUND, little=SOUND),
)
MCP_KEPT = replace(CASE, kept=replace(CASE.kept, mcp=Joint(present=Finding.YES)))
UNMEASURED = Unknown(reason="not measured", needed=("a film",))


def placed(
    level: Level | Unknown,
    *,
    case: Case = CASE,
    age_years: float = 41.0,
    phalanx: Measured | Unknown = UNMEASURED,
    beyond: Measured | Unknown = UNMEASURED,
) -> dict[str, SchemeFinding]:
    found = in_published_schemes(case, age_years, level, phalanx, beyond)
    return {one.scheme.split(" ")[0]: one for one in found}


def group(scheme: str, level: Level, **facts: object) -> str | Unknown:
    return placed(level, **facts)[scheme].group  # type: ignore[arg-type]  # passed on by name


# Groups as recalled of each scheme; the use of the thirds was read in the rehabilitation chapter,
# of the degrees in Wang 1997, of "compensated" with its border in the overview of treatment.
@pytest.mark.parametrize(
    ("scheme", "published_groups"),
    [
        (
            "thirds",
            ("distal third", "middle third", "middle third", "proximal third", "proximal third"),
        ),
        ("compensated", ("compensated", *["not compensated"] * 4)),
        ("Campbell-Reid", ("1", "1", "2", "3", "4")),
        ("Lister", ("I", "I", "III", "III", "IV")),
        ("Chinese", ("1 to 2", "3", "4", "5", "6")),
    ],
)
def test_each_level_falls_into_the_group_of_the_scheme(
    scheme: str, published_groups: tuple[str, ...]
) -> None:
    found = tuple(
        group(scheme, level, phalanx=mm(26.0, 0.5), beyond=mm(0.4, 0.5)) for level in Level
    )
    assert found == published_groups


def test_a_short_phalanx_is_a_lower_group_than_a_long_one() -> None:
    # Least useful length 20 mm: rehabilitation chapter, text.
    published_least_mm = 20.0
    assert USEFUL_PHALANX.value == published_least_mm
    assert USEFUL_PHALANX.basis.provenance is Provenance.READ
    long, short = mm(21.5, 0.5), mm(18.5, 0.5)
    assert group("Campbell-Reid", L2, phalanx=long) == "1"
    assert group("Campbell-Reid", L2, phalanx=short) == "2"
    assert group("Lister", L2, phalanx=long) == "I"
    assert group("Lister", L2, phalanx=short) == "II"


@pytest.mark.parametrize("scheme", ["Campbell-Reid", "Lister"])
def test_a_phalanx_whose_doubt_reaches_over_the_border_is_placed_in_no_group(scheme: str) -> None:
    answer = group(scheme, L2, phalanx=mm(20.4, 0.5))
    assert isinstance(answer, Unknown)
    # 20.4 mm less and plus 1.96 x 0.5 mm.
    assert "19.4 to 21.4 mm" in answer.reason


def test_an_unmeasured_phalanx_leaves_the_two_schemes_that_ask_for_it_unknown() -> None:
    found = placed(L2)
    unknown = {name for name, one in found.items() if isinstance(one.group, Unknown)}
    assert unknown == {"Campbell-Reid", "Lister"}


# Level 3 reaches from the middle of the phalanx to that of the metacarpal; the schemes do not.
def test_level_3_with_its_mcp_joint_is_a_loss_through_the_phalanx() -> None:
    short = mm(12.0, 0.5)
    assert group("Chinese", L3, case=MCP_KEPT, phalanx=short) == "3"
    assert group("Campbell-Reid", L3, case=MCP_KEPT, phalanx=short) == "2"
    assert group("Lister", L3, case=MCP_KEPT, phalanx=short) == "II"


def test_level_3_well_short_of_the_mcp_joint_is_a_loss_through_the_metacarpal() -> None:
    short = mm(-11.0, 0.8)
    assert group("Chinese", L3, beyond=short) == "5"
    assert group("Campbell-Reid", L3, beyond=short) == "3"
    assert group("Lister", L3, beyond=short) == "III"
    assert group("thirds", L3, beyond=short) == "middle or proximal third"


def test_level_3_at_the_joint_needs_no_phalanx_to_be_placed() -> None:
    assert group("Campbell-Reid", L3, beyond=mm(-1.4, 0.5)) == "2"


@pytest.mark.parametrize(
    ("thenar", "published_group"), [(Quality.GOOD, "3"), (Quality.WEAK, "3"), (Quality.ABSENT, "4")]
)
def test_through_the_metacarpal_the_thenar_muscles_tell_group_3_from_4(
    thenar: Quality, published_group: str
) -> None:
    case = replace(CASE, kept=replace(CASE.kept, thenar_function=thenar))
    assert group("Campbell-Reid", L4, case=case) == published_group


def test_thenar_muscles_that_nobody_examined_leave_the_group_unknown() -> None:
    case = replace(CASE, kept=replace(CASE.kept, thenar_function=Quality.NOT_EXAMINED))
    answer = group("Campbell-Reid", L4, case=case)
    assert isinstance(answer, Unknown)
    assert answer.needed == ("thenar function",)


def test_a_stump_of_good_length_and_sound_cover_is_in_no_stage() -> None:
    sound = replace(CASE, kept=replace(CASE.kept, stump_skin=StumpSkin.SOUND))
    unseen = replace(CASE, kept=replace(CASE.kept, stump_skin=StumpSkin.NOT_EXAMINED))
    assert group("Lister", L1, case=sound) == "does not apply"
    assert isinstance(group("Lister", L1, case=unseen), Unknown)


@pytest.mark.parametrize(
    ("fingers", "published_group"),
    [
        (CASE.fingers, "R1"),
        (replace(CASE.fingers, index=LOST), "R2"),
        (replace(CASE.fingers, index=LOST, middle=FingerState.PARTLY_LOST), "R3"),
        (Fingers(index=LOST, middle=LOST, ring=LOST, little=LOST), "R5"),
        (replace(CASE.fingers, little=FingerState.STIFF), "R1"),
    ],
)
def test_the_scheme_for_children_counts_the_fingers_that_are_lost(
    fingers: Fingers, published_group: str
) -> None:
    assert group("Jones", L3, case=replace(CASE, fingers=fingers), age_years=7.4) == published_group


def test_a_finger_that_nobody_examined_leaves_the_scheme_for_children_unknown() -> None:
    case = replace(CASE, fingers=replace(CASE.fingers, ring=FingerState.NOT_EXAMINED))
    assert isinstance(group("Jones", L3, case=case, age_years=7.4), Unknown)


def test_the_scheme_for_children_does_not_apply_from_18_years() -> None:
    assert group("Jones", L3, age_years=17.99) == "R1"
    assert group("Jones", L3, age_years=18.0) == "does not apply"


def test_an_unknown_level_leaves_every_scheme_unknown_and_asks_for_the_same() -> None:
    found = placed(Unknown(reason="conflict", needed=("a second look",)))
    assert len(found) == 6
    for one in found.values():
        assert isinstance(one.group, Unknown)
        assert one.group.needed == ("a second look",)


def test_only_the_scheme_whose_border_was_read_is_not_marked_as_from_memory() -> None:
    bases = {name: one.basis for name, one in placed(L3).items()}
    read = {name for name, basis in bases.items() if basis.provenance is Provenance.READ}
    assert read == {"compensated"}
    others = {basis.provenance for name, basis in bases.items() if name not in read}
    assert others == {Provenance.RECALLED}


def test_the_phalanx_of_a_stump_is_the_whole_one_if_it_is_there_else_what_the_stump_holds() -> None:
    whole, stump = mm(32.0, 0.4), mm(24.0, 0.4)
    bone = NamedLength(name="proximal phalanx", length=whole)
    other = NamedLength(name="first metacarpal", length=mm(47.0))
    assert stump_phalanx(L1, [other, bone], stump) == whole
    assert stump_phalanx(L2, [other], stump) == stump
    assert stump_phalanx(L3, [], stump) == stump
    assert isinstance(stump_phalanx(L4, [other], stump), Unknown)
