"""Will the new thumb grow? For each technique: its pieces, both thumbs by age, and advice."""

from collections.abc import Sequence

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.growth.forecast import bands
from thumbwright.core.growth.maturity import Maturity, maturity_of, open_prob
from thumbwright.core.growth.stature import StatureTable
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.growth_outlook import (
    GrowthOutlook,
    LengthToChoose,
    OperationAge,
    ThumbForecast,
)
from thumbwright.core.techniques.growth_scene import DRAWS, Scene, set_scene
from thumbwright.core.techniques.growth_words import (
    statements_of,
    statements_of_catalogue,
    words_of_choice,
)
from thumbwright.core.techniques.length_reached import length_reached, most_added
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Family, Technique
from thumbwright.core.techniques.thumb_draws import Drafted, DrawnThumb
from thumbwright.core.techniques.thumb_parts import ThumbPart, added_parts, own_parts


def growth_outlooks(
    options: Sequence[Eligibility],
    situation: Situation,
    lengths: Lengths,
    stature: StatureTable,
    *,
    seed: int,
    draws: int = DRAWS,
) -> tuple[GrowthOutlook, ...]:
    """Forecast the thumb by every technique that is not closed.

    Parameters
    ----------
    options
        Techniques with their verdicts.
    situation, lengths
        The case and its lengths.
    stature
        Stature for age, the clock of growth.
    seed, draws
        Start of chance and number of draws; both stay with the result.

    Returns
    -------
    tuple[GrowthOutlook, ...]
        One per technique that is open or unknown, in the order given.
    """
    scene = set_scene(situation, lengths, stature, seed=seed, draws=draws)
    return tuple(
        forecast_thumb(option.technique, situation, lengths, scene)
        for option in options
        if option.verdict is not Verdict.CLOSED
    )


def forecast_thumb(
    technique: Technique, situation: Situation, lengths: Lengths, scene: Scene | Unknown
) -> GrowthOutlook:
    """Forecast the thumb by one technique.

    Parameters
    ----------
    technique
        What is done.
    situation, lengths
        The case and its lengths.
    scene
        What all techniques share; where it is unknown, so is the forecast.
    """
    reached = length_reached(technique, situation, lengths)
    own, added = own_parts(lengths), added_parts(technique, situation, lengths, reached)
    parts = _joined(own, added)
    forecast: ThumbForecast | Unknown
    choice: LengthToChoose | Unknown
    ages: tuple[OperationAge, ...] = ()
    if isinstance(scene, Unknown) or isinstance(parts, Unknown):
        forecast = choice = scene if isinstance(scene, Unknown) else _why(parts)
    else:
        plan = Drafted(technique=technique, reached=reached, parts=parts, scene=scene)
        forecast = summed_up(plan.drawn(scene.ages_years), scene.ages_years)
        choice = _length_to_choose(plan, forecast)
        ages = _operation_ages(plan)
    maturity = maturity_of(situation.case.patient, situation.age_years)
    return GrowthOutlook(
        key=technique.key,
        name=technique.name,
        short_name=technique.short_name,
        maturity=maturity,
        is_growing=situation.growing,
        open_prob=_open_now(maturity, situation),
        parts=parts,
        forecast=forecast,
        length_to_choose=choice,
        operation_ages=ages,
        statements=(
            *statements_of_catalogue(technique, situation),
            *statements_of(parts, maturity, situation, forecast),
        ),
        seed=scene.seed if isinstance(scene, Scene) else 0,
        draws=scene.child.draws if isinstance(scene, Scene) else 0,
    )


def _joined(
    own: tuple[ThumbPart, ...] | Unknown, added: tuple[ThumbPart, ...] | Unknown
) -> tuple[ThumbPart, ...] | Unknown:
    if isinstance(own, Unknown):
        return own
    return added if isinstance(added, Unknown) else (*own, *added)


def _why(parts: tuple[ThumbPart, ...] | Unknown) -> Unknown:
    return parts if isinstance(parts, Unknown) else Unknown(reason="nothing was asked")


def _open_now(maturity: Maturity, situation: Situation) -> float:
    if isinstance(situation.growing, Unknown):
        return open_prob(maturity.sex, maturity.effective_years)
    return 1.0 if situation.growing else 0.0


def summed_up(
    drawn: DrawnThumb, ages_years: Sequence[float], effective: float | None = None
) -> ThumbForecast:
    """Put draws of both thumbs into bands and chances.

    Parameters
    ----------
    drawn
        Both thumbs.
    ages_years
        Their ages. [years]
    effective
        Number of draws that count, where they were weighed; all where none is given. [-]

    Notes
    -----
    Error of a chance ``p``: ``sqrt(p (1 - p) / n)``; of a median, by the normal
    approximation: ``1.2533 s / sqrt(n)``.
    """
    apart = drawn.thumb - drawn.other
    last = apart[:, -1]
    count = len(last) if effective is None else effective
    within = [float(np.mean(np.abs(last) <= limit)) for limit in (5.0, 10.0)]
    return ThumbForecast(
        thumb=bands(ages_years, drawn.thumb),
        other=bands(ages_years, drawn.other),
        difference=bands(ages_years, apart),
        within_5_prob=within[0],
        within_10_prob=within[1],
        chance_error_prob=max((prob * (1 - prob) / count) ** 0.5 for prob in within),
        median_error_mm=float(1.2533 * np.std(last) / count**0.5),
    )


def _length_to_choose(plan: Drafted, forecast: ThumbForecast) -> LengthToChoose | Unknown:
    added = plan.reached.added
    if not plan.adds or isinstance(added, Unknown):
        return Unknown(reason="it adds no bone, so there is no length to choose")
    if plan.scene.situation.growing is False:
        return Unknown(reason="nothing grows, so the length to choose is the one that is missing")
    more_mm = -forecast.grown.median_mm
    limit = most_added(plan.technique, plan.scene.situation, plan.scene.lengths)
    limit_mm = limit if isinstance(limit, Unknown) else limit.value
    longer_mm = forecast.now.median_mm + more_mm
    return LengthToChoose(
        added_mm=added.value + more_mm,
        longer_now_mm=longer_mm,
        limit_mm=limit_mm,
        words=words_of_choice(added.value + more_mm, longer_mm, limit_mm),
    )


def _operation_ages(plan: Drafted) -> tuple[OperationAge, ...]:
    scene = plan.scene
    if not plan.adds or scene.situation.growing is False:
        return ()
    ages, now = scene.known_years, scene.situation.age_years
    if plan.technique.family is Family.REPLANTATION:
        ages = ages[:1]
    end = scene.known_years[-1]
    found = []
    for age in ages:
        drawn = plan.drawn((end,), age)
        apart = drawn.thumb - drawn.other
        found.append(
            OperationAge(
                age_years=age,
                without_years=age - now,
                difference=bands((end,), apart)[0],
                within_5_prob=float(np.mean(np.abs(apart) <= 5.0)),
            )
        )
    return tuple(found)
