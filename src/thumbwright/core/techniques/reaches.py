"""The reach of every technique that may be had in one case, on the same draws of one hand."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.reach.proportions import hand_by_thumb
from thumbwright.core.reach.reach import reach_of
from thumbwright.core.reach.results import Reach
from thumbwright.core.reach.skeleton import HandSpec, Thumb
from thumbwright.core.reach.standing import Standing, normal_thumb, stand
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.resulting_skeleton import (
    finger_uses,
    resulting_thumb,
    whole_links,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

DRAWS = 2000
SEED = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownReach:
    """A technique whose reach cannot be told."""

    key: str
    why: Unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaches:
    """The reach of each technique, and of the whole thumb that this hand would have."""

    whole: Reach
    """A whole normal thumb on this hand: what the other hand can do."""
    reaches: tuple[Reach, ...]
    unknown: tuple[UnknownReach, ...]
    normal_prob: float
    """Share of the draws that were hands that a normal thumb can use; the others were put aside."""

    def of(self, key: str) -> Reach | Unknown:
        """Return the reach of one technique."""
        for one in self.reaches:
            if one.key == key:
                return one
        for silent in self.unknown:
            if silent.key == key:
                return silent.why
        return Unknown(reason="its reach was not asked for, because it is closed")


def reaches(
    options: Sequence[Eligibility],
    situation: Situation,
    lengths: Lengths,
    *,
    seed: int = SEED,
    draws: int = DRAWS,
) -> Reaches:
    """Tell the reach of every technique that is not closed.

    Parameters
    ----------
    options
        Techniques with their verdicts; closed ones are left out.
    situation, lengths
        The case, its level and its lengths.
    seed, draws
        Kept with every result. [-]

    Notes
    -----
    Thumbs that are alike in every number are computed once: all flaps of skin leave the same
    skeleton.
    """
    hands: dict[tuple[object, ...], Standing] = {}
    known: dict[tuple[object, ...], Reach] = {}
    found: list[Reach] = []
    unknown: list[UnknownReach] = []
    for one in options:
        if one.verdict is Verdict.CLOSED:
            continue
        thumb = resulting_thumb(one.technique, situation, lengths)
        if isinstance(thumb, Unknown):
            unknown.append(UnknownReach(key=one.technique.key, why=thumb))
            continue
        standing = _standing(hands, one.technique, situation, lengths, (seed, draws))
        numbers = (*_numbers(thumb), *standing.spec.uses.items())
        if numbers not in known:
            known[numbers] = reach_of(thumb, standing, one.technique.key)
        found.append(_named(known[numbers], one.technique.key, thumb))
    standing = _standing(hands, None, situation, lengths, (seed, draws))
    return Reaches(
        whole=reach_of(standing.whole_thumb, standing),
        reaches=tuple(found),
        unknown=tuple(unknown),
        normal_prob=standing.normal_prob,
    )


def _standing(
    hands: dict[tuple[object, ...], Standing],
    technique: Technique | None,
    situation: Situation,
    lengths: Lengths,
    luck: tuple[int, int],
) -> Standing:
    """Return the hand for a technique; only one that moves a finger changes it."""
    uses = finger_uses(technique, situation)
    key = tuple(uses.items())
    if key not in hands:
        links = whole_links(lengths)
        length = links.metacarpal_mm + links.proximal_mm + links.distal_mm
        wanted = lengths.wanted.length
        doubt = wanted.uncertainty if isinstance(wanted, Measured) else 0.1 * length
        words = "the wanted length of the thumb" if isinstance(wanted, Measured) else "an adult"
        spec = HandSpec(size=hand_by_thumb(length, doubt, words), uses=uses)
        whole = normal_thumb(links.metacarpal_mm, links.proximal_mm, links.distal_mm)
        hands[key] = stand(spec, whole, *luck)
    return hands[key]


def _numbers(thumb: Thumb) -> tuple[object, ...]:
    """Return everything about a thumb that its reach hangs on."""
    joints = tuple(
        (one.low_deg, one.high_deg, one.low_doubt_deg, one.high_doubt_deg) for one in thumb.hinges
    )
    bones = (thumb.metacarpal_mm, thumb.proximal_mm, thumb.distal_mm, thumb.length_doubt_mm)
    return (*bones, thumb.skin_beyond_bone_mm, thumb.web_deg, thumb.web_doubt_deg, joints)


def _named(reach: Reach, key: str, thumb: Thumb) -> Reach:
    """Return the same reach under the name of another technique, with its own words."""
    own = thumb.remarks
    return replace(
        reach, key=key, thumb=thumb, remarks=(*own, *reach.remarks[len(reach.thumb.remarks) :])
    )
