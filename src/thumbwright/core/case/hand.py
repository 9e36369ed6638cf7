"""What was kept of the thumb, the other fingers, and the vessels of the injured hand."""

from dataclasses import dataclass, field
from enum import Enum
from typing import Annotated

from annotated_types import Ge, Le

from thumbwright.core.case.examined import (
    NOT_EXAMINED,
    Angle,
    Finding,
    Length,
    NotExamined,
    Pulse,
    Quality,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One joint of the injured thumb."""

    present: Finding = Finding.NOT_EXAMINED
    mobile: Finding = Finding.NOT_EXAMINED
    stable: Finding = Finding.NOT_EXAMINED
    range_from_deg: Angle = field(
        default=NOT_EXAMINED,
        metadata={"description": "Active range, from: extension negative if beyond straight."},
    )
    range_to_deg: Angle = field(
        default=NOT_EXAMINED,
        metadata={"description": "Active range, to: flexion (CMC: abduction)"},
    )


class Nail(Enum):
    """What is left of the nail."""

    KEPT = "kept"
    PARTLY_KEPT = "partly_kept"
    LOST = "lost"
    NOT_EXAMINED = "not_examined"


class WebContracture(Enum):
    """How tight the first web is."""

    NONE = "none"
    MILD = "mild"
    SEVERE = "severe"
    NOT_EXAMINED = "not_examined"


class StumpSkin(Enum):
    """The skin over the end of the stump."""

    SOUND = "sound"
    THIN = "thin"
    SCARRED = "scarred"
    UNSTABLE = "unstable"
    OPEN_WOUND = "open_wound"
    NOT_EXAMINED = "not_examined"


class Neuroma(Enum):
    """Neuroma of the stump."""

    NONE = "none"
    PAINLESS = "painless"
    PAINFUL = "painful"
    NOT_EXAMINED = "not_examined"


class Tendon(Enum):
    """State of a tendon or muscle that could move a new thumb."""

    WORKING = "working"
    WEAK = "weak"
    LOST = "lost"
    NOT_EXAMINED = "not_examined"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tendons:
    """The motors left at the stump."""

    long_flexor: Tendon = Tendon.NOT_EXAMINED
    long_extensor: Tendon = Tendon.NOT_EXAMINED
    short_extensor: Tendon = Tendon.NOT_EXAMINED
    long_abductor: Tendon = Tendon.NOT_EXAMINED
    adductor: Tendon = Tendon.NOT_EXAMINED


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What was kept of the injured thumb."""

    cmc: Joint = field(default_factory=Joint)
    mcp: Joint = field(default_factory=Joint)
    ip: Joint = field(default_factory=Joint)
    nail: Nail = Nail.NOT_EXAMINED
    pulp_lost_share: Annotated[float, Ge(0), Le(1)] | NotExamined = field(
        default=NOT_EXAMINED, metadata={"description": "Share of the pulp lost, 0 to 1."}
    )
    pulp_defect_mm: Annotated[float, Ge(0), Le(80)] | NotExamined = field(
        default=NOT_EXAMINED,
        metadata={"description": "Greatest length of a palmar skin defect that is still open."},
    )
    thenar_function: Quality = Quality.NOT_EXAMINED
    first_web_span_deg: Angle = NOT_EXAMINED
    first_web_span_mm: Length = NOT_EXAMINED
    first_web_contracture: WebContracture = WebContracture.NOT_EXAMINED
    stump_skin: StumpSkin = StumpSkin.NOT_EXAMINED
    stump_feeling: Quality = Quality.NOT_EXAMINED
    two_point_mm: Annotated[float, Ge(1), Le(40)] | NotExamined = field(
        default=NOT_EXAMINED,
        metadata={"description": "Static two-point discrimination, stump."},
    )
    neuroma: Neuroma = Neuroma.NOT_EXAMINED
    tendons: Tendons = field(default_factory=Tendons)


class FingerState(Enum):
    """One finger of the injured hand."""

    SOUND = "sound"
    STIFF = "stiff"
    DAMAGED = "damaged"
    PARTLY_LOST = "partly_lost"
    LOST = "lost"
    NOT_EXAMINED = "not_examined"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fingers:
    """The other fingers of the injured hand."""

    index: FingerState = FingerState.NOT_EXAMINED
    middle: FingerState = FingerState.NOT_EXAMINED
    ring: FingerState = FingerState.NOT_EXAMINED
    little: FingerState = FingerState.NOT_EXAMINED


class OtherThumb(Enum):
    """The thumb of the other hand, which shows the length that is wanted."""

    SOUND = "sound"
    DAMAGED = "damaged"
    LOST = "lost"
    NOT_EXAMINED = "not_examined"


class AllenTest(Enum):
    """Which arteries fill the hand."""

    BOTH_FILL = "both_fill"
    RADIAL_ONLY = "radial_only"
    ULNAR_ONLY = "ulnar_only"
    NEITHER = "neither"
    NOT_EXAMINED = "not_examined"


class VesselImaging(Enum):
    """Angiography, by whichever means."""

    NOT_DONE = "not_done"
    NORMAL = "normal"
    ABNORMAL = "abnormal"
    NOT_EXAMINED = "not_examined"


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipientVessels:
    """Vessels of the injured hand and forearm."""

    radial_pulse: Pulse = Pulse.NOT_EXAMINED
    ulnar_pulse: Pulse = Pulse.NOT_EXAMINED
    snuffbox_doppler: Pulse = Pulse.NOT_EXAMINED
    allen_test: AllenTest = AllenTest.NOT_EXAMINED
    superficial_veins: Quality = Quality.NOT_EXAMINED
    imaging: VesselImaging = VesselImaging.NOT_EXAMINED
