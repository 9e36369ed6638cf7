"""What the surgeon can set: allowances, each with a stated default, and choices with none."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from enum import Enum
from math import isfinite, sqrt
from typing import Annotated

from annotated_types import Gt, Le

from thumbwright.core.case.examined import NOT_EXAMINED, NotExamined
from thumbwright.core.foundations.errors import DocumentError, Fault
from thumbwright.core.foundations.measured import Input, Measured, Term
from thumbwright.core.foundations.sources import Basis, Provenance

ASSUMED = Basis(provenance=Provenance.ASSUMED)
COMMON = Basis(provenance=Provenance.COMMON_PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One allowance: its value, how sure it is, and what it rests on."""

    words: str
    """What it is, as it is printed."""
    value: float
    unit: str
    low: float
    """Least value that is taken; in the same unit."""
    high: float
    """Greatest value that is taken; in the same unit."""
    basis: Basis = ASSUMED
    tolerance: float = 0.0
    """Half width within which the true value lies; in the same unit."""
    by_surgeon: bool = False

    def measured(self, key: str) -> Measured:
        """Return the allowance as a number with its doubt."""
        doubt = Input(
            key=f"allowance {key}",
            name=self.words,
            standard_uncertainty=self.tolerance / sqrt(3),
            unit=self.unit,
            basis=self.origin,
        )
        return Measured(
            value=self.value,
            unit=self.unit,
            origin=self.origin,
            terms=(Term(input=doubt, sensitivity=1.0),),
        )

    @property
    def bases(self) -> tuple[Basis, ...]:
        """Return what the value rests on; nothing but the surgeon once it was set."""
        return () if self.by_surgeon else (self.basis,)

    @property
    def origin(self) -> str:
        """Return who or what the value comes from."""
        return "set by the surgeon" if self.by_surgeon else self.basis.provenance.label


def _mm(words: str, value: float, high: float, tolerance: float = 0.0) -> Setting:
    return Setting(words=words, value=value, unit="mm", low=0.0, high=high, tolerance=tolerance)


def _share(words: str, value: float, basis: Basis = ASSUMED) -> Setting:
    return Setting(words=words, value=value, unit="-", low=0.0, high=0.8, basis=basis)


def _read(source: str, locator: str = "abstract") -> Basis:
    return Basis(provenance=Provenance.READ, source=source, locator=locator)


_FLAP = Basis(provenance=Provenance.READ, source="agarwal-2020", locator="abstract, area")
_GRAFT_EARLY = Basis(
    provenance=Provenance.READ, source="graft-primary-contraction", locator="traditional figure"
)
_GRAFT_LATE = Basis(provenance=Provenance.READ, source="stephenson-2000", locator="abstract, area")
_GROIN = Basis(provenance=Provenance.RECALLED, source="toe-teaching", locator="memory")


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """Every allowance that the surgeon can set."""

    kerf: Setting
    freshening: Setting
    fixation: Setting
    left_long_prob: Setting
    roundness: Setting
    peg: Setting
    seam: Setting
    skin_thickness: Setting
    flap_contraction: Setting
    toe_flap_contraction: Setting
    graft_early: Setting
    graft_late: Setting
    toe_bulk_loss: Setting
    groin_closes: Setting
    foot_closes: Setting
    toe_closes: Setting
    joint_to_artery: Setting
    slack: Setting
    latency_days: Setting
    distraction_rate: Setting
    distraction_steps: Setting


DEFAULTS = Allowances(
    kerf=_mm("width of the saw's slot", 0.6, 3.0, 0.2),
    freshening=_mm("bone taken off the stump to a fresh flat face", 2.0, 15.0, 0.5),
    fixation=_mm("bone given up where the two are pressed or pegged together", 1.0, 15.0, 0.5),
    left_long_prob=Setting(
        words="how surely the first cut leaves the piece long enough",
        value=0.95,
        unit="-",
        low=0.5,
        high=0.999,
    ),
    roundness=Setting(
        words="height of the bone over its width on the film",
        value=1.0,
        unit="-",
        low=0.5,
        high=1.5,
        tolerance=0.15,
    ),
    peg=_mm("bone graft inside the stump", 10.0, 40.0, 2.0),
    seam=_mm("skin taken up by a seam", 3.0, 15.0, 1.0),
    skin_thickness=_mm("thickness of the flap, skin with fat", 5.0, 40.0, 2.0),
    flap_contraction=_share("area a flap loses when it is raised", 0.20, _FLAP),
    toe_flap_contraction=_share("area a flap of a toe, held by nail and pulp, loses", 0.0),
    graft_early=_share("area a full-thickness graft loses when it is cut", 0.40, _GRAFT_EARLY),
    graft_late=_share("area a full-thickness graft has lost after months", 0.38, _GRAFT_LATE),
    toe_bulk_loss=_share("girth a toe loses in the months after its transfer", 0.0),
    groin_closes=replace(
        _mm("width of skin over which the groin is still closed", 100.0, 250.0), basis=_GROIN
    ),
    foot_closes=_mm("width of skin over which the back of the foot is closed", 25.0, 60.0),
    toe_closes=_mm("width of skin over which a toe is still closed", 8.0, 40.0),
    joint_to_artery=_mm("CMC joint to the artery in the snuff box", 15.0, 60.0, 5.0),
    slack=_mm("slack in a vessel, so that it is not stretched", 10.0, 60.0, 5.0),
    latency_days=Setting(
        words="rest before distraction begins",
        value=10.0,
        unit="days",
        low=0.0,
        high=30.0,
        basis=_read("cansu-2015"),
    ),
    distraction_rate=Setting(
        words="distraction a day",
        value=1.0,
        unit="mm/day",
        low=0.1,
        high=2.0,
        basis=_read("callus-distraction-2003"),
    ),
    distraction_steps=Setting(
        words="turns a day", value=4.0, unit="-", low=1.0, high=24.0, basis=COMMON
    ),
)
"""What is taken where the surgeon sets nothing else."""


class GraftSite(Enum):
    """Where bone for a graft is taken."""

    ILIAC = "iliac crest"
    ULNA = "ulna"
    NOT_DECIDED = "not decided"


class TrimSide(Enum):
    """From which side of a toe skin and bone are taken, seen from the toe's own foot."""

    TIBIAL = "tibial (medial)"
    FIBULAR = "fibular (lateral)"
    BOTH = "both"
    NOT_DECIDED = "not decided"


class Pedicle(Enum):
    """Along which artery a toe is to be taken."""

    DORSAL = "dorsal"
    PLANTAR = "plantar"
    NOT_DECIDED = "not decided"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What only the surgeon can say; the program asks and puts nothing in its place."""

    mtp_correction_deg: Annotated[float, Gt(0), Le(80)] | NotExamined = field(
        default=NOT_EXAMINED,
        metadata={"description": "Tilt by which full extension of the toe becomes straight."},
    )
    bone_height_mm: Annotated[float, Gt(0), Le(40)] | NotExamined = field(
        default=NOT_EXAMINED,
        metadata={"description": "Back to sole of the bone at the cut, from a side view."},
    )
    graft_site: GraftSite = GraftSite.NOT_DECIDED
    graft_width_mm: Annotated[float, Gt(0), Le(40)] | NotExamined = field(
        default=NOT_EXAMINED, metadata={"description": "Width of bone wanted in the end."}
    )
    build_length_mm: Annotated[float, Gt(0), Le(150)] | NotExamined = field(
        default=NOT_EXAMINED,
        metadata={"description": "Length to build with a graft, if not all that is missing."},
    )
    trim_side: TrimSide = TrimSide.NOT_DECIDED
    web_span_wanted_mm: Annotated[float, Gt(0), Le(200)] | NotExamined = field(
        default=NOT_EXAMINED, metadata={"description": "Span of the first web to be reached."}
    )
    pedicle: Pedicle = Pedicle.NOT_DECIDED


@dataclass(frozen=True, slots=True, kw_only=True)
class DimensionSettings:
    """Allowances and choices of one case."""

    allowances: Allowances = DEFAULTS
    choices: Choices = field(default_factory=Choices)


def each_setting(allowances: Allowances) -> Iterator[tuple[str, Setting]]:
    """Yield every allowance with its key, in the order in which it is printed."""
    for one in fields(allowances):
        setting = getattr(allowances, one.name)
        if isinstance(setting, Setting):
            yield one.name, setting


def changed(allowances: Allowances, values: Mapping[str, float]) -> Allowances:
    """Return the allowances with the surgeon's own values, marked as such.

    Raises
    ------
    DocumentError
        If a key is unknown or a value out of range; all faults at once.

    Examples
    --------
    >>> changed(DEFAULTS, {"kerf": 1.0}).kerf.origin
    'set by the surgeon'
    """
    known = dict(each_setting(allowances))
    faults = tuple(
        fault for key, value in values.items() if (fault := _fault(key, value, known.get(key)))
    )
    if faults:
        raise DocumentError("the allowances", faults)
    return replace(
        allowances,
        **{key: replace(known[key], value=value, by_surgeon=True) for key, value in values.items()},
    )


def _fault(key: str, value: float, setting: Setting | None) -> Fault | None:
    if setting is None:
        return Fault(
            path=key, given="an allowance of this name", allowed="one of the listed allowances"
        )
    if isfinite(value) and setting.low <= value <= setting.high:
        return None
    return Fault(
        path=key,
        given=f"{value} {setting.unit}",
        allowed=f"{setting.low:g} to {setting.high:g} {setting.unit}",
        advice=f"it is the {setting.words}",
    )
