"""Rules of eligibility about an open or badly covered defect of the pulp."""

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.case.hand import StumpSkin
from thumbwright.core.foundations.sources import Basis, Published
from thumbwright.core.techniques.rule_answers import (
    ASSUMED,
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    read_at,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

_ADVANCEMENT = read_at("wheeless-palmar-advancement", "text")
_ADVANCES_EASILY = Published(value=15.0, unit="mm", basis=_ADVANCEMENT)
_ADVANCES_AT_MOST = Published(value=20.0, unit="mm", basis=_ADVANCEMENT)
_HEALS_EASILY = Published(value=10.0, unit="mm", basis=COMMON_PRACTICE)
_HEALS_AT_MOST = Published(value=15.0, unit="mm", basis=ASSUMED)
_LARGE_PULP_LOSS = Published(value=2 / 3, unit="-", basis=read_at("wheeless-thumb-defects", "text"))
_BADLY_COVERED = {
    StumpSkin.OPEN_WOUND,
    StumpSkin.UNSTABLE,
    StumpSkin.THIN,
    StumpSkin.SCARRED,
}


def there_is_a_defect_to_cover(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a defect of skin or pulp: without one, nothing is to be covered."""
    kept = situation.case.kept
    sizes = {
        "the size of the skin defect": kept.pulp_defect_mm,
        "the share of the pulp that is lost": kept.pulp_lost_share,
    }
    known = [size for size in sizes.values() if not isinstance(size, NotExamined)]
    if any(known) or kept.stump_skin in _BADLY_COVERED:
        return Met(reason="There is skin or pulp to replace.", basis=COMMON_PRACTICE)
    unseen = [what for what, size in sizes.items() if isinstance(size, NotExamined)]
    if kept.stump_skin is StumpSkin.NOT_EXAMINED:
        unseen.append("the skin of the stump")
    if unseen:
        return Unsettled(
            reason="Whether there is a defect to cover is not known.",
            basis=COMMON_PRACTICE,
            needed=tuple(unseen),
        )
    return NotMet(reason="The stump is soundly covered.", basis=COMMON_PRACTICE)


def defect_is_small_enough_to_advance_over(
    _technique: Technique, situation: Situation
) -> RuleAnswer:
    """Ask for a palmar defect that a flap of the thumb itself can reach over."""
    return _small_enough(
        situation, _ADVANCES_EASILY, _ADVANCES_AT_MOST, "for a palmar advancement flap"
    )


def defect_is_small_enough_to_heal_by_itself(
    _technique: Technique, situation: Situation
) -> RuleAnswer:
    """Ask for a defect that closes by itself in a few weeks."""
    return _small_enough(situation, _HEALS_EASILY, _HEALS_AT_MOST, "for healing by itself")


def _small_enough(
    situation: Situation, easily: Published, at_most: Published, what: str
) -> RuleAnswer:
    size_mm = situation.case.kept.pulp_defect_mm
    if isinstance(size_mm, NotExamined):
        return Unsettled(
            reason=f"The size of the skin defect was not measured, so whether it is small enough "
            f"{what} is not known.",
            basis=at_most.basis,
            needed=("the size of the skin defect",),
        )
    stated = f"The skin defect measures {size_mm:g} mm"
    if size_mm <= easily.value:
        return Met(reason=f"{stated}, at most {easily.value:g} mm {what}.", basis=easily.basis)
    limit = f"{at_most.value:g} mm is the limit {what}"
    if size_mm <= at_most.value:
        return Advice(reason=f"{stated}; {limit}.", basis=at_most.basis, grave=True)
    return NotMet(reason=f"{stated}; {limit}.", basis=at_most.basis)


def pulp_loss_is_large(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise against a costly flap for a small loss of the pulp."""
    share = situation.case.kept.pulp_lost_share
    basis: Basis = _LARGE_PULP_LOSS.basis
    if isinstance(share, NotExamined):
        return Advice(reason="The share of the pulp that is lost is not known.", basis=basis)
    if share > _LARGE_PULP_LOSS.value:
        return Met(reason=f"{share:.0%} of the pulp is lost.", basis=basis)
    return Advice(
        reason=f"{share:.0%} of the pulp is lost; this flap is for more than two thirds, and "
        "less is commonly covered with less.",
        basis=basis,
    )
