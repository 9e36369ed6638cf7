"""What the dimensions of one technique are made from, and the parts they share."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import NotExamined, Side
from thumbwright.core.case.girths import Girths, VesselWays
from thumbwright.core.dimensions.flat_patterns import FlatPattern, mirrored
from thumbwright.core.dimensions.settings import Choices
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, difference
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import RayName
from thumbwright.core.radiograph.lengths import Lengths, RayLengths
from thumbwright.core.radiograph.transposition import ToeCut
from thumbwright.core.radiograph.width_match import WidthMatch
from thumbwright.core.techniques.technique import Toe

RAY_OF = {Toe.GREAT: RayName.GREAT_TOE, Toe.SECOND: RayName.SECOND_TOE}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanParts:
    """The parts of a plan that dimensions are made from."""

    case: Case
    lengths: Lengths
    widths: Mapping[tuple[Side, RayName], WidthMatch | Unknown] = field(default_factory=dict)
    """Toe's bone at the cut against the stump's."""
    girths: Girths = field(default_factory=Girths)
    ways: VesselWays = field(default_factory=VesselWays)
    growing: bool | Unknown = field(
        default_factory=lambda: Unknown(reason="growth was not looked at")
    )

    def cut(self, side: Side, toe: Toe) -> ToeCut | Unknown:
        """Return where a toe alone would supply what is missing."""
        for donor in self.lengths.toes:
            if donor.side is side and donor.ray.name is RAY_OF[toe]:
                return donor.cut
        return Unknown(
            reason=f"the {side.value} {RAY_OF[toe].value} was not measured",
            needed=(f"a film of the {side.value} foot with the points of its {RAY_OF[toe].value}",),
        )

    def width(self, side: Side, toe: Toe) -> WidthMatch | Unknown:
        """Return the toe's bone against the stump's."""
        none = Unknown(
            reason="widths were not compared",
            needed=(f"films of the hand and of the {side.value} foot",),
        )
        return self.widths.get((side, RAY_OF[toe]), none)

    def to_build(self, choices: Choices) -> Measured | Unknown:
        """Return the length that a graft and its skin are made for [mm]."""
        given = choices.build_length_mm
        if isinstance(given, NotExamined):
            return self.lengths.missing
        return Measured(value=given, unit="mm", origin="length to build, set by the surgeon")

    def ray(self, side: Side, toe: Toe) -> RayLengths | Unknown:
        """Return the bones of a toe as measured."""
        name = RAY_OF[toe]
        for one in self.lengths.rays:
            if (one.side, one.ray.name) == (side, name):
                return one
        return Unknown(
            reason=f"the {side.value} {name.value} was not measured",
            needed=(f"a film of the {side.value} foot with the points of its {name.value}",),
        )

    def beyond_cut(self, side: Side, toe: Toe, piece: Measured | Unknown) -> Measured | Unknown:
        """Return the way from the cut on a toe to the base of its metatarsal, by film [mm]."""
        ray = self.ray(side, toe)
        whole = ray if isinstance(ray, Unknown) else ray.whole
        if isinstance(whole, Unknown):
            return whole
        if isinstance(piece, Unknown):
            return piece
        if not isinstance(ray, Unknown) and not _from_body(ray):
            return Unknown(
                reason=f"the base of the metatarsal was not marked on film {ray.film}",
                needed=(f"base of the metatarsal on film {ray.film}",),
            )
        return difference(whole, piece, origin="cut to base of the metatarsal")

    def beyond_mtp(self, side: Side, toe: Toe) -> Measured | Unknown:
        """Return how long a toe is from its MTP joint to its bony tip [mm]."""
        ray = self.ray(side, toe)
        if isinstance(ray, Unknown) or isinstance(ray.whole, Unknown):
            return ray if isinstance(ray, Unknown) else Unknown(reason="it was not measured whole")
        if not _from_body(ray):
            return ray.whole
        return difference(ray.whole, _first(ray), origin="toe beyond its MTP joint")

    @property
    def beyond_bone(self) -> Measured | Unknown:
        """Return the skin beyond the bony tip of the other thumb [mm]."""
        other = self.case.injury.side.other
        for one in self.lengths.rays:
            is_thumb = one.ray.name is RayName.THUMB and one.ray.region is Region.HAND
            if is_thumb and one.side is other:
                return one.skin_beyond_bone
        return Unknown(
            reason="the other thumb was not measured",
            needed=("a film of the other hand with tip of bone and skin of its thumb",),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SidedPattern:
    """A pattern for one side of the body; it is mirrored for the right."""

    pattern: FlatPattern
    side: Side
    place: str
    """Where it is laid: ``great toe``, ``groin``."""

    @property
    def words(self) -> str:
        """Return side and place as they are printed."""
        return f"{self.side.value.upper()} {self.place}"


def sided(pattern: FlatPattern, side: Side, place: str) -> SidedPattern:
    """Turn a pattern, which is drawn for the left, to its side."""
    turned = mirrored(pattern) if side is Side.RIGHT else pattern
    return SidedPattern(pattern=turned, side=side, place=place)


def _from_body(ray: RayLengths) -> bool:
    """Say whether a toe was marked from the base of its metatarsal."""
    return any(bone.name == ray.ray.bones[0].name for bone in ray.bones)


def _first(ray: RayLengths) -> Measured:
    return next(bone.length for bone in ray.bones if bone.name == ray.ray.bones[0].name)
