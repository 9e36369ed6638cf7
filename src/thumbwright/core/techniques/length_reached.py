"""How much bone each technique would add in one case, and how long the thumb would then be."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import sqrt

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, difference, total
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import RayName
from thumbwright.core.radiograph.lengths import Lengths, RayLengths
from thumbwright.core.techniques.rules_of_the_length import length_added
from thumbwright.core.techniques.rules_of_the_patient import toes_not_refused
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import Family, Span, Take, Technique, Toe

TRIMMED_AT_REPLANTATION = Published(
    value=3.8,
    uncertainty=2.0,
    unit="mm",
    basis=Basis(
        provenance=Provenance.READ, source="cheng-replants-1996", locator="abstract; doubt assumed"
    ),
)
"""Bone cut away at replantation; the phalanges stayed shorter by as much."""

_RAY_OF: Mapping[Toe, RayName] = {Toe.GREAT: RayName.GREAT_TOE, Toe.SECOND: RayName.SECOND_TOE}


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthReached:
    """What one technique makes of the length of one thumb."""

    added: Measured | Unknown
    """Bone that it adds beyond the end of the stump. [mm]"""
    whole: Measured | Unknown
    """CMC joint to bony tip after the operation. [mm]"""
    words: str
    """How it was come by, in one or two sentences."""


def length_reached(technique: Technique, situation: Situation, lengths: Lengths) -> LengthReached:
    """Tell how long the thumb would be after a technique.

    Parameters
    ----------
    technique
        The technique; whether it may be done in this case is not asked here.
    situation
        The case: level, growth and refusals decide what is given and which toe is asked.
    lengths
        Stump, wanted length and toes.

    Returns
    -------
    LengthReached
        Unknown wherever a length that it rests on is, with the same reason.

    Notes
    -----
    Nothing is added beyond the missing length: a surgeon cuts to the wanted length.
    """
    added, words = _ADDS.get(technique.family, _nothing)(technique, situation, lengths)
    return LengthReached(added=added, whole=_whole(lengths.stump, added), words=words)


def toe_reach(
    lengths: Lengths, ray: RayName, *, with_metatarsal: bool = False
) -> Measured | Unknown:
    """Return how much bone the longest measured toe of a kind has [mm].

    Parameters
    ----------
    lengths
        All lengths of the case.
    ray
        Great or second toe.
    with_metatarsal
        Whether the metatarsal counts, as far as it was marked; else from the MTP joint.

    Notes
    -----
    From the MTP joint: the whole ray less its metatarsal, where that was marked at both ends,
    so that half of the joint's space counts to the toe.
    """
    found = tuple(_reaches(lengths, ray, with_metatarsal=with_metatarsal))
    known = [reach for reach in found if isinstance(reach, Measured)]
    if known:
        return max(known, key=lambda reach: reach.value)
    return Unknown(
        reason=f"no {ray.value} was measured",
        needed=(f"a film of a foot with the points of the {ray.value}",),
    )


def _reaches(
    lengths: Lengths, ray: RayName, *, with_metatarsal: bool
) -> Iterator[Measured | Unknown]:
    for one in lengths.rays:
        if one.ray.name is ray and one.ray.region is Region.FOOT:
            yield one.whole if with_metatarsal else beyond_mtp(one)


def beyond_mtp(toe: RayLengths) -> Measured | Unknown:
    """Return the length of a toe from its MTP joint to its bony tip [mm]."""
    metatarsal = toe.ray.bones[0].name
    for bone in toe.bones:
        if bone.name == metatarsal and isinstance(toe.whole, Measured):
            return difference(toe.whole, bone.length, origin=f"{toe.ray.name.value} from its MTP")
    return toe.whole


def _whole(stump: Measured | Unknown, added: Measured | Unknown) -> Measured | Unknown:
    if isinstance(stump, Unknown):
        return Unknown(reason=f"the stump is unknown ({stump.reason})", needed=stump.needed)
    if isinstance(added, Unknown):
        return added
    return total((stump, added), origin="stump and what is added")


Added = tuple[Measured | Unknown, str]


def _nothing(technique: Technique, _situation: Situation, _lengths: Lengths) -> Added:
    zero = Measured(value=0.0, unit="mm", origin=f"{technique.short_name} adds no bone")
    if technique.family is Family.PROSTHESIS:
        return zero, "It is made to the wanted length, but adds no bone."
    if technique.key == "stump_trimming":
        return (
            zero,
            "It adds no bone and gives some up; the stump at its present length is a limit.",
        )
    return zero, "It adds no bone; the stump stays as long as it is."


def _up_to_missing(lengths: Lengths, limit: Measured | Unknown, what: str) -> Added:
    """Return the missing length, or the limit where that is less."""
    missing = lengths.missing
    if isinstance(missing, Unknown):
        return missing, f"{what} would supply what is missing, which is not known."
    if missing.value <= 0:
        none = Measured(value=0.0, unit="mm", origin="no bone is missing")
        return none, "No bone is missing, so none is added."
    if isinstance(limit, Unknown):
        return limit, f"How much {what} can supply is not known: {limit.reason}."
    if missing.value <= limit.value:
        return missing, (
            f"{what} supplies the {missing.value:.0f} mm that are missing; it has "
            f"{limit.value:.0f} mm."
        )
    return limit, (
        f"{what} has {limit.value:.0f} mm, and {missing.value:.0f} mm are missing, so the thumb "
        "stays shorter than the other."
    )


def ray_of_donor(technique: Technique, situation: Situation) -> RayName:
    """Return the ray of the toe that a toe technique takes, one that is not refused if it can."""
    asked = toes_not_refused(technique, situation) or technique.donor_toes
    return _RAY_OF[asked[0]]


def most_added(technique: Technique, situation: Situation, lengths: Lengths) -> Measured | Unknown:
    """Return how much bone a technique can add at most, missing or not [mm].

    Returns
    -------
    Measured | Unknown
        Unknown where print and films set no limit (a graft, a finger that is set as wanted).
    """
    if technique.family is Family.TOE:
        with_metatarsal = Take.METATARSAL_HEAD in technique.takes
        ray = ray_of_donor(technique, situation)
        return toe_reach(lengths, ray, with_metatarsal=with_metatarsal)
    span = length_added(technique, situation)
    if isinstance(span, Span):
        basis = f"upper end of {span.low:.0f} to {span.high:.0f} mm in print"
        return Measured(value=span.high, unit="mm", origin=basis)
    return Unknown(reason=span.reason, needed=span.needed)


def _by_toe(technique: Technique, situation: Situation, lengths: Lengths) -> Added:
    ray = ray_of_donor(technique, situation)
    with_metatarsal = Take.METATARSAL_HEAD in technique.takes
    limit = toe_reach(lengths, ray, with_metatarsal=with_metatarsal)
    part = " with its metatarsal" if with_metatarsal else ", taken at the MTP joint,"
    return _up_to_missing(lengths, limit, f"The {ray.value}{part}")


def _by_part_of_toe(technique: Technique, situation: Situation, lengths: Lengths) -> Added:
    if isinstance(technique.added_length, Span):
        return _nothing(technique, situation, lengths)
    if Take.ILIAC_BONE in technique.takes:
        return _by_graft(technique, situation, lengths)
    limit = _last_bone(lengths, RayName.GREAT_TOE)
    return _up_to_missing(lengths, limit, "The last phalanx of the great toe")


def _last_bone(lengths: Lengths, ray: RayName) -> Measured | Unknown:
    found = [
        bone.length
        for one in lengths.rays
        for bone in one.bones
        if one.ray.name is ray and bone.name == one.ray.bones[-1].name
    ]
    if found:
        return max(found, key=lambda length: length.value)
    return Unknown(
        reason=f"the last phalanx of no {ray.value} was measured",
        needed=(f"a film of a foot with the points of the {ray.value}",),
    )


def _by_graft(_technique: Technique, situation: Situation, lengths: Lengths) -> Added:
    """Return the missing length: the bone is cut to it, unless the metacarpal is lost too."""
    level = most_probable_level(situation)
    if isinstance(level, Unknown):
        return level, f"How much bone it adds hangs on the level, which is unknown: {level.reason}."
    if level.value >= Level.METACARPAL.value:
        limit = Unknown(
            reason="so long a graft is not built to the full, and print gives no length for it",
            needed=("the length that the surgeon means to build",),
        )
        return limit, f"How much it adds is not known: {limit.reason}."
    if isinstance(lengths.missing, Unknown):
        return lengths.missing, "The bone is cut to what is missing, which is not known."
    return _up_to_missing(lengths, lengths.missing, "The bone, cut to the wanted length,")


def _by_span(technique: Technique, situation: Situation, lengths: Lengths) -> Added:
    """Return the middle of the published span, cut off at what is missing."""
    span = length_added(technique, situation)
    if isinstance(span, Unknown):
        return span, f"How much it adds is not known: {span.reason}."
    missing = lengths.missing
    if isinstance(missing, Unknown):
        return missing, f"It adds {span.low:.0f} to {span.high:.0f} mm; what is missing is unknown."
    if missing.value <= span.low:
        return _up_to_missing(lengths, missing, "Lengthening, stopped at the wanted length,")
    high = min(span.high, missing.value)
    gained = Input(
        key=f"gain of {technique.key}",
        name="length gained by distraction",
        standard_uncertainty=(high - span.low) / sqrt(12),
        unit="mm",
        basis=f"published span {span.low:.0f} to {span.high:.0f} mm, taken as even",
    )
    added = Measured(
        value=(span.low + high) / 2,
        unit="mm",
        origin="middle of the published span",
        terms=(Term(input=gained, sensitivity=1.0),),
    )
    return added, (
        f"Print gives {span.low:.0f} to {span.high:.0f} mm; {missing.value:.0f} mm are missing."
    )


def _by_finger(technique: Technique, _situation: Situation, lengths: Lengths) -> Added:
    if Take.FINGER in technique.takes and technique.key != "pollicization":
        unknown = Unknown(
            reason="the length is that of what is left of the finger",
            needed=("a film of the injured hand with the points of that finger",),
        )
        return unknown, f"How much it adds is not known: {unknown.reason}."
    if isinstance(lengths.missing, Unknown):
        return lengths.missing, "The finger is set to the wanted length, which is not known."
    return lengths.missing, "The finger is set to the wanted length."


def _by_own_part(_technique: Technique, _situation: Situation, lengths: Lengths) -> Added:
    missing = lengths.missing
    if isinstance(missing, Unknown):
        return missing, "The part brings back what is missing, which is not known."
    trimmed = Measured(
        value=min(TRIMMED_AT_REPLANTATION.value, missing.value),
        unit="mm",
        origin="bone trimmed at replantation",
        terms=(
            Term(
                input=Input(
                    key="trimmed at replantation",
                    name="bone trimmed at replantation",
                    standard_uncertainty=TRIMMED_AT_REPLANTATION.uncertainty or 0.0,
                    unit="mm",
                    basis="mean of 45 digits; its spread is a working assumption",
                ),
                sensitivity=-1.0,
            ),
        ),
    )
    added = difference(missing, trimmed, origin="the part less the bone that is trimmed")
    return added, f"The part brings back what is missing, less {trimmed.value:.0f} mm trimmed."


_ADDS: Mapping[Family, Callable[[Technique, Situation, Lengths], Added]] = {
    Family.TOE: _by_toe,
    Family.PART_OF_TOE: _by_part_of_toe,
    Family.OSTEOPLASTIC: _by_graft,
    Family.LENGTHENING: _by_span,
    Family.FINGER: _by_finger,
    Family.REPLANTATION: _by_own_part,
}
