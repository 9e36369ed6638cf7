"""Which arms may be pooled for one technique and outcome, and why each other one is left out."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.study import Population, StudyArm, Subset


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """An arm that was not pooled."""

    arm: StudyArm
    reason: str
    """Why, as the end of a sentence that begins with *because*."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Selection:
    """The arms that are pooled, and those that are not."""

    arms: tuple[StudyArm, ...]
    left_out: tuple[LeftOut, ...] = ()


def arms_of(
    arms: Iterable[StudyArm], technique: str, outcome: Outcome, subset: Subset
) -> tuple[StudyArm, ...]:
    """Return the arms that speak of a technique and an outcome in one way, in order of keys."""
    found = [a for a in arms if a.outcome is outcome and a.speaks_of(technique) is subset]
    return tuple(sorted(found, key=lambda arm: arm.key))


def select(
    arms: Iterable[StudyArm],
    *,
    with_recalled: bool = False,
    people: Population | None = None,
    taken_groups: Collection[str] = (),
) -> Selection:
    """Choose the arms that may be added to each other.

    Parameters
    ----------
    arms
        Arms of one technique, outcome and subset.
    with_recalled
        Whether numbers from memory are let in; they are labelled wherever they show.
    people
        Children or adults alone; None takes all.
    taken_groups
        Groups of series of which people were counted already.
    """
    kept: list[StudyArm] = []
    left: list[LeftOut] = []
    for arm in sorted(arms, key=lambda one: one.key):
        reason = _reason_against(arm, with_recalled, people, taken_groups)
        if reason:
            left.append(LeftOut(arm=arm, reason=reason))
        else:
            kept.append(arm)
    smaller = tuple(_smaller_of_overlapping(kept))
    gone = {one.arm.key for one in smaller}
    return Selection(
        arms=tuple(arm for arm in kept if arm.key not in gone), left_out=(*left, *smaller)
    )


def _reason_against(
    arm: StudyArm,
    with_recalled: bool,
    people: Population | None,
    taken_groups: Collection[str],
) -> str:
    other = {Population.CHILD: Population.ADULT, Population.ADULT: Population.CHILD}
    if arm.is_recalled and not with_recalled:
        return "its numbers are from memory, unverified"
    if people in other and arm.population is other[people]:
        return f"it followed {'adults' if people is Population.CHILD else 'children'}"
    if arm.overlap_group and arm.overlap_group in taken_groups:
        return "its people may be among those of a purer series that is used"
    return ""


def _smaller_of_overlapping(arms: list[StudyArm]) -> Iterator[LeftOut]:
    """Yield the arms of every source but the largest, in each group that may hold the same people.

    Arms of one source are different people, so they stay or go together.
    """
    for group in sorted({arm.overlap_group for arm in arms} - {""}):
        members = [arm for arm in arms if arm.overlap_group == group]
        sources = sorted({arm.basis.source for arm in members})
        sizes = {
            source: sum(arm.total or 0 for arm in members if arm.basis.source == source)
            for source in sources
        }
        largest = max(sources, key=lambda source: (sizes[source], source))
        for arm in members:
            if arm.basis.source != largest:
                yield LeftOut(
                    arm=arm,
                    reason=(
                        f"its people may be among the {sizes[largest]} of another series, which is "
                        "used in its place"
                    ),
                )
