"""Sizes of invented adults and children. Only the phantom uses them; no plan depends on them.

Lengths of the bones of the hand: means of adult hand films from memory (RECALLED, unverified;
Buryanov A, Kotiuk V, Proportions of hand segments, Int J Morphol 28(3):755-758, 2010); so is
the soft tissue beyond the last bone (5.7 mm thumb, 3.7 to 4.0 mm fingers).

Lengths in the foot: first metatarsal 56.4 mm, its width 13.7 mm, proximal phalanx of the great
toe 28.0 mm: men, READ in the open paper (Patil S et al., Radiological biometric study of
metatarsals and phalanges, J Clin Diagn Res 11(9):AC05-AC09, 2017). Width of the heads of the
proximal phalanges of the toes 2 to 5: 9.7, 9.0, 8.5, 8.7 mm, READ (Kaur K et al., J Am Podiatr
Med Assoc). Second metatarsal and second toe: within the orders of magnitude of osteology texts
(65 to 80, 22 to 28, 9 to 15, 8 to 12 mm), RECALLED.

All other widths, shells, joint gaps and outlines are ASSUMED, chosen for the eye. A child is
the adult scaled down (:func:`child_factor`), with open growth plates and wider joint gaps,
which is a working assumption too: real children have other proportions.
"""

from dataclasses import dataclass, replace

from thumbwright.phantom.bones import BoneSize, PlateEnd


@dataclass(frozen=True, slots=True, kw_only=True)
class RaySize:
    """The bones of one ray from body to tip, the gaps between them, and the soft parts."""

    bones: tuple[BoneSize, ...]
    gaps_mm: tuple[float, ...]
    """Between each bone and the next along their axes; one fewer than bones."""
    first_gap_mm: float
    """Between the first bone and the block it rests on."""
    soft_widths_mm: tuple[float, ...]
    """Width of the soft parts at each joint and near the tip; one more than bones."""
    soft_flatness: float
    """Thickness of the soft parts over their width [-]."""
    beyond_tip_mm: float
    """Soft tissue beyond the last bone."""

    def scaled(self, length: float, width: float) -> "RaySize":
        """Return the ray with other lengths and widths."""
        return replace(
            self,
            bones=tuple(bone.scaled(length, width_factor=width) for bone in self.bones),
            gaps_mm=tuple(gap * length for gap in self.gaps_mm),
            first_gap_mm=self.first_gap_mm * length,
            soft_widths_mm=tuple(soft * width for soft in self.soft_widths_mm),
            beyond_tip_mm=self.beyond_tip_mm * width,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonSize:
    """Hands and feet of one invented person; both sides alike unless changed."""

    hand: tuple[RaySize, ...]
    """Thumb, index, middle, ring, little finger."""
    foot: tuple[RaySize, ...]
    """Great toe to little toe."""
    factor: float = 1.0
    """Size of everything that is no ray (wrist, tarsus, palm) over the adult's [-]."""


def adult(factor: float = 1.0) -> PersonSize:
    """Return an adult, larger or smaller by a factor."""
    return _scaled(PersonSize(hand=_ADULT_HAND, foot=_ADULT_FOOT), factor, factor)


def child(age_years: float, factor: float = 1.0) -> PersonSize:
    """Return a child with open growth plates, larger or smaller by a factor.

    Parameters
    ----------
    age_years
        2 to 14; sets the scale by :func:`child_factor`. [years]
    factor
        Size over the usual for that age. [-]
    """
    scale = child_factor(age_years) * factor
    small = _scaled(PersonSize(hand=_ADULT_HAND, foot=_ADULT_FOOT), scale, scale * 1.04)
    gap = 1.5 if age_years < 8 else 1.25
    return replace(
        small,
        hand=tuple(
            _young(ray, (PlateEnd.BASE if number == 0 else PlateEnd.HEAD), gap / scale)
            for number, ray in enumerate(small.hand)
        ),
        foot=tuple(
            _young(ray, (PlateEnd.BASE if number == 0 else PlateEnd.HEAD), gap / scale)
            for number, ray in enumerate(small.foot)
        ),
    )


def child_factor(age_years: float) -> float:
    """Return the size of a child's bones over an adult's, a straight line (assumed) [-]."""
    return min(1.0, 0.46 + 0.036 * max(2.0, age_years))


def _scaled(person: PersonSize, length: float, width: float) -> PersonSize:
    return PersonSize(
        hand=tuple(ray.scaled(length, width) for ray in person.hand),
        foot=tuple(ray.scaled(length, width) for ray in person.foot),
        factor=person.factor * length,
    )


def _young(ray: RaySize, first: PlateEnd, wider: float) -> RaySize:
    """Open the growth plates: first bone at the given end, all phalanges at the base."""
    ends = (first, *(PlateEnd.BASE for _ in ray.bones[1:]))
    bones = tuple(replace(bone, plate=end) for bone, end in zip(ray.bones, ends, strict=True))
    return replace(
        ray,
        bones=bones,
        gaps_mm=tuple(gap * wider for gap in ray.gaps_mm),
        first_gap_mm=ray.first_gap_mm * wider,
    )


def _bone(
    length_mm: float, widths_mm: tuple[float, float, float], cortex_mm: float, flatness: float
) -> BoneSize:
    """Return a bone from its length and its widths at base, waist and head."""
    return BoneSize(
        length_mm=length_mm,
        base_width_mm=widths_mm[0],
        waist_width_mm=widths_mm[1],
        head_width_mm=widths_mm[2],
        cortex_mm=cortex_mm,
        flatness=flatness,
    )


def _last(length_mm: float, widths_mm: tuple[float, float, float]) -> BoneSize:
    """Return a last bone: flat, thin shell, rounded tuft."""
    thin = 0.16 * widths_mm[1]
    return replace(_bone(length_mm, widths_mm, thin, 0.62), head_length_share=0.34, neck_share=0.72)


_ADULT_HAND = (
    RaySize(
        bones=(
            _bone(46.2, (14.6, 9.2, 14.4), 2.0, 0.85),
            _bone(31.6, (14.4, 8.6, 12.0), 1.6, 0.75),
            _last(21.7, (13.2, 7.0, 9.6)),
        ),
        gaps_mm=(1.8, 1.5),
        first_gap_mm=1.7,
        soft_widths_mm=(31.0, 25.0, 21.5, 18.0),
        soft_flatness=0.9,
        beyond_tip_mm=5.7,
    ),
    RaySize(
        bones=(
            _bone(68.1, (15.2, 8.6, 14.8), 2.2, 0.95),
            _bone(39.8, (14.4, 8.6, 11.0), 1.7, 0.75),
            _bone(22.4, (12.4, 7.4, 9.6), 1.3, 0.75),
            _last(15.8, (9.8, 4.8, 7.4)),
        ),
        gaps_mm=(1.7, 1.3, 1.1),
        first_gap_mm=1.4,
        soft_widths_mm=(23.0, 24.0, 19.0, 16.5, 14.5),
        soft_flatness=0.9,
        beyond_tip_mm=3.8,
    ),
    RaySize(
        bones=(
            _bone(64.6, (14.6, 8.6, 14.4), 2.2, 0.95),
            _bone(44.6, (14.2, 9.0, 11.4), 1.7, 0.75),
            _bone(26.3, (12.8, 7.8, 10.0), 1.4, 0.75),
            _last(17.4, (10.2, 5.2, 7.8)),
        ),
        gaps_mm=(1.7, 1.3, 1.1),
        first_gap_mm=1.4,
        soft_widths_mm=(23.0, 24.0, 19.5, 17.0, 15.0),
        soft_flatness=0.9,
        beyond_tip_mm=4.0,
    ),
    RaySize(
        bones=(
            _bone(58.0, (12.4, 7.4, 12.8), 1.9, 0.95),
            _bone(41.4, (13.0, 8.2, 10.6), 1.6, 0.75),
            _bone(25.6, (11.8, 7.2, 9.4), 1.3, 0.75),
            _last(17.3, (9.6, 4.9, 7.4)),
        ),
        gaps_mm=(1.6, 1.2, 1.1),
        first_gap_mm=1.4,
        soft_widths_mm=(22.0, 22.5, 18.0, 16.0, 14.2),
        soft_flatness=0.9,
        beyond_tip_mm=3.9,
    ),
    RaySize(
        bones=(
            _bone(53.7, (12.6, 7.4, 12.4), 1.8, 0.9),
            _bone(32.7, (12.2, 7.4, 9.4), 1.4, 0.75),
            _bone(18.1, (10.2, 6.4, 8.2), 1.1, 0.75),
            _last(16.0, (8.4, 4.2, 6.4)),
        ),
        gaps_mm=(1.5, 1.2, 1.0),
        first_gap_mm=1.4,
        soft_widths_mm=(23.0, 21.5, 16.0, 14.5, 13.0),
        soft_flatness=0.9,
        beyond_tip_mm=3.7,
    ),
)

_ADULT_FOOT = (
    RaySize(
        bones=(
            _bone(56.4, (19.5, 13.7, 21.5), 2.2, 0.9),
            _bone(28.0, (18.5, 12.4, 15.5), 1.7, 0.75),
            _last(22.0, (17.0, 10.4, 12.4)),
        ),
        gaps_mm=(2.0, 1.4),
        first_gap_mm=1.6,
        soft_widths_mm=(38.0, 36.0, 31.0, 26.0),
        soft_flatness=0.86,
        beyond_tip_mm=5.5,
    ),
    RaySize(
        bones=(
            _bone(72.0, (13.6, 7.8, 11.2), 2.4, 0.95),
            _bone(25.0, (11.0, 6.2, 9.7), 1.3, 0.8),
            _bone(12.5, (9.4, 6.8, 8.4), 0.9, 0.8),
            _last(10.5, (8.2, 4.6, 6.0)),
        ),
        gaps_mm=(1.6, 1.1, 1.0),
        first_gap_mm=1.4,
        soft_widths_mm=(26.0, 22.0, 16.5, 15.5, 14.0),
        soft_flatness=0.95,
        beyond_tip_mm=4.0,
    ),
    RaySize(
        bones=(
            _bone(67.0, (12.6, 6.8, 10.4), 2.0, 0.95),
            _bone(23.0, (10.2, 5.6, 9.0), 1.1, 0.8),
            _bone(10.5, (8.4, 6.2, 7.6), 0.8, 0.8),
            _last(9.5, (7.4, 4.2, 5.4)),
        ),
        gaps_mm=(1.5, 1.0, 1.0),
        first_gap_mm=1.4,
        soft_widths_mm=(26.0, 21.0, 15.5, 14.5, 13.0),
        soft_flatness=0.95,
        beyond_tip_mm=3.8,
    ),
    RaySize(
        bones=(
            _bone(65.0, (12.4, 6.6, 10.2), 1.9, 0.95),
            _bone(21.0, (9.8, 5.4, 8.5), 1.1, 0.8),
            _bone(8.6, (7.8, 6.0, 7.0), 0.8, 0.8),
            _last(8.8, (7.0, 4.0, 5.2)),
        ),
        gaps_mm=(1.4, 1.0, 0.9),
        first_gap_mm=1.4,
        soft_widths_mm=(26.0, 21.0, 15.0, 14.0, 12.6),
        soft_flatness=0.95,
        beyond_tip_mm=3.8,
    ),
    RaySize(
        bones=(
            _bone(64.0, (14.0, 6.8, 10.0), 1.9, 0.9),
            _bone(19.0, (9.6, 5.6, 8.2), 1.1, 0.8),
            _bone(7.6, (7.4, 5.8, 6.4), 0.8, 0.8),
            _last(8.2, (6.6, 3.9, 5.0)),
        ),
        gaps_mm=(1.4, 1.0, 0.9),
        first_gap_mm=1.4,
        soft_widths_mm=(26.0, 22.0, 15.5, 14.0, 12.8),
        soft_flatness=0.95,
        beyond_tip_mm=3.6,
    ),
)
