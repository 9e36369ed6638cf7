"""The small parts of which a paper is made: sentences, printed numbers, pictures."""

from dataclasses import dataclass
from decimal import Decimal
from math import isfinite

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Published, Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """Words that are printed, and what they rest on where they rest on something.

    The paper prints the number of the source behind the words, and the words "from memory,
    unverified", "common practice, no source" or "working assumption of this program" where
    the basis is one of these.
    """

    text: str
    """As printed."""
    basis: Basis | None = None
    """What it rests on; None for what was found or computed in this case."""

    def __post_init__(self) -> None:
        """Refuse an empty sentence, which would print as a hole."""
        if not self.text.strip():
            msg = "a sentence was given empty; allowed is text; leave the sentence out"
            raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedNumber:
    """A number as it is printed, and as a machine reads it.

    Examples
    --------
    >>> PrintedNumber(words="0.101 mm", value=0.1012, unit="mm").words
    '0.101 mm'
    """

    words: str
    """Exactly what is printed: rounded, with unit, and with the interval where there is one."""
    value: float
    """Not rounded. [unit]"""
    unit: str
    """``mm``, ``deg``, ``px``, ``mm/px``, ``-`` for shares and ratios."""
    low: float | None = None
    """Lower end of the interval; None where no interval is stated. [unit]"""
    high: float | None = None
    """Upper end of the interval. [unit]"""
    level_prob: float | None = None
    """Probability with which the interval should hold the truth. [-]"""
    standard_uncertainty: float | None = None
    """[unit]"""
    basis: Basis | None = None
    """What it rests on; None for a number measured or computed in this case."""

    def __post_init__(self) -> None:
        """Refuse NaN and infinity: they are no numbers on paper and none in JSON."""
        given = (self.value, self.low, self.high, self.level_prob, self.standard_uncertainty)
        if not all(number is None or isfinite(number) for number in given):
            msg = (
                f"a number was given for print as {self.words!r} with the values {given}; allowed "
                "are finite numbers; give Unknown with its reason"
            )
            raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture, named; its bytes are handed to the printer under the same name."""

    name: str
    """File name with ending: ``left_foot.svg``; the ending says what the bytes are."""
    alt: str
    """What the picture shows, for those who cannot see it."""
    caption: str
    """Printed under the picture."""

    def __post_init__(self) -> None:
        """Demand a kind of picture the printer knows, and words for those who cannot see it."""
        if not self.name.endswith((".svg", ".jpg", ".png")) or not self.alt.strip():
            msg = (
                f"picture {self.name!r} was given with the description {self.alt!r}; allowed are "
                "names ending in .svg, .jpg or .png, and a description that is not empty"
            )
            raise KnowledgeError(msg)


def said(*texts: str) -> tuple[Sentence, ...]:
    """Return sentences that rest on nothing but this case."""
    return tuple(Sentence(text=text) for text in texts)


def sentence(statement: Statement) -> Sentence:
    """Return a statement of the core as a sentence of the paper."""
    return Sentence(text=statement.text, basis=statement.basis)


def number(measured: Measured) -> PrintedNumber:
    """Print a measured number that is known, in millimetres to a tenth."""
    return _printed(measured, 1, 0.95)


def printed(
    measured: Measured | Unknown, *, decimals: int = 1, level_prob: float = 0.95
) -> PrintedNumber | Unknown:
    """Print a measured number with its interval; an unknown stays unknown.

    Parameters
    ----------
    measured
        Number with its doubt. [any]
    decimals
        Digits after the point. [-]
    level_prob
        Probability with which the interval should hold the truth. [-]

    Examples
    --------
    >>> thumb = Measured(value=71.64, unit="mm", origin="film")
    >>> printed(thumb).words
    '71.6 mm (71.6 to 71.6)'
    """
    if isinstance(measured, Unknown):
        return measured
    return _printed(measured, decimals, level_prob)


def _printed(measured: Measured, decimals: int, level_prob: float) -> PrintedNumber:
    within = measured.interval(level_prob)
    ends = f"({_fixed(within.low, decimals)} to {_fixed(within.high, decimals)})"
    return PrintedNumber(
        words=f"{_with_unit(_fixed(measured.value, decimals), measured.unit)} {ends}",
        value=measured.value,
        unit=measured.unit,
        low=within.low,
        high=within.high,
        level_prob=level_prob,
        standard_uncertainty=measured.uncertainty,
    )


def printed_plain(value: float, unit: str, *, digits: int = 3) -> PrintedNumber:
    """Print a bare number with a few significant digits [any unit].

    Examples
    --------
    >>> printed_plain(0.10123, "mm/px").words
    '0.101 mm/px'
    """
    whole = abs(value) >= 10**digits
    words = f"{value:.0f}" if whole else f"{Decimal(f'{value:.{digits}g}'):f}"
    words = words.replace("-", "−")
    return PrintedNumber(words=_with_unit(words, unit), value=value, unit=unit)


def printed_share(share: float, *, basis: Basis | None = None) -> PrintedNumber:
    """Print a probability or share as a percentage; never "0 %" or "100 %" for a mere near miss.

    Examples
    --------
    >>> [printed_share(share).words for share in (0.0, 0.004, 0.82, 0.997, 1.0)]
    ['0 %', 'under 1 %', '82 %', 'over 99 %', '100 %']
    """
    words = f"{100 * share:.0f} %"
    if 0 < share < 0.01:
        words = "under 1 %"
    elif 0.99 < share < 1:
        words = "over 99 %"
    return PrintedNumber(words=words, value=share, unit="-", basis=basis)


def printed_published(published: Published, *, decimals: int = 1) -> PrintedNumber:
    """Print a number from print, with its basis."""
    words = _with_unit(_fixed(published.value, decimals), published.unit)
    if published.uncertainty is not None:
        words += f" ± {_fixed(published.uncertainty, decimals)}"
    return PrintedNumber(
        words=words,
        value=published.value,
        unit=published.unit,
        standard_uncertainty=published.uncertainty,
        basis=published.basis,
    )


def _fixed(value: float, decimals: int) -> str:
    words = f"{value:.{decimals}f}"
    if float(words) == 0.0:
        words = words.lstrip("-")
    return words.replace("-", "−")


def _with_unit(words: str, unit: str) -> str:
    if unit in {"", "-"}:
        return words
    return f"{words}°" if unit == "deg" else f"{words} {unit}"
