"""What the paper says of growth: a row per technique, ages of operation, sentences, a picture."""

from dataclasses import dataclass

from thumbwright.core.foundations.answer import Unknown
from thumbwright.documents.paper_parts import Picture, PrintedNumber, Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthRow:
    """One technique: both thumbs now and when grown."""

    technique: str
    """Name of the technique."""
    now: PrintedNumber | Unknown
    """New thumb now. [mm]"""
    grown: PrintedNumber | Unknown
    """New thumb when grown, with its 95 % band. [mm]"""
    difference_now: PrintedNumber | Unknown
    """New thumb less the other now. [mm]"""
    difference_grown: PrintedNumber | Unknown
    """The same when grown, with its 95 % band. [mm]"""
    half_of_cases: str
    """The 50 % band of that difference in words; empty where it is unknown."""
    within_5: PrintedNumber | Unknown
    """Chance of ending within 5 mm of the other thumb. [-]"""
    within_10: PrintedNumber | Unknown
    """Chance of ending within 10 mm of it. [-]"""
    pieces: tuple[str, ...]
    """Each piece of the thumb, its length and how it grows."""
    length_to_choose: str
    """The length that would make both alike when grown, or why there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherThumbRow:
    """The other thumb at one age."""

    age: str
    """In words: "8 years"."""
    length: PrintedNumber
    """[mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class AgeRow:
    """One technique's thumb at one age."""

    technique: str
    """Name of the technique."""
    age: str
    """In words: "8 years"."""
    thumb: PrintedNumber
    """New thumb with its 95 % band. [mm]"""
    difference: PrintedNumber
    """New thumb less the other at that age. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingRow:
    """One technique done at one age."""

    technique: str
    """Name of the technique."""
    age: str
    """Age at the operation in words."""
    without: str
    """Years lived without the thumb until then, in words."""
    difference_grown: PrintedNumber
    """New thumb less the other when grown. [mm]"""
    within_5: PrintedNumber
    """Chance of ending within 5 mm of the other thumb. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthSection:
    """Whether the new thumb grows, and how both compare."""

    opening: tuple[Sentence, ...]
    """Whether the hand grows, and how mature it is."""
    rows: tuple[GrowthRow, ...] | Unknown
    """Each technique that is not closed."""
    other: tuple[OtherThumbRow, ...] | Unknown
    """The other thumb by age; unknown where it does not grow."""
    by_age: tuple[AgeRow, ...]
    """Each thumb now, at each birthday and when grown; none where nothing grows."""
    waiting: tuple[WaitingRow, ...] | Unknown
    """What comes of waiting."""
    sentences: tuple[Sentence, ...]
    """What the numbers rest on."""
    cautions: tuple[Sentence, ...]
    """What they do not know."""
    picture: Picture | Unknown
    """Curves of growth."""
    drawn_with: str
    """Seed, draws and their error, in words."""
