"""Both hands and both feet as one drawing with marks, and the same marks in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from html import escape

from thumbwright.core.foundations.errors import PlanError
from thumbwright.interchange.document_text import shown
from thumbwright.storage.records import Table, Value
from thumbwright.web.exam_outlines import CELL_HEIGHT, CELL_WIDTH, VIEWS, Region, View

LONGEST_NOTE = 200
_COLUMNS = 4
_TITLE_HEIGHT = 34.0
_GAP = 14.0
_INK, _SKIN, _PAPER = "#1b2733", "#f7f3ee", "#ffffff"


class MarkError(PlanError):
    """A mark cannot be drawn."""


class MarkKind(Enum):
    """What is marked."""

    LEVEL_OF_LOSS = "level_of_loss"
    SCAR = "scar"
    FLAP = "flap"
    GRAFT = "graft"
    AMPUTATION = "amputation"
    ULCER = "ulcer"
    OTHER = "other"

    @property
    def words(self) -> str:
        """Return the kind in words."""
        return str(self.value).replace("_", " ")

    @property
    def letter(self) -> str:
        """Return the letter that stands for it on the drawing."""
        return str(self.value)[0].upper()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One mark on one region of the drawing."""

    kind: MarkKind
    region: str
    """Name of a region, such as ``left_hand_palm.thumb_metacarpal``."""
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse a region that is not drawn, and a note that nobody could read."""
        if self.region not in _REGIONS:
            raise MarkError(
                f"a mark stands on the region {shown(self.region)}; allowed are the regions of the "
                "drawing; choose one of them"
            )
        if len(self.note) > LONGEST_NOTE:
            raise MarkError(
                f"the note of a mark has {len(self.note)} characters; allowed are at most "
                f"{LONGEST_NOTE}; shorten it"
            )
        if any(not sign.isprintable() for sign in self.note):
            raise MarkError(
                f"the note of a mark is {shown(self.note)}; allowed is one line of text; remove "
                "line ends and control characters"
            )

    @property
    def words(self) -> str:
        """Return the mark in words, without its place."""
        return f"{self.kind.words} ({self.note})" if self.note else self.kind.words

    def to_table(self) -> Table:
        """Return the mark as a table of a document."""
        table: Table = {"kind": self.kind.value, "region": self.region}
        return {**table, "note": self.note} if self.note else table

    @classmethod
    def from_table(cls, table: Value) -> "Mark":
        """Return the mark of a table.

        Raises
        ------
        MarkError
            If it is no mark.
        """
        if not isinstance(table, dict):
            raise MarkError(
                f"a mark is {shown(table)}; allowed is a table with kind, region and perhaps "
                "note; write one"
            )
        if unknown := [key for key in table if key not in {"kind", "region", "note"}]:
            raise MarkError(
                f"a mark has the key {shown(unknown[0])}; allowed are kind, region and note; "
                "remove it"
            )
        kinds = {kind.value: kind for kind in MarkKind}
        kind, region, note = table.get("kind"), table.get("region"), table.get("note", "")
        if not isinstance(kind, str) or kind not in kinds:
            raise MarkError(
                f"the kind of a mark is {shown(kind)}; allowed are {', '.join(kinds)}; choose one"
            )
        if not isinstance(region, str) or not isinstance(note, str):
            raise MarkError(
                f"region and note of a mark are {shown(region)} and {shown(note)}; allowed are "
                "texts; correct them"
            )
        return cls(kind=kinds[kind], region=region, note=note)


_REGIONS: Mapping[str, Region] = {r.name: r for view in VIEWS for r in view.regions}


def region_choices() -> tuple[tuple[str, str], ...]:
    """Return the name and the words of every region, for a list beside the drawing."""
    return tuple((region.name, region.words) for region in _REGIONS.values())


def marks_in_words(marks: Sequence[Mark]) -> list[str]:
    """Return each mark as a line of text, in the order of the drawing.

    Examples
    --------
    >>> mark = Mark(kind=MarkKind.SCAR, region="left_hand_palm.first_web", note="burn")
    >>> marks_in_words([mark])
    ['Left hand, palm side: first web: scar (burn)']
    """
    order = list(_REGIONS)
    lines = []
    for mark in sorted(marks, key=lambda mark: order.index(mark.region)):
        words = f"{_REGIONS[mark.region].words}: {mark.words}"
        lines.append(words[0].upper() + words[1:])
    return lines


def drawing_svg(marks: Sequence[Mark]) -> str:
    """Return the drawing with its marks, to stand inside a page.

    Parameters
    ----------
    marks
        The marks; several may stand on one region.

    Returns
    -------
    str
        An ``svg`` element. Each region is a link to setting a mark on it, says in words what it
        is and what is marked there, and carries its name as ``data-region``. No script, no
        style; a mark is told by its letter and pattern and not by colour.
    """
    rows = -(-len(VIEWS) // _COLUMNS)
    width = _COLUMNS * CELL_WIDTH + (_COLUMNS - 1) * _GAP
    height = rows * (CELL_HEIGHT + _TITLE_HEIGHT) + _GAP + _LEGEND_HEIGHT
    cells = "".join(
        _view_svg(view, marks, at % _COLUMNS, at // _COLUMNS) for at, view in enumerate(VIEWS)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="exam-drawing" role="group" '
        f'viewBox="0 0 {width:g} {height:g}" width="{width:g}" height="{height:g}" '
        f'aria-label="Drawing of both hands and both feet with marks" '
        f'font-family="sans-serif" fill="{_INK}">'
        f"<defs>{_PATTERNS}</defs>{cells}{_legend(height - _LEGEND_HEIGHT)}</svg>"
    )


def _view_svg(view: View, marks: Sequence[Mark], column: int, row: int) -> str:
    x, y = column * (CELL_WIDTH + _GAP), row * (CELL_HEIGHT + _TITLE_HEIGHT)
    regions = "".join(
        _region_svg(region, [mark for mark in marks if mark.region == region.name])
        for region in view.regions
    )
    letters = "".join(
        _letters_svg(region, [mark for mark in marks if mark.region == region.name])
        for region in view.regions
    )
    title = view.words[0].upper() + view.words[1:]
    return (
        f'<g role="group" aria-label="{title}" data-view="{view.name}" '
        f'transform="translate({x:g} {y:g})">'
        f'<text x="{CELL_WIDTH / 2:g}" y="22" text-anchor="middle" font-size="17" '
        f'font-weight="600" aria-hidden="true">{title}</text>'
        f'<g transform="translate(0 {_TITLE_HEIGHT:g})">{regions}{letters}</g></g>'
    )


def _region_svg(region: Region, marks: Sequence[Mark]) -> str:
    label = region.words
    if marks:
        label += f", marked: {'; '.join(mark.words for mark in marks)}"
    shapes = f'<path d="{region.path}" fill="{_SKIN}" stroke="{_INK}" stroke-width="1.5"/>'
    if region.nail:
        shapes += f'<path d="{region.nail}" fill="none" stroke="{_INK}" stroke-width="1"/>'
    for kind in dict.fromkeys(mark.kind for mark in marks):
        shapes += (
            f'<path d="{region.path}" fill="url(#mark-{_slug(kind)})" stroke="{_INK}" '
            f'stroke-width="3"/>'
        )
    return (
        f'<a href="?region={region.name}#set" class="exam-region" data-region="{region.name}" '
        f'aria-label="{escape(label)}">{shapes}</a>'
    )


def _letters_svg(region: Region, marks: Sequence[Mark]) -> str:
    """Return the letters of a region, above everything and out of the way of the pointer."""
    kinds = list(dict.fromkeys(mark.kind for mark in marks))
    return "".join(
        _badge(kind, region.centre[0] + (at - (len(kinds) - 1) / 2) * 19, region.centre[1])
        for at, kind in enumerate(kinds)
    )


def _badge(kind: MarkKind, x: float, y: float) -> str:
    return (
        f'<g aria-hidden="true" pointer-events="none"><circle cx="{x:.1f}" cy="{y:.1f}" r="9.5" '
        f'fill="{_PAPER}" stroke="{_INK}" stroke-width="1.5"/><text x="{x:.1f}" y="{y + 5:.1f}" '
        f'text-anchor="middle" font-size="14" font-weight="700">{kind.letter}</text></g>'
    )


def _legend(y: float) -> str:
    step = (_COLUMNS * CELL_WIDTH) / len(MarkKind)
    items = "".join(
        f'<rect x="{at * step + 4:.1f}" y="{y + 12:.1f}" width="34" height="24" '
        f'fill="url(#mark-{_slug(kind)})" stroke="{_INK}"/>'
        f"{_badge(kind, at * step + 21, y + 24)}"
        f'<text x="{at * step + 45:.1f}" y="{y + 29:.1f}" font-size="14">'
        f"{kind.words.capitalize()}</text>"
        for at, kind in enumerate(MarkKind)
    )
    return f'<g role="img" aria-label="Key to the marks: {_KEY}">{items}</g>'


def _slug(kind: MarkKind) -> str:
    return kind.value.replace("_", "-")


_LEGEND_HEIGHT = 44.0
_KEY = ", ".join(f"{kind.letter} {kind.words}" for kind in MarkKind)
_STROKES = {
    MarkKind.LEVEL_OF_LOSS: '<path d="M0 2H8M0 6H8" stroke-width="2.4"/>',
    MarkKind.SCAR: '<path d="M0 8L8 0M-2 2L2 -2M6 10L10 6" stroke-width="1.3"/>',
    MarkKind.FLAP: '<circle cx="4" cy="4" r="1.7" fill="#1b2733" stroke="none"/>',
    MarkKind.GRAFT: '<path d="M0 0L8 8M8 0L0 8" stroke-width="1"/>',
    MarkKind.AMPUTATION: '<path d="M2 0V8M6 0V8" stroke-width="2.4"/>',
    MarkKind.ULCER: '<circle cx="4" cy="4" r="2.6" fill="none" stroke-width="1.2"/>',
    MarkKind.OTHER: '<path d="M0 4Q2 0 4 4T8 4" fill="none" stroke-width="1.3"/>',
}
_PATTERNS = "".join(
    f'<pattern id="mark-{_slug(kind)}" width="8" height="8" patternUnits="userSpaceOnUse">'
    f'<g stroke="{_INK}">{strokes}</g></pattern>'
    for kind, strokes in _STROKES.items()
)
