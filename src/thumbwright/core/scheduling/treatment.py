"""The course of a treatment: its steps, what each needs, and the gaps between them."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from thumbwright.core.foundations.sources import Statement
from thumbwright.core.scheduling.durations import LogNormal
from thumbwright.core.scheduling.resources import Kind


class StepKind(Enum):
    """What a step of a treatment is."""

    INVESTIGATION = "investigation"
    CONSULTATION = "consultation"
    DECISION = "decision"
    ADMISSION = "admission"
    OPERATION = "operation"
    OBSERVATION = "observation"
    DISCHARGE = "discharge"
    THERAPY = "therapy"
    REVIEW = "review"
    SECONDARY = "secondary"

    @property
    def is_appointment(self) -> bool:
        """Return whether the patient comes for it and goes home again."""
        return self not in _IN_THE_HOUSE


_IN_THE_HOUSE = frozenset(
    {StepKind.ADMISSION, StepKind.OPERATION, StepKind.OBSERVATION, StepKind.DISCHARGE}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Days from the end of an earlier step to the start of this one."""

    after: str
    """Key of the earlier step."""
    earliest_days: float
    best_days: float
    latest_days: float | None
    """None where there is no latest day."""
    statement: Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentStep:
    """One step of a treatment."""

    key: str
    name: str
    """With its article, for use inside a sentence."""
    kind: StepKind
    needs: tuple[Kind, ...]
    length: LogNormal
    """How long it takes."""
    length_statement: Statement
    gaps: tuple[Gap, ...] = ()
    joins_vessels: bool = False
    """Whether vessels are joined, so that a reserve must be held for a return to theatre."""
    usual: bool = True
    """False for a later step that only some patients need; it is named and not booked."""
    share_prob: float | None = None
    """How often a later step is needed, where that is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment:
    """The steps of one technique, in order."""

    technique: str
    """Key of the technique."""
    pattern: str
    """Name of the course that it follows; several techniques share one."""
    steps: tuple[TreatmentStep, ...]
    emergency: bool = False
    """Whether it is done at once, beside the lists."""

    @property
    def booked(self) -> tuple[TreatmentStep, ...]:
        """Return the steps for which a time is sought."""
        return tuple(step for step in self.steps if step.usual)

    @property
    def operations(self) -> tuple[TreatmentStep, ...]:
        """Return the operations that are booked."""
        return tuple(step for step in self.booked if step.kind is StepKind.OPERATION)


Treatments = Mapping[str, Treatment]
"""Treatments by the key of the technique."""
