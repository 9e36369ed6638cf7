"""Parts of plans for tests: lengths written down by hand, girths and ways as if typed."""

from dataclasses import replace

from tests.core.techniques.worked_situations import situation

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Side
from thumbwright.core.case.girths import DigitGirths, FootGirths, Girths
from thumbwright.core.dimensions.parts import PlanParts
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.radiograph.landmarks import GREAT_TOE, SECOND_TOE, THUMB, Ray, RayName
from thumbwright.core.radiograph.lengths import DonorToe, Lengths, RayLengths
from thumbwright.core.radiograph.measurement import NamedLength
from thumbwright.core.radiograph.transposition import JointHeight, Place, ToeCut
from thumbwright.core.radiograph.wanted_length import WantedLength
from thumbwright.core.radiograph.width_match import WidthMatch

NOT_KNOWN = Unknown(reason="it was left out of this test", needed=("the thing itself",))
TYPED = Girths(
    other_thumb=DigitGirths(nail_mm=62.0, joint_mm=68.0, base_mm=66.0),
    left_foot=FootGirths(
        great=DigitGirths(nail_mm=82.0, joint_mm=86.0, base_mm=84.0),
        second=DigitGirths(nail_mm=46.0, joint_mm=48.0, base_mm=50.0),
    ),
)


def mm(value: float, doubt_mm: float = 0.0, key: str = "") -> Measured:
    """Return a length with a doubt of its own."""
    name = key or f"length of {value}"
    doubt = Input(key=name, name=name, standard_uncertainty=doubt_mm, unit="mm")
    terms = (Term(input=doubt, sensitivity=1.0),) if doubt_mm else ()
    return Measured(value=value, unit="mm", origin=name, terms=terms)


def cut_at(
    from_joint_mm: float,
    *,
    joint: str = "MTP joint",
    wanted_mm: float = 44.0,
    doubt_mm: float = 0.5,
    ray: Ray = SECOND_TOE,
) -> ToeCut:
    """Return a cut at a distance from a joint line."""
    return ToeCut(
        ray=ray,
        side=Side.LEFT,
        film="foot.dcm",
        wanted=mm(wanted_mm, doubt_mm, "missing"),
        place=Place.SHAFT,
        bone="",
        joint=joint,
        from_joint=mm(from_joint_mm, doubt_mm, "missing"),
        at=(0.0, 0.0),
        along=(0.0, -1.0),
        takes_joints=(),
        matches=(),
    )


def toe_rays(ray: Ray, bones_mm: tuple[float, ...]) -> RayLengths:
    """Return a left toe with bones of these lengths and spaces of 1 mm between them."""
    return RayLengths(
        film="foot.dcm",
        side=Side.LEFT,
        ray=ray,
        bones=tuple(
            NamedLength(name=bone.name, length=mm(length))
            for bone, length in zip(ray.bones, bones_mm, strict=True)
        ),
        whole=mm(sum(bones_mm) + len(bones_mm) - 1),
        skin_beyond_bone=mm(4.0),
    )


def lengths(*, missing: Measured | Unknown, from_joint_mm: float = -8.0) -> Lengths:
    """Return the lengths of a case: a stump of 50 mm, both left toes, the other thumb."""
    thumb = RayLengths(
        film="hand.dcm",
        side=Side.RIGHT,
        ray=THUMB,
        bones=(),
        whole=mm(100.0),
        skin_beyond_bone=mm(6.0),
    )
    wanted = WantedLength(
        length=mm(100.0),
        joints=(
            JointHeight(name="MCP joint", from_tip=mm(54.0)),
            JointHeight(name="IP joint", from_tip=mm(22.0)),
        ),
        basis=Basis(provenance=Provenance.COMMON_PRACTICE),
        words="The other thumb is the pattern.",
    )
    cuts = {ray: cut_at(from_joint_mm, ray=ray) for ray in (SECOND_TOE, GREAT_TOE)}
    return Lengths(
        rays=(
            thumb,
            toe_rays(GREAT_TOE, (60.0, 30.0, 22.0)),
            toe_rays(SECOND_TOE, (72.0, 26.0, 12.0, 10.0)),
        ),
        wanted=wanted,
        stump=mm(50.0),
        stump_beyond_mcp=mm(4.0),
        metacarpal_left=mm(45.0),
        missing=missing,
        lost_joints=(),
        toes=tuple(
            DonorToe(side=Side.LEFT, ray=ray, cut=missing if isinstance(missing, Unknown) else cut)
            for ray, cut in cuts.items()
        ),
        remarks=(),
    )


def parts(
    *,
    missing: Measured | Unknown | None = None,
    girths: Girths = TYPED,
    from_joint_mm: float = -8.0,
) -> PlanParts:
    """Return the parts of a plan for a lost LEFT thumb."""
    widths = WidthMatch(
        toe=mm(10.0, 0.2, "toe"), stump=mm(9.0, 0.2, "stump"), toe_over_stump=mm(1.1)
    )
    return PlanParts(
        case=case(),
        lengths=lengths(
            missing=mm(44.0, 0.5, "missing") if missing is None else missing,
            from_joint_mm=from_joint_mm,
        ),
        widths={
            (Side.LEFT, RayName.SECOND_TOE): widths,
            (Side.LEFT, RayName.GREAT_TOE): widths,
        },
        girths=girths,
        growing=False,
    )


def case() -> Case:
    """Return a well-examined case with a lost LEFT thumb."""
    found = situation().case
    return replace(found, injury=replace(found.injury, side=Side.LEFT))
