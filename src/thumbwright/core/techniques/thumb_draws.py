"""Both thumbs draw by draw: what is left, what an operation brings, and how each piece grows."""

from collections.abc import Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np

from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.growth.allometry import Limb
from thumbwright.core.growth.forecast import growth_factors
from thumbwright.core.growth.stature import Floats
from thumbwright.core.growth.transfer import (
    SHARE_AFTER_REPLANTATION,
    SHARE_AFTER_TRANSFER,
    Grows,
    draw_plate_share,
)
from thumbwright.core.techniques.growth_scene import Scene
from thumbwright.core.techniques.length_reached import LengthReached, most_added
from thumbwright.core.techniques.technique import Family, Technique
from thumbwright.core.techniques.thumb_parts import ThumbPart

EXECUTION = Published(
    value=1.0,
    unit="mm",
    basis=Basis(provenance=Provenance.ASSUMED, locator="bone cut and fixed to within 1 mm"),
)
"""Standard uncertainty of the length that an operation makes, against the plan."""
BETWEEN_BONES = Published(
    value=0.05,
    unit="-",
    basis=Basis(provenance=Provenance.ASSUMED, locator="bones of one limb among themselves"),
)
"""Spread of the growth of one bone about that of its limb, over the growth."""
_AS_OWN = {Grows.AS_OWN, Grows.AS_OWN_PLATE_END}
_MOVED = {Grows.AS_TOE, Grows.AS_TOE_PLATE_END, Grows.AS_REPLANTED}


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnThumb:
    """Both thumbs, draw by draw: one row per draw, one column per age."""

    thumb: Floats
    """[mm]"""
    other: Floats
    """[mm]"""
    has_closed: np.ndarray[tuple[int], np.dtype[np.bool_]]
    """Whether a moved plate has closed too early."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """One technique in one scene, ready to be drawn for any age of operation."""

    technique: Technique
    reached: LengthReached
    parts: tuple[ThumbPart, ...]
    scene: Scene

    @property
    def adds(self) -> bool:
        """Tell whether the technique adds bone."""
        return isinstance(self.reached.added, Measured) and self.reached.added.value > 0

    def drawn(
        self, ages_years: Sequence[float], operation_years: float | None = None
    ) -> DrawnThumb:
        """Draw both thumbs at some ages after an operation now or later.

        Parameters
        ----------
        ages_years
            Ages at or after the operation. [years]
        operation_years
            Age at the operation; now where none is given. [years]
        """
        scene, rng = self.scene, self._rng()
        now = scene.situation.age_years
        begin = now if operation_years is None else operation_years
        hand, foot = self._factors(ages_years)
        hand_then, foot_then = self._factors((begin,))
        base = self._own_growth(rng)
        own = scene.stump[:, None] + base * (hand - 1)
        other = scene.other[:, None] * hand
        shares = self._shares(rng)
        closed = np.any(shares == 0, axis=1)
        if not self.adds:
            return DrawnThumb(thumb=own, other=other, has_closed=closed)
        missing = scene.other[:, None] * hand_then - (scene.stump[:, None] + base * (hand_then - 1))
        brought = self._brought(missing, foot_then, rng, now=begin == now)
        grown = self._added_growth(rng, shares, (hand, hand_then), (foot, foot_then))
        if any(part.grows is Grows.AS_FINGER for part in self.parts):
            grown = grown + brought * (hand / hand_then - 1) * self._of_bone(rng)[:, None]
        return DrawnThumb(thumb=own + brought + grown, other=other, has_closed=closed)

    def _rng(self) -> np.random.Generator:
        return np.random.default_rng([self.scene.seed, crc32(self.technique.key.encode())])

    def _factors(self, ages_years: Sequence[float]) -> tuple[Floats, Floats]:
        scene, wanted = self.scene, tuple(ages_years)
        if wanted == scene.ages_years:
            return scene.hand, scene.foot
        known = {age: at for at, age in enumerate(scene.known_years)}
        if all(age in known for age in wanted):
            columns = [known[age] for age in wanted]
            return scene.known_hand[:, columns], scene.known_foot[:, columns]
        return (
            growth_factors(scene.child, Limb.HAND, wanted),
            growth_factors(scene.child, Limb.FOOT, wanted),
        )

    def _of_bone(self, rng: np.random.Generator) -> Floats:
        """Draw how much of its limb's growth one bone shows [-]."""
        return rng.normal(1.0, BETWEEN_BONES.value, self.scene.child.draws)

    def _own_growth(self, rng: np.random.Generator) -> Floats:
        """Return the length from which the stump grows, one per draw [mm]."""
        scene = self.scene
        total: Floats = np.zeros(scene.child.draws)
        for part in self.parts:
            if part.grown_from is None or part.grows not in _AS_OWN:
                continue
            share = scene.plate_end_share if part.grows is Grows.AS_OWN_PLATE_END else 1.0
            total = total + scene.inputs.of(part.grown_from) * share * self._of_bone(rng)
        return total[:, None]

    def _moved(self) -> list[ThumbPart]:
        return [part for part in self.parts if part.grows in _MOVED]

    def _shares(self, rng: np.random.Generator) -> Floats:
        """Draw how each moved plate grows, one column per piece [-]."""
        moved, draws = self._moved(), self.scene.child.draws
        if not moved:
            return np.ones((draws, 0))
        is_toe = self.technique.family is Family.TOE
        mean = SHARE_AFTER_TRANSFER if is_toe else SHARE_AFTER_REPLANTATION
        return draw_plate_share(rng, draws, len(moved), mean)

    def _brought(
        self, missing: Floats, foot_then: Floats, rng: np.random.Generator, *, now: bool
    ) -> Floats:
        """Return the bone that the operation adds, one per draw [mm]."""
        scene, added = self.scene, self.reached.added
        assert isinstance(added, Measured)  # noqa: S101  `adds` was asked before
        plan = np.full((scene.child.draws, 1), added.value)
        limit = most_added(self.technique, scene.situation, scene.lengths)
        if self.technique.family is Family.LENGTHENING:
            plan = np.minimum(scene.inputs.of(added)[:, None], np.maximum(missing, 0.0))
        elif self.technique.family is Family.TOE and isinstance(limit, Measured):
            most = scene.inputs.of(limit)[:, None] * foot_then
            falls_short = limit.value <= added.value
            plan = np.minimum(missing, most) if not now else most if falls_short else plan
        elif not now:
            plan = missing
        done = plan + rng.normal(0.0, EXECUTION.value, plan.shape)
        found: Floats = np.maximum(done, 0.0)
        return found

    def _added_growth(
        self,
        rng: np.random.Generator,
        shares: Floats,
        hand: tuple[Floats, Floats],
        foot: tuple[Floats, Floats],
    ) -> Floats:
        """Return what the moved pieces have grown since the operation [mm]."""
        total: Floats = np.zeros_like(hand[0])
        for at, part in enumerate(self._moved()):
            now, then = hand if part.grows is Grows.AS_REPLANTED else foot
            share = shares[:, at] * self._of_bone(rng)
            if part.grows is Grows.AS_TOE_PLATE_END:
                share = share * self.scene.plate_end_share
            if part.grown_from is not None:
                base = self.scene.inputs.of(part.grown_from) * share
                total = total + base[:, None] * (now - then)
        return total
