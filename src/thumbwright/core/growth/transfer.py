"""How bones grow after an operation: with their plate, without it, moved, joined again, grafted."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.growth.stature import Floats


class Grows(Enum):
    """How a piece of bone grows."""

    AS_OWN = "own bone with its plate: as the bone of the other hand"
    AS_OWN_PLATE_END = "own bone cut short, its plate kept: as its plate end does"
    AS_TOE = "toe bone with its plate, moved with its vessels: by a share of the same bone's growth"
    AS_TOE_PLATE_END = "toe bone cut short, its plate kept: by a share of its plate end's growth"
    AS_REPLANTED = "own bone joined again: by a share of the growth of the other hand's bone"
    AS_FINGER = "finger moved on its own vessels: as a bone of the hand"
    NOT = "does not grow"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesOfPlates:
    """Of how many plates how many stayed open."""

    stayed_open: int
    followed: int
    basis: Basis


PLATES_AFTER_TRANSFER = SeriesOfPlates(
    stayed_open=27,
    followed=28,
    basis=Basis(
        provenance=Provenance.READ,
        source="chang-jones-2002",
        locator="abstract, phalanges at 12 months",
    ),
)
PLATES_NOT_VASCULARISED = SeriesOfPlates(
    stayed_open=4,
    followed=18,
    basis=Basis(provenance=Provenance.READ, source="tonkin-2005", locator="abstract"),
)
_SHARE_BASIS = Basis(
    provenance=Provenance.DERIVED,
    source="nunley-1987",
    locator="89 % of 8 transfers, 92 % of 25 with range 70 to 102",
)
SHARE_AFTER_TRANSFER = Published(value=0.90, uncertainty=0.03, unit="-", basis=_SHARE_BASIS)
"""Growth of a moved toe bone over that of the same bone of the other foot; doubt of the mean."""
SHARE_AFTER_REPLANTATION = Published(value=0.93, uncertainty=0.02, unit="-", basis=_SHARE_BASIS)
"""Growth of a replanted bone over that of the other side; doubt of the mean."""
SHARE_SPREAD = Published(value=0.081, unit="-", basis=_SHARE_BASIS)
"""Between people: the range of 25 over 3.93, the mean range of 25 normal deviates."""
SHARE_LOWEST, SHARE_HIGHEST = 0.70, 1.02
"""Range of the 25 [-]."""
OVERGROWTH_PROB = Published(
    value=0.02,
    unit="-",
    basis=Basis(
        provenance=Provenance.DERIVED,
        source="jiang-2011",
        locator="one phalanx, by 40 to 45 % of its length, of about 48 plates in three series",
    ),
)
"""Chance that one moved plate outgrows its fellow."""
_MOST_OVERGROWTH = 2.5
"""Growth of such a plate over normal at most [-]: 40 % of the length of a young child's bone."""
_FAR_END = Basis(provenance=Provenance.READ, source="roche-1965", locator="abstract, ages 2 to 11")
FAR_END_SHARE = (0.207, 0.302)
"""Share of the lengthening of first and second metacarpals and metatarsals at the end that has
no plate: lowest and highest of the print [-]."""
PLATE_END_BASIS = Basis(
    provenance=Provenance.DERIVED, source="roche-1965", locator="one less the share of the far end"
)
NOT_VASCULARISED_BY_AGE: tuple[tuple[float, Published], ...] = tuple(
    (
        below_years,
        Published(
            value=share,
            unit="-",
            basis=Basis(provenance=Provenance.READ, source="radocha-1993", locator="abstract"),
        ),
    )
    for below_years, share in ((1.0, 0.94), (2.0, 0.71), (float("inf"), 0.48))
)
"""Share of plates open after a phalanx was moved without its vessels, by age below."""


def not_vascularised_open_prob(age_years: float) -> Published:
    """Return the share of plates that stay open when a toe phalanx is moved without vessels [-].

    Notes
    -----
    At a mean of 42 months. At 7 years another series found 4 of 18 open.
    """
    return next(share for below, share in NOT_VASCULARISED_BY_AGE if age_years < below)


def draw_plate_share(
    rng: np.random.Generator, draws: int, plates: int, mean: Published = SHARE_AFTER_TRANSFER
) -> Floats:
    """Draw how much of normal growth each plate gives after it was moved with its vessels.

    Parameters
    ----------
    rng
        Source of chance.
    draws, plates
        Number of draws and of plates. [-]
    mean
        Mean share of normal growth of a plate that stays open. [-]

    Returns
    -------
    NDArray
        Shares, one row per draw and one column per plate, read-only. [-]

    Notes
    -----
    The chance that plates stay open is drawn from ``Beta(27 + 1/2, 1 + 1/2)``, then each plate
    stays open or not; one that closes gives nothing more (the moment of closure is not known).
    The share of the plates that stay open is one and the same for all plates of one child,
    normal within its range; a plate that outgrows its fellow gives up to 2.5 times the growth.
    """
    series = PLATES_AFTER_TRANSFER
    open_share = rng.beta(
        series.stayed_open + 0.5, series.followed - series.stayed_open + 0.5, (draws, 1)
    )
    stays = rng.random((draws, plates)) < open_share
    spread = np.hypot(SHARE_SPREAD.value, mean.uncertainty or 0.0)
    common = np.clip(rng.normal(mean.value, spread, (draws, 1)), SHARE_LOWEST, SHARE_HIGHEST)
    outgrows = rng.random((draws, plates)) < OVERGROWTH_PROB.value
    over = rng.uniform(SHARE_HIGHEST, _MOST_OVERGROWTH, (draws, plates))
    share: Floats = np.where(stays, np.where(outgrows, over, common), 0.0)
    share.setflags(write=False)
    return share


def draw_plate_end_share(rng: np.random.Generator, draws: int) -> Floats:
    """Draw which share of a bone's growth comes from the end that has the plate [-].

    Notes
    -----
    Even between 69.8 and 79.3 %, [roche-1965]_. Read for first and second metacarpals and
    metatarsals; for phalanges it is a working assumption.
    """
    low, high = FAR_END_SHARE
    return rng.uniform(1 - high, 1 - low, draws)
