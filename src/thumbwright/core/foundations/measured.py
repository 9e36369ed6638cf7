"""Numbers with their doubt, and the list of what the doubt consists of.

A :class:`Measured` number is a value and a list of terms. Each term names one *input*
(a calibration, a landmark, a tilt) with its standard uncertainty, and the sensitivity of
the value to it. Two numbers that share an input (two lengths on one film share its
calibration) combine rightly, because terms of the same input are added with their signs
before they are squared.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from math import hypot, inf, isfinite, isinf

from scipy.special import stdtrit

from thumbwright.core.foundations.errors import UnitError


class Evaluation(Enum):
    """How a standard uncertainty was come by (JCGM 100:2008, 4.2 and 4.3)."""

    TYPE_A = "A"
    """From repeated observations."""
    TYPE_B = "B"
    """From other knowledge: a stated tolerance, a certificate, a judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One quantity whose doubt is passed on to results."""

    key: str
    """Identity: terms with one key are one and the same unknown error."""
    name: str
    """What it is, in words for the budget table."""
    standard_uncertainty: float
    unit: str
    evaluation: Evaluation = Evaluation.TYPE_B
    degrees_of_freedom: float = inf
    basis: str = ""
    """Where the standard uncertainty comes from, in words with source."""

    def __post_init__(self) -> None:
        """Refuse a doubt that is not a doubt."""
        if not (isfinite(self.standard_uncertainty) and self.standard_uncertainty >= 0):
            msg = (
                f"the standard uncertainty of {self.name} was given as "
                f"{self.standard_uncertainty}; allowed is a finite number of {self.unit} from 0 "
                "upwards; state what is known of it"
            )
            raise UnitError(msg)
        if not self.degrees_of_freedom > 0:
            msg = (
                f"the doubt of {self.name} was given {self.degrees_of_freedom} degrees of freedom; "
                "allowed is a number above 0, infinite where nothing was repeated; count repeats"
            )
            raise UnitError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """How far one input moves the value: change of the value per unit of the input."""

    input: Input
    sensitivity: float

    @property
    def effect(self) -> float:
        """Return the signed share of this input in the doubt, in the unit of the value."""
        return self.sensitivity * self.input.standard_uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A stated interval and the share of cases in which it should hold the truth."""

    low: float
    high: float
    level_prob: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A value with unit, origin and its budget of doubt.

    Notes
    -----
    Combined standard uncertainty: Eq. (10) of [jcgm-100-2008]_, with terms of one input
    added before squaring, which is Eq. (16) for fully correlated estimates. Effective
    degrees of freedom: the Welch-Satterthwaite formula, Eq. (G.2b) of the same.

    Examples
    --------
    >>> tilt = Input(key="tilt", name="tilt", standard_uncertainty=0.3, unit="mm")
    >>> scale = Input(key="scale", name="scale", standard_uncertainty=0.4, unit="mm")
    >>> thumb = Measured(value=71.6, unit="mm", origin="film",
    ...     terms=(Term(input=tilt, sensitivity=1.0), Term(input=scale, sensitivity=1.0)))
    >>> round(thumb.uncertainty, 3)
    0.5
    """

    value: float
    unit: str
    origin: str
    terms: tuple[Term, ...] = ()

    def __post_init__(self) -> None:
        """Refuse two different doubts under one key, which would be added as one error."""
        known: dict[str, float] = {}
        for term in self.terms:
            doubt = term.input.standard_uncertainty
            before = known.setdefault(term.input.key, doubt)
            if before != doubt:
                msg = (
                    f"the input '{term.input.key}' was given the standard uncertainties {before} "
                    f"and {doubt}; allowed is one standard uncertainty for one key; give different "
                    "inputs different keys"
                )
                raise UnitError(msg)

    @property
    def uncertainty(self) -> float:
        """Return the combined standard uncertainty in the unit of the value."""
        return hypot(*(term.effect for term in self.budget))

    @property
    def budget(self) -> tuple[Term, ...]:
        """Return one term per input, largest effect first."""
        merged: dict[str, Term] = {}
        for term in self.terms:
            before = merged.get(term.input.key)
            added = term.sensitivity + (before.sensitivity if before else 0.0)
            merged[term.input.key] = Term(input=term.input, sensitivity=added)
        return tuple(sorted(merged.values(), key=lambda term: (-abs(term.effect), term.input.key)))

    @property
    def degrees_of_freedom(self) -> float:
        """Return the effective degrees of freedom; infinite when every input's are.

        Notes
        -----
        Inputs with one key stem are evaluated from one pool of repeats (the observer's
        scatter), so their variances are added before the formula is applied: the pool's
        degrees of freedom belong to the sum, not to each part.
        """
        pools: dict[str, tuple[float, float]] = {}
        for term in self.budget:
            if isinf(term.input.degrees_of_freedom):
                continue
            pool = term.input.key.split("|", 1)[0]
            variance, _ = pools.get(pool, (0.0, 0.0))
            pools[pool] = (variance + term.effect**2, term.input.degrees_of_freedom)
        lower = sum(variance**2 / freedom for variance, freedom in pools.values())
        return inf if lower == 0.0 else self.uncertainty**4 / lower

    def coverage_factor(self, level_prob: float = 0.95) -> float:
        """Return the factor k that turns the standard uncertainty into an interval [-].

        Raises
        ------
        UnitError
            If the level is not a share between 0 and 1.

        Notes
        -----
        Student's t for the effective degrees of freedom, Table G.2 of [jcgm-100-2008]_.
        Freedom is not truncated to a whole number, as G.4.1 allows by interpolation.
        """
        if not 0 < level_prob < 1:
            msg = (
                f"an interval was asked for that holds a share of {level_prob} of the cases; "
                "allowed is a share between 0 and 1; 0.95 is usual"
            )
            raise UnitError(msg)
        return float(stdtrit(min(self.degrees_of_freedom, 1e9), 0.5 + level_prob / 2))

    def interval(self, level_prob: float = 0.95) -> Interval:
        """Return the symmetric interval that holds the truth with the stated probability."""
        half = self.coverage_factor(level_prob) * self.uncertainty
        return Interval(
            low=self.value - half, high=self.value + half, level_prob=level_prob, unit=self.unit
        )


def scaled(measured: Measured, factor: float) -> Measured:
    """Multiply a measured number by an exact factor [same unit]."""
    return Measured(
        value=measured.value * factor,
        unit=measured.unit,
        origin=measured.origin,
        terms=_scaled_terms(measured, factor),
    )


def total(parts: Iterable[Measured], *, origin: str) -> Measured:
    """Add measured numbers, keeping track of the inputs they share.

    Parameters
    ----------
    parts
        At least one number; all in one unit. [any]
    origin
        How the sum came about, in words.

    Raises
    ------
    UnitError
        If the units differ or nothing was given.
    """
    given = tuple(parts)
    units = {part.unit for part in given}
    if len(units) != 1:
        msg = f"numbers in the units {sorted(units)} were added; allowed is one unit; convert first"
        raise UnitError(msg)
    return Measured(
        value=sum(part.value for part in given),
        unit=given[0].unit,
        origin=origin,
        terms=tuple(term for part in given for term in part.terms),
    )


def difference(larger: Measured, smaller: Measured, *, origin: str) -> Measured:
    """Subtract one measured number from another; shared inputs cancel as they should.

    Raises
    ------
    UnitError
        If the units differ.
    """
    return total((larger, scaled(smaller, -1.0)), origin=origin)


def ratio(top: Measured, bottom: Measured, *, origin: str) -> Measured:
    """Divide one measured number by another of the same unit.

    Returns
    -------
    Measured
        The ratio [-], to first order: Eq. (10) of [jcgm-100-2008]_ with the partial
        derivatives of ``top / bottom``. Valid while the relative uncertainties are small.

    Raises
    ------
    UnitError
        If the units differ or the bottom is zero.
    """
    if top.unit != bottom.unit or bottom.value == 0:
        msg = (
            f"{top.value} {top.unit} was divided by {bottom.value} {bottom.unit}; allowed are two "
            "numbers in one unit, the second not zero"
        )
        raise UnitError(msg)
    return Measured(
        value=top.value / bottom.value,
        unit="-",
        origin=origin,
        terms=_scaled_terms(top, 1 / bottom.value)
        + _scaled_terms(bottom, -top.value / bottom.value**2),
    )


def _scaled_terms(measured: Measured, factor: float) -> tuple[Term, ...]:
    return tuple(
        Term(input=term.input, sensitivity=term.sensitivity * factor) for term in measured.terms
    )
