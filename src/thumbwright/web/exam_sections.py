"""Which fact is asked for on which page, in the order in which a clinician examines."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.storage.documents import value_at
from thumbwright.storage.records import Table, Value
from thumbwright.web.exam_fields import NOT_EXAMINED_WORD, ExamField, FieldKind, field_at
from thumbwright.web.exam_words import CHOICE_WORDS, PAGE_TEXTS, Line

_MOST_RADIOS = 5
_LONG_TEXT = 100
_RANKS = ("1st, most important", "2nd", "3rd")
_ORDERED = {"wishes.goals", "wishes.guardian_goals", "wishes.surgeon_goals"}
_OF_THOSE_WHO_WANT = ("wishes.guardian_", "wishes.surgeon_", "wishes.patient_points.")
"""Beginnings of facts that nobody misses, because they are for those who want to say more."""
_JOINTS = ("kept.cmc", "kept.mcp", "kept.ip")

# A fact that nobody misses where another fact rules it out.
_NEEDLESS: dict[str, tuple[str, frozenset[str]]] = {
    "patient.cigarettes_per_day": ("patient.smoking", frozenset({"never", "former"})),
    "injury.high_voltage": (
        "injury.mechanism",
        frozenset(
            {"sharp", "crush", "avulsion", "thermal", "congenital", "infection", "tumour"},
        ),
    ),
    "injury.lost_part.warm_hours": ("injury.lost_part.state", frozenset({"lost", "none"})),
    "injury.lost_part.cool_hours": ("injury.lost_part.state", frozenset({"lost", "none"})),
    **{
        f"{joint}.{name}": (f"{joint}.present", frozenset({"no"}))
        for joint in _JOINTS
        for name in ("mobile", "stable", "range_from_deg", "range_to_deg")
    },
    **{
        f"girths.{side}_foot.{toe}.{level}": (f"feet.{side}.toes.{toe}", frozenset({"lost"}))
        for side in ("left", "right")
        for toe in ("great", "second")
        for level in ("nail_mm", "joint_mm", "base_mm")
    },
    **{
        f"girths.other_thumb.{level}": ("other_thumb", frozenset({"lost"}))
        for level in ("nail_mm", "joint_mm", "base_mm")
    },
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One field as it stands on a page."""

    field: ExamField
    label: str
    """With the unit in brackets."""
    hint: str
    full_label: str
    """Label that is understood away from its section."""

    @property
    def name(self) -> str:
        """Return the name under which the form posts it."""
        return self.field.name

    @property
    def element_id(self) -> str:
        """Return the id of its element, or of the first of a group."""
        return "exam-" + self.name.replace(".", "-").replace("_", "-")

    @property
    def widget(self) -> str:
        """Return which native control asks for it."""
        match self.field.kind:
            case FieldKind.CHOICE:
                return "radios" if len(self.options) <= _MOST_RADIOS + 1 else "select"
            case FieldKind.CHOICES:
                return "ranks" if self.is_ordered else "checks"
            case FieldKind.TEXT:
                most = self.field.bounds.most if self.field.bounds else None
                return "area" if most is None or most > _LONG_TEXT else "line"
            case FieldKind.TEXTS:
                return "area"
        return str(self.field.kind.value)

    @property
    def is_ordered(self) -> bool:
        """Tell whether the order of the choices says something."""
        return self.name in _ORDERED

    @property
    def options(self) -> tuple[tuple[str, str], ...]:
        """Return the values to choose from with their words; *not examined* comes first."""
        words = tuple((value, self.words_of(value)) for value in self.field.choices)
        first = ((NOT_EXAMINED_WORD, "Not examined"),) if self.field.may_be_not_examined else ()
        return (*first, *words) if self.field.kind is FieldKind.CHOICE else words

    def words_of(self, value: str) -> str:
        """Return a value in words."""
        words = CHOICE_WORDS.get((self.field.path[-1], value)) or CHOICE_WORDS.get(("", value))
        return words or _sentence(value)

    def rank_label(self, rank: int) -> str:
        """Return what stands before the goal of a rank, counted from 0."""
        return _RANKS[rank] if rank < len(_RANKS) else f"{rank + 1}th"


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Fields that are examined together."""

    key: str
    legend: str
    hint: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExamPage:
    """One page of the examination."""

    key: str
    title: str
    sections: tuple[Section, ...]

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Return every field of the page."""
        return tuple(entry for section in self.sections for entry in section.entries)


@cache
def exam_pages() -> tuple[ExamPage, ...]:
    """Return every page of the examination, in order."""
    return tuple(
        ExamPage(
            key=key,
            title=title,
            sections=tuple(
                Section(
                    key=f"{key}-{number}",
                    legend=legend,
                    hint=hint,
                    entries=tuple(entry_of(field_at(line[0]), legend, line) for line in lines),
                )
                for number, (legend, hint, lines) in enumerate(sections, start=1)
            ),
        )
        for key, title, sections in PAGE_TEXTS
    )


def page_of(key: str) -> ExamPage:
    """Return the page of a key.

    Raises
    ------
    KnowledgeError
        If there is no such page.
    """
    for page in exam_pages():
        if page.key == key:
            return page
    keys = ", ".join(page.key for page in exam_pages())
    raise KnowledgeError(
        f"the page {key[:40]!r} was asked for; allowed are {keys}; go back to the case"
    )


def entry_named(name: str) -> Entry | None:
    """Return the field of a dotted path from whichever page it stands on."""
    return _entries().get(name)


def page_key_of(name: str) -> str:
    """Return the key of the page on which a field stands; empty if on none."""
    return next((page.key for page in exam_pages() if name in {e.name for e in page.entries}), "")


def document_progress(page: ExamPage | str, document: Table) -> tuple[int, int, tuple[str, ...]]:
    """Count what was examined on a page.

    Parameters
    ----------
    page
        The page or its key.
    document
        The case document, perhaps with gaps.

    Returns
    -------
    tuple[int, int, tuple[str, ...]]
        How many facts are there, of how many, and the labels of those that are missing. Texts
        that may stay empty, and facts that another fact makes needless, do not count.
    """
    entries = (page_of(page) if isinstance(page, str) else page).entries
    asked = [entry for entry in entries if _counts(entry, document)]
    missing = tuple(
        entry.full_label for entry in asked if is_nothing(value_at(document, entry.field.path))
    )
    return len(asked) - len(missing), len(asked), missing


def is_nothing(value: Value) -> bool:
    """Tell whether a stored value says no more than that nobody has looked."""
    if isinstance(value, str):
        return not value.strip() or value == NOT_EXAMINED_WORD
    return value is None or value in ([], {})


@cache
def _entries() -> Mapping[str, Entry]:
    return {entry.name: entry for page in exam_pages() for entry in page.entries}


def _counts(entry: Entry, document: Table) -> bool:
    field = entry.field
    if entry.name.startswith(_OF_THOSE_WHO_WANT):
        return False
    if not (field.may_be_not_examined or field.is_required or entry.is_ordered):
        return False
    if entry.name not in _NEEDLESS or not is_nothing(value_at(document, field.path)):
        return True
    other, values = _NEEDLESS[entry.name]
    ruling = value_at(document, field_at(other).path)
    return not (isinstance(ruling, str) and ruling in values)


def entry_of(field: ExamField, legend: str, line: Line) -> Entry:
    """Return a field with its words, as it stands under a legend."""
    _, label, *rest = line
    # A unit stands in brackets behind the label, unless the label already says it.
    has_unit = field.unit and field.unit not in label
    labelled = f"{label} [{field.unit}]" if has_unit else label
    return Entry(
        field=field,
        label=labelled,
        hint=_hint(field, rest[0] if rest else field.description),
        full_label=f"{legend}: {labelled}",
    )


def _hint(field: ExamField, hint: str) -> str:
    is_typed = field.kind in {FieldKind.NUMBER, FieldKind.DATE}
    empty = "Empty means not examined." if is_typed and field.may_be_not_examined else ""
    return " ".join(filter(None, (hint, empty)))


def _sentence(value: str) -> str:
    words = value.replace("_", " ")
    return words[:1].upper() + words[1:]
