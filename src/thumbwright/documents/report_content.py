"""A report of any kind: sections of text, tables and pictures, the same on paper and on a page."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.documents.paper_parts import Picture, PrintedNumber, Sentence
from thumbwright.documents.plan_content import InputHash, SourceEntry, Version

Format = Literal["thumbwright-report/1"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell of a table: sentences, or a number, or why there is none."""

    sentences: tuple[Sentence, ...] = ()
    number: PrintedNumber | None = None
    unknown: Unknown | None = None
    is_head: bool = False
    """Whether it names its row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """Sentences that run on."""

    kind: Literal["text"] = "text"
    sentences: tuple[Sentence, ...]
    is_caution: bool = False
    """Whether it warns; then it is set apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """Sentences each on a line of its own."""

    kind: Literal["points"] = "points"
    sentences: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under named columns."""

    kind: Literal["table"] = "table"
    title: str
    """What the table holds; read out before it."""
    columns: tuple[str, ...]
    widths: tuple[float, ...]
    """Of the columns, against each other. [-]"""
    rows: tuple[tuple[Cell, ...], ...]

    def __post_init__(self) -> None:
        """Demand one cell for each column in each row, and a row at all."""
        wrong = [len(row) for row in self.rows if len(row) != len(self.columns)]
        if wrong or not self.rows or len(self.widths) != len(self.columns):
            msg = (
                f"the table '{self.title}' was given {len(self.rows)} rows, {len(self.widths)} "
                f"widths and {len(self.columns)} columns; allowed is at least one row and one cell "
                "and width for each column; say why where there is no row"
            )
            raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A picture with its caption; its text stands in the picture's description."""

    kind: Literal["figure"] = "figure"
    picture: Picture
    width_share: float = 1.0
    """Of the breadth of the page. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gallery:
    """Pictures side by side, two in a row."""

    kind: Literal["gallery"] = "gallery"
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading under that of the section."""

    kind: Literal["heading"] = "heading"
    words: str


Block = Text | Points | Table | Figure | Gallery | Heading


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of a report."""

    key: str
    """Short word, as in the address of the page."""
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """A whole report; the only input of its template and of its JSON."""

    format: Format = "thumbwright-report/1"
    title: str
    """"Outlook, case JOINER"."""
    case_id: str
    pseudonym: str
    age: str
    side: str
    level: str
    issued_on: date
    program: str
    decides_nothing: str
    sections: tuple[Section, ...]
    sources: tuple[SourceEntry, ...] = ()
    cautions: tuple[Sentence, ...]
    inputs: tuple[InputHash, ...]
    versions: tuple[Version, ...]


def head(words: str) -> Cell:
    """Return the cell that names a row."""
    return Cell(sentences=(Sentence(text=words),), is_head=True)


def cell(*parts: str | Sentence) -> Cell:
    """Return a cell of sentences; empty strings are left out, nothing at all becomes a dash."""
    found = tuple(Sentence(text=one) if isinstance(one, str) else one for one in parts if one)
    return Cell(sentences=found or (Sentence(text="–"),))


def valued(number: PrintedNumber | Unknown) -> Cell:
    """Return a cell with a number, or with the reason why there is none."""
    return Cell(unknown=number) if isinstance(number, Unknown) else Cell(number=number)


def text(*sentences: Sentence) -> tuple[Text, ...]:
    """Return sentences that run on; nothing if there are none."""
    return (Text(sentences=sentences),) if sentences else ()


def points(title: str, sentences: tuple[Sentence, ...]) -> tuple[Block, ...]:
    """Return sentences line by line under a heading; nothing if there are none."""
    return (Heading(words=title), Points(sentences=sentences)) if sentences else ()


def cautions(*sentences: Sentence) -> tuple[Text, ...]:
    """Return sentences that warn; nothing if there are none."""
    return (Text(sentences=sentences, is_caution=True),) if sentences else ()


def why_not(unknown: Unknown) -> Text:
    """Return the reason why something is not said."""
    return Text(sentences=(Sentence(text=f"{str(unknown)[0].upper()}{str(unknown)[1:]}."),))


def shown(picture: Picture | Unknown | None, width_share: float = 1.0) -> tuple[Block, ...]:
    """Return a picture, the reason why there is none, or nothing."""
    if picture is None:
        return ()
    if isinstance(picture, Unknown):
        return (why_not(picture),)
    return (Figure(picture=picture, width_share=width_share),)
