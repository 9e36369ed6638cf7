"""What is said of the growth of a thumb, with what it rests on."""

from collections.abc import Iterator

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.growth.allometry import FINGER_RATIO, FOOT_RATIO
from thumbwright.core.growth.forecast import BETWEEN_CHILDREN
from thumbwright.core.growth.maturity import Maturity, open_prob
from thumbwright.core.growth.transfer import (
    FAR_END_SHARE,
    OVERGROWTH_PROB,
    PLATE_END_BASIS,
    PLATES_AFTER_TRANSFER,
    SHARE_AFTER_REPLANTATION,
    SHARE_AFTER_TRANSFER,
    Grows,
)
from thumbwright.core.techniques.growth_outlook import ThumbForecast
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import Family, Technique
from thumbwright.core.techniques.thumb_parts import ThumbPart

_COMMON = Basis(provenance=Provenance.COMMON_PRACTICE)
_ASSUMED = Basis(provenance=Provenance.ASSUMED)
_ALIKE_MM = 0.5
_LENGTHWISE = "no_growth_plate_is_cut_lengthwise"
"""Rule of the techniques that split a toe along its length."""


def statements_of(
    parts: tuple[ThumbPart, ...] | Unknown,
    maturity: Maturity,
    situation: Situation,
    forecast: ThumbForecast | Unknown,
) -> tuple[Statement, ...]:
    """Return what is to be said of a forecast, most important first.

    Parameters
    ----------
    parts
        Pieces of the thumb.
    maturity, situation
        How mature the child is, and whether it grows.
    forecast
        The numbers.
    """
    return (
        *_whether(maturity, situation, forecast),
        *(() if isinstance(parts, Unknown) else _of_parts(parts)),
        *(() if situation.growing is False else _of_the_child(maturity)),
    )


def statements_of_catalogue(technique: Technique, situation: Situation) -> tuple[Statement, ...]:
    """Return what the catalogue says of growth, and what of it is not in the numbers.

    Parameters
    ----------
    technique, situation
        What is done, in which case; in a hand that no longer grows there is nothing to say.
    """
    level = most_probable_level(situation)
    graded = {} if isinstance(level, Unknown) else technique.grades.get(Goal.GROWTH, {})
    if situation.growing is False or isinstance(level, Unknown) or level not in graded:
        return ()
    said = [graded[level].statement]
    if _LENGTHWISE in technique.rules:
        text = "What the lengthwise cut does to the plates is not in the numbers."
        said.append(Statement(text=text, basis=_ASSUMED))
    if technique.family is Family.LENGTHENING:
        text = (
            "Harm to the own plate by cut and pins is not in the numbers, nor is the longer "
            "stretch that may be had from a grown bone."
        )
        said.append(Statement(text=text, basis=_ASSUMED))
    if technique.family is Family.FINGER:
        text = (
            "A moved finger is taken to grow as it would have in its place; no lengths at a "
            "follow-up were read, so the bands are narrower than is known."
        )
        said.append(Statement(text=text, basis=_ASSUMED))
    return tuple(said)


def words_of_choice(added_mm: float, longer_now_mm: float, limit_mm: float | Unknown) -> str:
    """Say which length makes both thumbs alike when grown, and whether it can be had.

    Parameters
    ----------
    added_mm
        Bone to bring now. [mm]
    longer_now_mm
        How much longer than the other thumb it would be now. [mm]
    limit_mm
        Most that the technique can bring. [mm]
    """
    if abs(longer_now_mm) < _ALIKE_MM:
        apart = "as long as the other"
    else:
        which = "longer" if longer_now_mm > 0 else "shorter"
        apart = f"{abs(longer_now_mm):.0f} mm {which} than the other"
    words = (
        f"With {added_mm:.0f} mm of bone brought now both thumbs would end alike in the median; "
        f"now it would be {apart}."
    )
    if added_mm < 0:
        return "Even with no bone brought it would end longer than the other in the median."
    if isinstance(limit_mm, Unknown):
        return f"{words} No limit to what it can bring is known."
    if added_mm > limit_mm:
        return f"{words} That is more than it can bring ({limit_mm:.0f} mm)."
    return f"{words} It can bring up to {limit_mm:.0f} mm."


def _whether(
    maturity: Maturity, situation: Situation, forecast: ThumbForecast | Unknown
) -> Iterator[Statement]:
    if situation.growing is False:
        apart = (
            ""
            if isinstance(forecast, Unknown)
            else f" The difference of now, {forecast.now.median_mm:.1f} mm, stays."
        )
        yield Statement(text=f"The hand no longer grows.{apart}", basis=_COMMON)
    elif isinstance(situation.growing, Unknown):
        prob = open_prob(maturity.sex, maturity.effective_years)
        yield Statement(
            text=(
                "Whether the growth plates are still open is not known; by age and sex they are "
                f"with a probability of {100 * prob:.0f} %. The bands weigh both: a hand that "
                "grows on, and one that has stopped."
            ),
            basis=Basis(
                provenance=Provenance.DERIVED,
                source="cardoso-severino-2010",
                locator="span of ages of union, taken as four deviations",
            ),
        )


def _of_parts(parts: tuple[ThumbPart, ...]) -> Iterator[Statement]:
    kinds = {part.grows for part in parts}
    if kinds & {Grows.AS_TOE, Grows.AS_TOE_PLATE_END}:
        series, share = PLATES_AFTER_TRANSFER, SHARE_AFTER_TRANSFER
        yield Statement(
            text=(
                f"Of {series.followed} plates that were moved with their vessels "
                f"{series.stayed_open} stayed open; bones of a moved toe are taken to grow to "
                f"{100 * share.value:.0f} % of their fellows in the other foot, as a toe and not "
                "as a thumb."
            ),
            basis=series.basis,
        )
        yield Statement(
            text=(
                "A moved plate outgrows its fellow with a chance of "
                f"{100 * OVERGROWTH_PROB.value:.0f} %."
            ),
            basis=OVERGROWTH_PROB.basis,
        )
    if Grows.AS_REPLANTED in kinds:
        share = SHARE_AFTER_REPLANTATION
        yield Statement(
            text=f"Replanted bones grew to {100 * share.value:.0f} % of the other side.",
            basis=share.basis,
        )
    if kinds & {Grows.AS_OWN_PLATE_END, Grows.AS_TOE_PLATE_END}:
        low, high = FAR_END_SHARE
        yield Statement(
            text=(
                f"The end with the plate gives {100 * (1 - high):.0f} to {100 * (1 - low):.0f} % "
                "of a bone's growth; what the lost end gave is gone. This was read for the first "
                "two metacarpals and metatarsals and is taken for phalanges too."
            ),
            basis=PLATE_END_BASIS,
        )
    if any(part.name in {"bone graft", "bone grown by distraction"} for part in parts):
        yield Statement(text="Bone without a plate does not grow.", basis=_COMMON)


def _of_the_child(maturity: Maturity) -> Iterator[Statement]:
    yield Statement(text=maturity.words, basis=maturity.basis)
    yield Statement(
        text=(
            f"Bones of the hand follow stature by a power that meets a growth of fingers of "
            f"{FINGER_RATIO.ratio.value:.2f} from 3 to 10 years."
        ),
        basis=FINGER_RATIO.ratio.basis,
    )
    ratio = FOOT_RATIO[maturity.sex]
    yield Statement(
        text=(
            f"Bones of the foot follow stature by a power that meets a growth of "
            f"{ratio.ratio.value:.2f} from 3 to {ratio.to_years:.0f} years."
        ),
        basis=ratio.ratio.basis,
    )
    yield Statement(
        text=(
            f"Children of equal maturity differ by {100 * BETWEEN_CHILDREN.value:.0f} % of the "
            "growth still to come; hand and foot are taken to end growth half a year and a year "
            "before stature does."
        ),
        basis=BETWEEN_CHILDREN.basis,
    )
