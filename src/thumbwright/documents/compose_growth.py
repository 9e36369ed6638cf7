"""Growth of the new thumb as a section of the paper: tables, sentences, cautions, a picture."""

from collections.abc import Iterator, Sequence

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.growth.forecast import Band
from thumbwright.core.growth.stature import SOURCE
from thumbwright.core.growth.transfer import Grows
from thumbwright.core.techniques.growth_follow_up import FollowUp
from thumbwright.core.techniques.growth_outlook import GrowthOutlook, ThumbForecast
from thumbwright.core.techniques.thumb_parts import ThumbPart
from thumbwright.documents.growth_content import (
    AgeRow,
    GrowthRow,
    GrowthSection,
    OtherThumbRow,
    WaitingRow,
)
from thumbwright.documents.growth_figures import growth_picture
from thumbwright.documents.paper_parts import (
    PrintedNumber,
    Sentence,
    printed_share,
    said,
    sentence,
)

_ASSUMED = Basis(provenance=Provenance.ASSUMED)
_CAUTIONS = (
    Sentence(
        text=(
            "No follow-up of reconstructed thumbs to the end of growth was found to check these "
            "bands against; they were checked on simulated children only."
        ),
        basis=_ASSUMED,
    ),
    Sentence(
        text=(
            "Plates that close late, as a bridge of bone did seven years after one transfer, "
            "are not foreseen; nor are later operations."
        ),
        basis=Basis(
            provenance=Provenance.READ, source="lombard-2020", locator="abstract, one case"
        ),
    ),
    Sentence(
        text=(
            "Stature is of children of one country; a child of other stock or in ill health may "
            "grow otherwise. Measure both thumbs once a year and enter what was measured."
        ),
        basis=SOURCE,
    ),
)


def growth_section(outlooks: Sequence[GrowthOutlook]) -> GrowthSection | Unknown:
    """Return the section on growth.

    Parameters
    ----------
    outlooks
        One per technique that is open or unknown, in the order in which they are to stand.

    Returns
    -------
    GrowthSection | Unknown
        Unknown if no technique is left to speak of.
    """
    if not outlooks:
        return Unknown(reason="every technique is closed")
    known = [one for one in outlooks if isinstance(one.forecast, ThumbForecast)]
    is_grown = outlooks[0].is_growing is False
    grown = Unknown(reason="the hand no longer grows")
    why = _why(outlooks)
    waiting = tuple(row for one in known for row in _waiting(one))
    return GrowthSection(
        opening=_opening(outlooks[0]),
        rows=tuple(_row(one) for one in outlooks),
        other=grown if is_grown else _other(known) or why,
        by_age=() if is_grown else tuple(row for one in known for row in _by_age(one)),
        waiting=waiting or (grown if is_grown else why),
        sentences=_sentences(outlooks),
        cautions=() if is_grown else _CAUTIONS,
        picture=grown if is_grown else growth_picture(known) if known else why,
        drawn_with=_drawn_with(known),
    )


def follow_up_sentences(found: FollowUp | Unknown) -> tuple[Sentence, ...]:
    """Say what later measurements made of the forecast.

    Parameters
    ----------
    found
        The forecast before and after, or why there is none.
    """
    if isinstance(found, Unknown):
        return said(f"No forecast was updated, because {found.reason}.")
    before = f"Before, {_apart(found.prior.grown)} when grown."
    if isinstance(found.updated, Unknown):
        return said(found.words, before)
    return said(found.words, before, f"After, {_apart(found.updated.grown)}.")


def _apart(band: Band) -> str:
    return f"a difference of {_words(band)}"


def _why(outlooks: Sequence[GrowthOutlook]) -> Unknown:
    reasons = [one.forecast for one in outlooks if isinstance(one.forecast, Unknown)]
    if reasons:
        return reasons[0]
    return Unknown(reason="no technique that is left adds bone")


def _opening(outlook: GrowthOutlook) -> tuple[Sentence, ...]:
    if outlook.is_growing is False:
        return said("The hand no longer grows, so the difference of now stays.")
    first = (
        "The hand still grows."
        if outlook.is_growing is True
        else (
            "Whether the hand still grows is not known; its plates are open with a probability of "
            f"{printed_share(outlook.open_prob).words}."
        )
    )
    return (
        *said(first),
        Sentence(text=outlook.maturity.words, basis=outlook.maturity.basis),
    )


def _row(outlook: GrowthOutlook) -> GrowthRow:
    found, choice = outlook.forecast, outlook.length_to_choose
    if outlook.is_worn:
        # The bone under it ends where it ended; the length that shows is the maker's choice.
        found = Unknown(
            reason="it is worn over the stump and made to measure, anew as a child grows"
        )
    chosen = f"none, because {choice.reason}" if isinstance(choice, Unknown) else choice.words
    pieces = (
        (f"unknown, because {outlook.parts.reason}",)
        if isinstance(outlook.parts, Unknown)
        else tuple(_piece(part) for part in outlook.parts)
    )
    if isinstance(found, Unknown):
        return GrowthRow(
            technique=outlook.name,
            now=found,
            grown=found,
            difference_now=found,
            difference_grown=found,
            half_of_cases="",
            within_5=found,
            within_10=found,
            pieces=pieces,
            length_to_choose=chosen,
        )
    inner = found.grown
    return GrowthRow(
        technique=outlook.name,
        now=_printed(found.thumb[0]),
        grown=_printed(found.thumb[-1]),
        difference_now=_printed(found.now),
        difference_grown=_printed(found.grown),
        half_of_cases=f"{_signed(inner.low_50_mm)} to {_signed(inner.high_50_mm)} mm",
        within_5=printed_share(found.within_5_prob),
        within_10=printed_share(found.within_10_prob),
        pieces=pieces,
        length_to_choose=chosen,
    )


def _piece(part: ThumbPart) -> str:
    length = f", {part.length_mm:.1f} mm" if part.length_mm else ""
    how = "" if part.grows is Grows.NOT and part.words else f": {part.grows.value}"
    more = f". {part.words}" if part.words else ""
    return f"{part.name}{length}{how}{more}"


def _other(known: Sequence[GrowthOutlook]) -> tuple[OtherThumbRow, ...]:
    if not known or isinstance(known[0].forecast, Unknown):
        return ()
    bands = known[0].forecast.other
    names = ["now", *(f"{band.age_years:.0f} years" for band in bands[1:-1]), "grown"]
    return tuple(
        OtherThumbRow(age=name, length=_printed(band))
        for name, band in zip(names, bands, strict=True)
    )


def _by_age(outlook: GrowthOutlook) -> Iterator[AgeRow]:
    found = outlook.forecast
    if isinstance(found, Unknown) or outlook.is_worn:
        return
    names = ["now", *(f"{band.age_years:.0f} years" for band in found.thumb[1:-1]), "grown"]
    for name, thumb, apart in zip(names, found.thumb, found.difference, strict=True):
        yield AgeRow(
            technique=outlook.name,
            age=name,
            thumb=_printed(thumb),
            difference=_printed(apart),
        )


def _waiting(outlook: GrowthOutlook) -> Iterator[WaitingRow]:
    last = len(outlook.operation_ages) - 1
    for at, one in enumerate(outlook.operation_ages):
        age = f"{one.age_years:.1f} years"
        yield WaitingRow(
            technique=outlook.name,
            age=f"{age}, grown" if at == last and at else age,
            without="now" if at == 0 else f"{one.without_years:.1f} years without the thumb",
            difference_grown=_printed(one.difference),
            within_5=printed_share(one.within_5_prob),
        )


def _sentences(outlooks: Sequence[GrowthOutlook]) -> tuple[Sentence, ...]:
    """Return what each forecast rests on, each once."""
    opened = {one.text for one in _opening(outlooks[0])}
    found = dict.fromkeys(sentence(statement) for one in outlooks for statement in one.statements)
    return tuple(one for one in found if one.text not in opened)


def _drawn_with(known: Sequence[GrowthOutlook]) -> str:
    if not known:
        return "nothing was drawn"
    chances = [one.forecast for one in known if isinstance(one.forecast, ThumbForecast)]
    prob = max(one.chance_error_prob for one in chances)
    error_mm = max(one.median_error_mm for one in chances)
    return (
        f"{known[0].draws} draws from seed {known[0].seed}; by chance alone the chances are "
        f"uncertain by {100 * prob:.1f} % and the medians by {error_mm:.2f} mm (standard error)."
    )


def _printed(band: Band) -> PrintedNumber:
    return PrintedNumber(
        words=_words(band),
        value=band.median_mm,
        unit="mm",
        low=band.low_95_mm,
        high=band.high_95_mm,
        level_prob=0.95,
    )


def _words(band: Band) -> str:
    ends = f"({_signed(band.low_95_mm)} to {_signed(band.high_95_mm)})"
    return f"{_signed(band.median_mm)} mm {ends}"


def _signed(value_mm: float) -> str:
    words = f"{value_mm:.1f}"
    return "0.0" if words == "-0.0" else words.replace("-", "−")
