"""What all publications of one fact say together, and what is done where they disagree."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, sqrt

import numpy as np
from scipy.special import ndtri

from thumbwright.core.evidence.effects import Effects
from thumbwright.core.evidence.pooling import pooled_dersimonian_laird_1986
from thumbwright.core.evidence.risk_factor import FindingKind, RiskFactor
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Provenance


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorEffect:
    """What a fact does to the odds, with its doubt."""

    log_odds: float
    """[log odds]"""
    sd_log_odds: float
    """[log odds]"""
    people_share: float
    """Share of people in the series who have the fact (working assumption). [-]"""
    publications: tuple[RiskFactor, ...]
    """All that speak of it, whether or not a number could be taken from them."""
    how: str
    """How the publications were put together, as a sentence."""

    @property
    def ratio_words(self) -> str:
        """Return the odds ratio as it is printed: "2.2 (0.4 to 13)"."""
        reach = float(ndtri(0.975)) * self.sd_log_odds
        middle, low, high = (exp(self.log_odds + step) for step in (0.0, -reach, reach))
        return f"{middle:.2g} ({low:.2g} to {high:.2g})"


def effect_of(publications: Sequence[RiskFactor]) -> FactorEffect | Unknown:
    """Put together all that is published of one fact, setting and outcome.

    Returns
    -------
    FactorEffect | Unknown
        Unknown where no publication gives an odds ratio with its interval. What is from memory is
        printed, labelled, and never applied.

    Notes
    -----
    Several ratios are pooled by random effects, so that their disagreement widens the doubt. If
    some publication looked and found nothing, without a number, nothing
    and the ratio are given equal weight: mean half the log odds, variance that of a mixture of
    both, which is wider than either.
    """
    seen = [one for one in publications if one.basis.provenance is not Provenance.RECALLED]
    numbers = [one for one in seen if one.finding is FindingKind.ODDS_RATIO]
    against = [one for one in seen if one.finding is FindingKind.NO_EFFECT]
    if not numbers:
        return Unknown(reason=_no_number(publications))
    middle, spread, how = _of_numbers(numbers)
    if against:
        spread = sqrt(spread**2 + (middle / 2) ** 2)
        middle /= 2
        how += (
            f" {len(against)} other publication{'s' if len(against) > 1 else ''} looked and found "
            "no effect; both are given equal weight, which is the wider."
        )
    return FactorEffect(
        log_odds=middle,
        sd_log_odds=spread,
        people_share=numbers[0].people_share or 0.0,
        publications=tuple(publications),
        how=how,
    )


def _of_numbers(numbers: Sequence[RiskFactor]) -> tuple[float, float, str]:
    said = " and ".join(f"{one.odds_ratio:.3g}" for one in numbers)
    if len(numbers) == 1:
        one = numbers[0]
        return one.log_odds, one.sd_log_odds, f"Published odds ratio {said}."
    pooled = pooled_dersimonian_laird_1986(
        Effects(
            values=np.array([one.log_odds for one in numbers]),
            variances=np.array([one.sd_log_odds**2 for one in numbers]),
        )
    )
    how = f"Published odds ratios {said}, pooled with their disagreement."
    return pooled.value, pooled.standard_error, how


def _no_number(publications: Sequence[RiskFactor]) -> str:
    if any(one.basis.provenance is Provenance.RECALLED for one in publications):
        return "what is published is from memory, unverified"
    kinds = {one.finding for one in publications}
    if kinds == {FindingKind.NO_EFFECT}:
        return "those who looked found no effect"
    if FindingKind.NO_INTERVAL in kinds:
        return "a ratio is published without its interval"
    return "a direction is published without a ratio"
