"""Thumb, fingers and hand as hinges and links: as stated, and as arrays over draws."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from thumbwright.core.foundations.errors import UnitError
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.reach.rotations import Floats

HINGES = ("CMC flexion", "CMC abduction", "MCP flexion", "IP flexion", "CMC rotation")
"""The motions of a thumb, in the order of every list of angles."""


OF_THIS_HAND = Basis(provenance=Provenance.COMMON_PRACTICE, locator="found in this hand")
"""What a statement rests on that was measured or computed in this very case: on paper it carries
no source, as other findings do not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """One hinge: from where to where it moves, how sure that is, and what it rests on."""

    low_deg: float
    """Extension end; beyond straight is negative."""
    high_deg: float
    low_doubt_deg: float = 0.0
    """Standard uncertainty."""
    high_doubt_deg: float = 0.0
    statement: Statement

    def __post_init__(self) -> None:
        """Refuse a range that ends before it begins."""
        if self.low_deg > self.high_deg or min(self.low_doubt_deg, self.high_doubt_deg) < 0:
            msg = (
                f"a joint was given the range {self.low_deg} to {self.high_deg} degrees with the "
                f"doubts {self.low_doubt_deg} and {self.high_doubt_deg}; allowed is a range from "
                "low to high with doubts of 0 or more; write extension beyond straight as negative"
            )
            raise UnitError(msg)

    @property
    def moves(self) -> bool:
        """Return whether there is any motion."""
        return self.high_deg > self.low_deg


@dataclass(frozen=True, slots=True, kw_only=True)
class Thumb:
    """A thumb, as it is or as a technique would leave it."""

    metacarpal_mm: float
    """CMC joint to MCP joint, or to where that joint was."""
    proximal_mm: float
    """MCP joint to IP joint; 0 where nothing is left."""
    distal_mm: float
    """IP joint to the bony end."""
    skin_beyond_bone_mm: float
    length_doubt_mm: float
    """Standard uncertainty of the three together."""
    hinges: tuple[Hinge, Hinge, Hinge, Hinge, Hinge]
    """CMC flexion, CMC abduction, MCP flexion, IP flexion, CMC rotation."""
    web_deg: float
    """Widest angle between the first and the second metacarpal."""
    web_doubt_deg: float
    web: Statement
    remarks: tuple[Statement, ...] = ()

    def __post_init__(self) -> None:
        """Refuse bones of less than no length."""
        bones = (self.metacarpal_mm, self.proximal_mm, self.distal_mm)
        if min(*bones, self.length_doubt_mm, self.web_doubt_deg) < 0 or sum(bones) <= 0:
            msg = (
                f"a thumb was given bones of {bones} mm with doubts of {self.length_doubt_mm} mm "
                f"and {self.web_doubt_deg} degrees; allowed are 0 or more, and some length "
                "together; measure from the CMC joint"
            )
            raise UnitError(msg)

    @property
    def length_mm(self) -> float:
        """Return the length from the CMC joint to the bony end [mm]."""
        return self.metacarpal_mm + self.proximal_mm + self.distal_mm


class Digit(Enum):
    """A finger of the hand."""

    INDEX = "index"
    MIDDLE = "middle"
    RING = "ring"
    LITTLE = "little"


class Use(Enum):
    """What a finger can do when a thumb comes to meet it."""

    FULL = "full"
    STIFF = "stiff"
    SHORT = "short"
    """Its last phalanx is gone."""
    GONE = "gone"


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSize:
    """How large a hand is."""

    length_mm: float
    """Wrist crease to the tip of the middle finger."""
    length_doubt_mm: float
    statement: Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSpec:
    """The hand that a thumb meets."""

    size: HandSize
    uses: Mapping[Digit, Use]
    remarks: tuple[Statement, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A thumb in numbers; each array has one entry per draw and is read-only."""

    metacarpal_mm: Floats
    proximal_mm: Floats
    distal_mm: Floats
    """IP joint to the end of the skin."""
    pad_along_mm: Floats
    """IP joint to the middle of the pulp, along the bone."""
    pad_depth_mm: Floats
    """Bone axis to the skin of the pulp."""
    low_deg: Floats
    """[5, draw], in the order of the hinges."""
    high_deg: Floats
    web_deg: Floats

    def rows(self, chosen: slice) -> "Chain":
        """Return some of the draws."""
        return Chain(
            metacarpal_mm=self.metacarpal_mm[chosen],
            proximal_mm=self.proximal_mm[chosen],
            distal_mm=self.distal_mm[chosen],
            pad_along_mm=self.pad_along_mm[chosen],
            pad_depth_mm=self.pad_depth_mm[chosen],
            low_deg=self.low_deg[:, chosen],
            high_deg=self.high_deg[:, chosen],
            web_deg=self.web_deg[chosen],
        )


def joined(chains: Sequence[Chain]) -> Chain:
    """Put thumbs one behind the other, draw after draw."""
    return Chain(
        metacarpal_mm=np.concatenate([one.metacarpal_mm for one in chains]),
        proximal_mm=np.concatenate([one.proximal_mm for one in chains]),
        distal_mm=np.concatenate([one.distal_mm for one in chains]),
        pad_along_mm=np.concatenate([one.pad_along_mm for one in chains]),
        pad_depth_mm=np.concatenate([one.pad_depth_mm for one in chains]),
        low_deg=np.concatenate([one.low_deg for one in chains], axis=1),
        high_deg=np.concatenate([one.high_deg for one in chains], axis=1),
        web_deg=np.concatenate([one.web_deg for one in chains]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Finger:
    """A finger in numbers, one entry per draw."""

    digit: Digit
    use: Use
    mcp_mm: Floats
    """[draw, 3] in the hand frame, the hand flat."""
    links_mm: Floats
    """[3, draw]: proximal, middle, distal with its skin."""
    metacarpal_mm: Floats
    splay_deg: float
    """Turn of the plane in which it bends, towards the thumb's side positive."""
    cup_deg: float
    """How far its metacarpal bends at the base in a full fist."""
    pad_depth_mm: Floats
    half_width_mm: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """A hand in numbers, one entry per draw."""

    size_mm: Floats
    cmc_mm: Floats
    """[draw, 3]: where the flexion axis of the thumb's CMC joint stands."""
    base: Floats
    """[draw, 3, 3]: frame of the trapezium, axes in columns."""
    fingers: tuple[Finger, ...]
    tolerance_mm: Floats
    """Nearer than this is called touching."""

    @property
    def draws(self) -> int:
        """Return how many draws there are."""
        return int(np.size(self.size_mm))

    def first(self, draws: int) -> "Hand":
        """Return the first draws alone; the fingers stay as they are and are not asked."""
        return replace(
            self,
            size_mm=self.size_mm[:draws],
            cmc_mm=self.cmc_mm[:draws],
            base=self.base[:draws],
            tolerance_mm=self.tolerance_mm[:draws],
        )

    def finger(self, digit: Digit) -> Finger:
        """Return one finger."""
        return next(one for one in self.fingers if one.digit is digit)
