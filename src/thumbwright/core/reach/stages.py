"""Stages of opposition: the test of Kapandji as data, and how it is counted."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.reach.skeleton import Digit, Hand, Use
from thumbwright.core.reach.targets import Meeting, beside, creases, palmar_crease, tips

_READ = Basis(provenance=Provenance.READ, source="kapandji-1986", locator="abstract")
_ZERO = Basis(
    provenance=Provenance.RECALLED,
    source="kapandji-1986",
    locator="stage 0 from memory; the abstract begins at 1",
)
SHIFTED = Statement(
    text=(
        "Some tables put stages 1 and 2 one phalanx nearer the palm; the abstract of the author "
        "puts them at the middle and the last phalanx, as is done here."
    ),
    basis=_READ,
)
RULE = Statement(
    text="A stage counts only if those before it can be reached too.",
    basis=_READ,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRule:
    """One stage: what the end of the thumb touches."""

    number: int
    digit: Digit
    words: str
    in_shifted_tables: str
    """The wording of tables that put the early stages one phalanx nearer the palm."""
    basis: Basis


def _rule(number: int, digit: Digit, words: str, shifted: str = "") -> StageRule:
    return StageRule(
        number=number,
        digit=digit,
        words=words,
        in_shifted_tables=shifted or words,
        basis=_ZERO if number == 0 else _READ,
    )


_SIDE = "the thumb's side of the {} phalanx of the index"
STAGES = (
    _rule(0, Digit.INDEX, _SIDE.format("proximal")),
    _rule(1, Digit.INDEX, _SIDE.format("middle"), _SIDE.format("proximal")),
    _rule(2, Digit.INDEX, _SIDE.format("distal"), _SIDE.format("middle")),
    _rule(3, Digit.INDEX, "the tip of the index"),
    _rule(4, Digit.MIDDLE, "the tip of the middle finger"),
    _rule(5, Digit.RING, "the tip of the ring finger"),
    _rule(6, Digit.LITTLE, "the tip of the little finger"),
    _rule(7, Digit.LITTLE, "the DIP crease of the little finger"),
    _rule(8, Digit.LITTLE, "the PIP crease of the little finger"),
    _rule(9, Digit.LITTLE, "the crease at the base of the little finger"),
    _rule(10, Digit.LITTLE, "the distal palmar crease below the little finger"),
)
HIGHEST = 10
TIP_STAGES: Mapping[int, Digit] = {
    3: Digit.INDEX,
    4: Digit.MIDDLE,
    5: Digit.RING,
    6: Digit.LITTLE,
}


def stage_places(hand: Hand) -> Mapping[int, tuple[Meeting, ...]]:
    """Return the places of each stage that this hand has; a finger that is gone has none."""
    return {
        stage.number: places_of(hand, stage.number)
        for stage in STAGES
        if hand.finger(stage.digit).use is not Use.GONE
    }


def places_of(hand: Hand, number: int) -> tuple[Meeting, ...]:
    """Return the places of one stage; any side of the thumb will do."""
    return tuple(replace(one, faces=None) for one in _places(hand, number))


def _places(hand: Hand, number: int) -> tuple[Meeting, ...]:
    if number < min(TIP_STAGES):
        return beside(hand, Digit.INDEX, number)
    if number in TIP_STAGES:
        return tips(hand, TIP_STAGES[number])
    if number < HIGHEST:
        return creases(hand, Digit.LITTLE, 9 - number)
    return palmar_crease(hand, Digit.LITTLE)


def counted(touched: Mapping[int, NDArray[np.bool_]]) -> Mapping[int, NDArray[np.bool_]]:
    """Count each stage only where all testable stages before it are reached.

    Notes
    -----
    Stage 0 does not bind the others, because the source's abstract does not name it.
    """
    found: dict[int, NDArray[np.bool_]] = {}
    so_far: NDArray[np.bool_] | None = None
    for number in sorted(touched):
        here = touched[number]
        if number == 0:
            found[number] = here
            continue
        so_far = here if so_far is None else so_far & here
        found[number] = so_far
    return found


def highest(counted_stages: Mapping[int, NDArray[np.bool_]]) -> NDArray[np.int16]:
    """Return the highest stage of each draw; -1 where not even one is reached."""
    first = next(iter(counted_stages.values()))
    best = np.full(first.shape, -1, dtype=np.int16)
    for number in sorted(counted_stages):
        best[counted_stages[number]] = number
    return best
