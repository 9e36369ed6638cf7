"""One case: the facts together; no calculation."""

from dataclasses import dataclass, field
from datetime import date
from typing import Annotated

from annotated_types import Len

from thumbwright.core.case.feet import Feet
from thumbwright.core.case.girths import Girths, VesselWays
from thumbwright.core.case.goals import Facility, Wishes
from thumbwright.core.case.growth_checks import GrowthCheck
from thumbwright.core.case.hand import Fingers, Kept, OtherThumb, RecipientVessels
from thumbwright.core.case.injury import Injury
from thumbwright.core.case.patient import Patient


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Everything that was found, on the day it was found."""

    case_id: Annotated[str, Len(1, 40)] = field(
        metadata={"description": "The unit's own number or word for the case; no hospital number."}
    )
    examined_on: date = field(metadata={"description": "Day of the examination."})
    patient: Patient
    injury: Injury
    kept: Kept = field(default_factory=Kept)
    other_thumb: OtherThumb = OtherThumb.NOT_EXAMINED
    fingers: Fingers = field(default_factory=Fingers)
    recipient_vessels: RecipientVessels = field(default_factory=RecipientVessels)
    feet: Feet = field(default_factory=Feet)
    facility: Facility = field(default_factory=Facility)
    wishes: Wishes = field(default_factory=Wishes)
    girths: Girths = field(default_factory=Girths)
    vessel_ways: VesselWays = field(default_factory=VesselWays)
    growth_checks: tuple[GrowthCheck, ...] = field(
        default=(),
        metadata={"description": "Later visits at which growth was looked at, earliest first."},
    )
