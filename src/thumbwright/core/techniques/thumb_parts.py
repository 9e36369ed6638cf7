"""Of which pieces of bone a new thumb is made, how long each is and how each grows."""

from collections.abc import Iterator
from dataclasses import dataclass

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, difference, scaled
from thumbwright.core.growth.transfer import Grows
from thumbwright.core.radiograph.landmarks import RAYS, Bone, RayName
from thumbwright.core.radiograph.lengths import Lengths, RayLengths
from thumbwright.core.radiograph.transposition import AT_JOINT_MM
from thumbwright.core.techniques.length_reached import (
    TRIMMED_AT_REPLANTATION,
    LengthReached,
    beyond_mtp,
    ray_of_donor,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Family, Take, Technique

PLATE_FROM_JOINT_MM = 6.0
"""A piece shorter than this beyond a joint does not keep the plate there [mm]; assumed."""
WORN = "prosthesis"
"""Name of what is worn and is no bone."""
_LEAST_MM = 0.05
"""Less than this is no piece."""
_OWN_BONES = ("first metacarpal", "proximal phalanx", "distal phalanx")


@dataclass(frozen=True, slots=True, kw_only=True)
class ThumbPart:
    """One piece of a thumb as it is after the operation."""

    name: str
    length_mm: float
    """Now."""
    grown_from: Measured | None
    """The whole bone whose growth it takes part in; None where it does not grow. [mm]"""
    grows: Grows
    words: str = ""
    """What is to be known of it; empty where nothing."""


def own_parts(lengths: Lengths) -> tuple[ThumbPart, ...] | Unknown:
    """Return what is left of the own thumb, bone by bone.

    Parameters
    ----------
    lengths
        Stump, and the other thumb as the pattern.

    Notes
    -----
    Every bone of the other thumb is compared with the stump. A bone that is left to within
    3 mm counts as whole; of a bone cut short the plate at its base grows on, unless under 6 mm
    are left of it. Halves of the joint spaces count to the bones.
    """
    stump = lengths.stump
    if isinstance(stump, Unknown):
        return Unknown(reason=f"the stump is unknown ({stump.reason})", needed=stump.needed)
    if stump.value <= 0:
        return ()
    pattern = _pattern(lengths)
    if not pattern:
        words = "The other thumb was not measured joint by joint, so this is taken as one whole."
        return (
            ThumbPart(
                name="what is left of the own ray",
                length_mm=stump.value,
                grown_from=stump,
                grows=Grows.AS_OWN,
                words=words,
            ),
        )
    return tuple(_left_of(stump, pattern))


def _pattern(lengths: Lengths) -> tuple[tuple[str, Measured, Measured], ...]:
    """Return each bone of the other thumb with its begin and its length, from the CMC joint."""
    heights = [joint.from_tip for joint in lengths.wanted.joints]
    known = [height for height in heights if isinstance(height, Measured)]
    if len(known) != len(_OWN_BONES):
        return ()
    whole = known[0]
    ends = [*known[1:], None]
    return tuple(
        (
            bone,
            difference(whole, base, origin=f"begin of the {bone}"),
            base if end is None else difference(base, end, origin=f"{bone}, joint to joint"),
        )
        for bone, base, end in zip(_OWN_BONES, known, ends, strict=True)
    )


def _left_of(
    stump: Measured, pattern: tuple[tuple[str, Measured, Measured], ...]
) -> Iterator[ThumbPart]:
    for bone, begin, length in pattern:
        left_mm = min(stump.value - begin.value, length.value)
        is_last = stump.value - begin.value <= length.value + AT_JOINT_MM
        if left_mm <= 0:
            return
        lasts_mm = stump.value - begin.value if is_last else length.value
        if left_mm >= length.value - AT_JOINT_MM:
            yield ThumbPart(
                name=f"own {bone}", length_mm=lasts_mm, grown_from=length, grows=Grows.AS_OWN
            )
        elif left_mm >= PLATE_FROM_JOINT_MM:
            yield ThumbPart(
                name=f"own {bone}, cut short",
                length_mm=lasts_mm,
                grown_from=length,
                grows=Grows.AS_OWN_PLATE_END,
                words="Its plate is at the base and is kept; the growth of the lost end is gone.",
            )
        else:
            yield _still(f"own {bone}, its base only", lasts_mm, "Its plate is taken as lost.")
        if is_last:
            return


def added_parts(
    technique: Technique, situation: Situation, lengths: Lengths, reached: LengthReached
) -> tuple[ThumbPart, ...] | Unknown:
    """Return what a technique adds to the own thumb, piece by piece.

    Parameters
    ----------
    technique, situation, lengths
        What is done, in which case, with which lengths.
    reached
        How much it adds.
    """
    added = reached.added
    if isinstance(added, Unknown):
        return added
    if technique.family is Family.PROSTHESIS:
        return (_still(WORN, 0.0, "It is made anew as the child grows."),)
    if added.value <= 0:
        return ()
    if technique.family is Family.TOE:
        return _toe_parts(technique, situation, lengths, added.value)
    if technique.family is Family.REPLANTATION:
        return _replanted(lengths, added.value)
    return (_one_piece(technique, added),)


def _one_piece(technique: Technique, added: Measured) -> ThumbPart:
    if technique.family is Family.FINGER:
        return ThumbPart(
            name="finger", length_mm=added.value, grown_from=added, grows=Grows.AS_FINGER
        )
    if technique.family is Family.LENGTHENING:
        words = "New bone between the halves has no plate; the own plate grows on."
        return _still("bone grown by distraction", added.value, words)
    if Take.PART_OF_GREAT_TOE in technique.takes and Take.ILIAC_BONE not in technique.takes:
        return _still("tip of the great toe", added.value, "It carries no plate.")
    return _still("bone graft", added.value, "A bone without a plate does not grow.")


def _still(name: str, length_mm: float, words: str) -> ThumbPart:
    return ThumbPart(name=name, length_mm=length_mm, grown_from=None, grows=Grows.NOT, words=words)


def _replanted(lengths: Lengths, added_mm: float) -> tuple[ThumbPart, ...] | Unknown:
    """Return the bones of the part: those of the other thumb that the stump has not."""
    pattern = _pattern(lengths)
    if not pattern or isinstance(lengths.missing, Unknown):
        return Unknown(
            reason="the other thumb was not measured joint by joint",
            needed=("every joint of the other thumb on its film",),
        )
    rest_mm, found = added_mm, []
    for bone, _, length in reversed(pattern):
        taken_mm = min(rest_mm, length.value)
        if taken_mm <= 0:
            break
        # Bone is trimmed beside the cut and not at the plate, so a trimmed bone keeps it.
        is_whole = taken_mm >= length.value - AT_JOINT_MM - TRIMMED_AT_REPLANTATION.value
        grows = Grows.AS_REPLANTED if is_whole else Grows.NOT
        found.append(
            ThumbPart(
                name=f"replanted {bone}",
                length_mm=taken_mm,
                grown_from=length if is_whole else None,
                grows=grows,
                words="" if is_whole else "Its plate is at the base and stayed with the stump.",
            )
        )
        rest_mm -= taken_mm
    return tuple(reversed(found))


def _toe_parts(
    technique: Technique, situation: Situation, lengths: Lengths, added_mm: float
) -> tuple[ThumbPart, ...] | Unknown:
    ray = ray_of_donor(technique, situation)
    toe = _longest(lengths, ray)
    phalanges = RAYS[ray].bones[1:]
    bones = {bone.name: bone.length for bone in toe.bones} if toe else {}
    if any(bone.name not in bones for bone in phalanges):
        return Unknown(
            reason=f"not every phalanx of the {ray.value} was measured at both ends",
            needed=(f"the points of the {ray.value} on a film of the foot",),
        )
    # On a child's film the gaps are mostly cartilage that turns to bone, so they go with it.
    rest_mm, found = added_mm, []
    joined = {name: scaled(length, _with_gaps(toe, phalanges)) for name, length in bones.items()}
    for bone in reversed(phalanges):
        taken_mm = min(rest_mm, joined[bone.name].value)
        if taken_mm > 0:
            found.append(_toe_piece(bone.name, joined[bone.name], taken_mm))
            rest_mm -= taken_mm
    metatarsal = RAYS[ray].bones[0].name
    if rest_mm > _LEAST_MM and metatarsal in bones:
        found.append(_metatarsal_piece(ray, bones[metatarsal], rest_mm))
    return tuple(reversed(found))


def _with_gaps(toe: RayLengths | None, phalanges: tuple[Bone, ...]) -> float:
    """Return the toe beyond its MTP joint over the sum of its phalanges [-]."""
    reach = beyond_mtp(toe) if toe else Unknown(reason="no toe was measured")
    if toe is None or isinstance(reach, Unknown):
        return 1.0
    names = {bone.name for bone in phalanges}
    return max(reach.value / sum(b.length.value for b in toe.bones if b.name in names), 1.0)


def _longest(lengths: Lengths, ray: RayName) -> RayLengths | None:
    toes = [one for one in lengths.rays if one.ray.name is ray and isinstance(one.whole, Measured)]
    known = [(one.whole.value, one) for one in toes if isinstance(one.whole, Measured)]
    return max(known, key=lambda pair: pair[0])[1] if known else None


def _toe_piece(bone: str, length: Measured, taken_mm: float) -> ThumbPart:
    if taken_mm >= length.value - AT_JOINT_MM:
        return ThumbPart(
            name=f"toe, {bone}", length_mm=taken_mm, grown_from=length, grows=Grows.AS_TOE
        )
    return _still(
        f"toe, far end of the {bone}",
        taken_mm,
        "Its plate lies at the base, beyond the cut, and stays in the foot or is lost.",
    )


def _metatarsal_piece(ray: RayName, length: Measured, taken_mm: float) -> ThumbPart:
    name = f"toe, far end of the {RAYS[ray].bones[0].name}"
    if ray is RayName.SECOND_TOE and taken_mm >= PLATE_FROM_JOINT_MM:
        return ThumbPart(
            name=name,
            length_mm=taken_mm,
            grown_from=length,
            grows=Grows.AS_TOE_PLATE_END,
            words="Its plate lies at the head and comes with it.",
        )
    return _still(name, taken_mm, "So short a piece, or this bone's far end, carries no plate.")
