"""The first web: how long the middle limb of a Z must be for the span that is wanted."""

from dataclasses import dataclass

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Provenance, Published

_WEB = Basis(provenance=Provenance.READ, source="web-contracture-2024", locator="abstract")
_MEMORY = Basis(provenance=Provenance.RECALLED, source="toe-teaching", locator="memory")
_LIMB = Basis(provenance=Provenance.READ, source="five-or-four-flaps", locator="abstract")


def _gain(value: float, basis: Basis = _WEB) -> Published:
    return Published(value=value, unit="-", basis=basis)


def _limit(value: float) -> Published:
    return Published(value=value, unit="mm", basis=_LIMB)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plasty:
    """One kind of Z and what print says it gains in theory."""

    name: str
    flaps: int
    angle_deg: float
    gain: Published
    """Added length over the middle limb. [-]"""
    longest_limb: Published | None = None
    """Longest middle limb, where print gives one. [mm]"""


PLASTIES = (
    Plasty(name="two flaps of 30 degrees", flaps=2, angle_deg=30, gain=_gain(0.25, _MEMORY)),
    Plasty(name="two flaps of 45 degrees", flaps=2, angle_deg=45, gain=_gain(0.50, _MEMORY)),
    Plasty(name="two flaps of 60 degrees", flaps=2, angle_deg=60, gain=_gain(0.75)),
    Plasty(name="five flaps", flaps=5, angle_deg=60, gain=_gain(0.84), longest_limb=_limit(40.0)),
    Plasty(
        name="four flaps of 45 degrees",
        flaps=4,
        angle_deg=45,
        gain=_gain(1.32),
        longest_limb=_limit(30.0),
    ),
    Plasty(
        name="four flaps of 60 degrees",
        flaps=4,
        angle_deg=60,
        gain=_gain(1.67),
        longest_limb=_limit(30.0),
    ),
)
"""In the order of their gain, which is that of a flat sheet; skin gives less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limb:
    """The middle limb that one kind of Z needs."""

    plasty: Plasty
    length: Measured
    """[mm]"""
    is_too_long: bool
    """Whether it is longer than print says is usual."""


def limbs(
    span_mm: float | NotExamined, wanted_mm: float | NotExamined
) -> tuple[Limb, ...] | Unknown:
    """Return, for each kind of Z, the middle limb that brings the wanted span.

    Parameters
    ----------
    span_mm, wanted_mm
        Span of the first web as it is and as it should be, measured in one way. [mm]

    Notes
    -----
    Limb = (wanted - present) / gain.
    """
    if isinstance(span_mm, NotExamined) or isinstance(wanted_mm, NotExamined):
        needed = tuple(
            words
            for value, words in (
                (span_mm, "the span of the first web in mm"),
                (wanted_mm, "the span of the first web that is wanted"),
            )
            if isinstance(value, NotExamined)
        )
        return Unknown(reason="the gain that is wanted is not known", needed=needed)
    added = wanted_mm - span_mm
    if added <= 0:
        return Unknown(reason="the web already spans what is wanted")
    return tuple(_limb(plasty, added) for plasty in PLASTIES)


def _limb(plasty: Plasty, added_mm: float) -> Limb:
    length = Measured(
        value=added_mm / plasty.gain.value, unit="mm", origin="gain wanted over gain in theory"
    )
    longest = plasty.longest_limb
    return Limb(
        plasty=plasty,
        length=length,
        is_too_long=longest is not None and length.value > longest.value,
    )
