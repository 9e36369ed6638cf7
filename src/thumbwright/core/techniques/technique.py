"""What a technique of thumb reconstruction is: what it suits, takes, gives and costs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum, IntEnum

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.level.levels import Level


class Family(Enum):
    """Techniques of one kind."""

    REPLANTATION = "replantation"
    TOE = "toe"
    PART_OF_TOE = "part_of_toe"
    OSTEOPLASTIC = "osteoplastic"
    FINGER = "finger"
    LENGTHENING = "lengthening"
    WEB = "web"
    LOCAL_FLAP = "local_flap"
    SKIN = "skin"
    PROSTHESIS = "prosthesis"
    NO_OPERATION = "no_operation"

    @property
    def rebuilds(self) -> bool:
        """Return whether the technique works on the thumb itself."""
        return self not in {Family.PROSTHESIS, Family.NO_OPERATION}


class Suitability(Enum):
    """How well a technique suits a level of loss."""

    INDICATED = "indicated"
    SECOND_LINE = "second_line"
    NOT_INDICATED = "not_indicated"
    CONTRAINDICATED = "contraindicated"

    @property
    def may_be_done(self) -> bool:
        """Return whether the technique may be done at the level at all."""
        return self in {Suitability.INDICATED, Suitability.SECOND_LINE}

    @property
    def words(self) -> str:
        """Return the suitability as it is printed."""
        return self.value.replace("_", " ").replace("second line", "second line only")


class Grade(IntEnum):
    """How much of something a technique gives: a stated judgement, never a measurement."""

    NONE = 0
    POOR = 1
    FAIR = 2
    GOOD = 3

    @property
    def words(self) -> str:
        """Return the grade as it is printed."""
        return self.name.lower()


class Take(Enum):
    """Something a technique takes from the patient, or asks the patient to bear."""

    GREAT_TOE = "great_toe"
    PART_OF_GREAT_TOE = "part_of_great_toe"
    SECOND_TOE = "second_toe"
    PART_OF_SECOND_TOE = "part_of_second_toe"
    METATARSAL_HEAD = "metatarsal_head"
    FINGER = "finger"
    FINGER_SKIN = "finger_skin"
    ILIAC_BONE = "iliac_bone"
    GROIN_FLAP = "groin_flap"
    FOREARM_FLAP = "forearm_flap"
    EXTERNAL_FIXATOR = "external_fixator"
    SKIN_GRAFT = "skin_graft"
    PROSTHESIS = "prosthesis"


class Toe(Enum):
    """A toe that can be a donor."""

    GREAT = "great"
    SECOND = "second"


class ThumbJoint(Enum):
    """The three joints of a thumb, from the wrist outwards."""

    CMC = "cmc"
    MCP = "mcp"
    IP = "ip"

    @property
    def goal(self) -> Goal:
        """Return the goal that motion of this joint serves."""
        return Goal(f"{self.value}_motion")


class Gift(Enum):
    """What becomes of a joint under a technique."""

    KEPT = "kept"
    """The technique builds on the patient's own joint."""
    GIVEN = "given"
    """The technique brings a joint in."""
    NONE = "none"
    """No joint moves there afterwards."""
    NOT_AFFECTED = "not_affected"
    """The technique works elsewhere; what the patient has there stays as it is."""

    @property
    def is_the_patients_own(self) -> bool:
        """Return whether the motion is that of the patient's own joint."""
        return self in {Gift.KEPT, Gift.NOT_AFFECTED}


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFit:
    """How well a technique suits one level, and why."""

    suitability: Suitability
    statement: Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class JointGift:
    """What becomes of one joint at one level."""

    gift: Gift
    grade: Grade
    """Of the motion that is given; for the patient's own joint the case decides."""
    statement: Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class Graded:
    """A grade and the statement it rests on."""

    grade: Grade
    """Or the best that it can be, where it is that of the stump."""
    statement: Statement
    of_the_stump: bool = False
    """Whether the patient's own stump decides it: the case, not the catalogue, says how good."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From a low to a high value, with the statement it rests on."""

    low: float
    high: float
    unit: str
    statement: Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class Technique:
    """One technique; everything it states rests on a named basis."""

    key: str
    name: str
    short_name: str
    """With its article, for use inside a sentence: "the second toe"."""
    family: Family
    needs_microsurgery: bool
    is_operation: bool
    takes: tuple[Take, ...]
    donor_toes: tuple[Toe, ...]
    """Toes of which one is needed; empty where none is."""
    stages: int
    gives: Statement
    costs: Statement
    donor: Statement
    staging: Statement
    hours: Span | Unknown
    """Time in theatre, all stages together. [h]"""
    weeks: Span | Unknown
    """From the first operation to light use of the thumb. [weeks]"""
    added_length: Span | Unknown
    """Length of bone it can add. [mm]"""
    added_length_in_children: Span | Unknown
    """The same in children, where a series of children was read. [mm]"""
    levels: Mapping[Level, LevelFit]
    joints: Mapping[ThumbJoint, Mapping[Level, JointGift]]
    grades: Mapping[Goal, Mapping[Level, Graded]]
    """Of every goal but the motion of joints; at least at each level where it may be done."""
    rules: tuple[str, ...]
    """Names of the rules of eligibility that apply to it."""

    @property
    def done_at(self) -> tuple[Level, ...]:
        """Return the levels at which it may be done."""
        return tuple(level for level, fit in self.levels.items() if fit.suitability.may_be_done)

    def statements(self) -> Iterator[Statement]:
        """Yield every statement that the technique makes."""
        yield from (self.gives, self.costs, self.donor, self.staging)
        spans = (self.hours, self.weeks, self.added_length, self.added_length_in_children)
        for span in spans:
            if isinstance(span, Span):
                yield span.statement
        yield from (fit.statement for fit in self.levels.values())
        for gifts in self.joints.values():
            yield from (gift.statement for gift in gifts.values())
        for graded in self.grades.values():
            yield from (grade.statement for grade in graded.values())
