"""The facts of a case as fields of a form, read off the types of the case."""

from collections.abc import Iterator
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from annotated_types import Ge, Gt, Le, Len

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import NotExamined
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.interchange.allowed import Kind, in_words
from thumbwright.interchange.document_text import Place, path_of

NOT_EXAMINED_WORD = NotExamined.NOT_EXAMINED.value
_UNITS = {"mm": "mm", "cm": "cm", "kg": "kg", "deg": "degrees", "hours": "hours", "years": "years"}


class FieldKind(Enum):
    """What sort of answer a field takes."""

    CHOICE = "choice"
    NUMBER = "number"
    DATE = "date"
    TEXT = "text"
    TEXTS = "texts"
    CHOICES = "choices"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Between what a number, or the length of a text, must lie."""

    least: float | None = None
    most: float | None = None
    above_least: bool = False
    """Whether the least itself is not allowed."""
    is_whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ExamField:
    """One fact of a case, as a form asks for it."""

    path: Place
    kind: FieldKind
    choices: tuple[str, ...] = ()
    """Values that may be chosen, without *not examined*."""
    bounds: Bounds | None = None
    unit: str = ""
    description: str = ""
    allowed: str = ""
    """What may stand there, in words."""
    may_be_not_examined: bool = False
    is_required: bool = False

    @property
    def name(self) -> str:
        """Return the dotted path, as faults and forms write it."""
        return path_of(self.path)


KEPT_ON_OTHER_PAGES = {"growth_checks": "Growth visits"}
"""Lists that are entered one by one, each with the title of its page."""


@cache
def case_fields() -> tuple[ExamField, ...]:
    """Return every fact of a case, in the order of the types."""
    return fields_of(Case)


@cache
def field_at(name: str) -> ExamField:
    """Return the field of a dotted path.

    Raises
    ------
    KnowledgeError
        If a case has no such fact.

    Examples
    --------
    >>> field_at("kept.two_point_mm").unit
    'mm'
    """
    found = {field.name: field for field in case_fields()}
    if name not in found:
        raise KnowledgeError(
            f"the field {name} was asked for; allowed are the facts of a case; correct the name "
            "in the list of pages"
        )
    return found[name]


def fields_of(kind: Kind, path: Place = ()) -> tuple[ExamField, ...]:
    """Return the fields of a dataclass, those inside its parts included.

    Parameters
    ----------
    kind
        A dataclass.
    path
        Where it stands in the document.

    Raises
    ------
    KnowledgeError
        If a type is found for which there is no kind of field.
    """
    hints = get_type_hints(kind, include_extras=True)
    return tuple(
        field
        for entry in fields(kind)
        if entry.name not in KEPT_ON_OTHER_PAGES
        for field in _fields_at((*path, entry.name), hints[entry.name], entry)
    )


def _fields_at(path: Place, hint: Kind, entry: Field[Any]) -> Iterator[ExamField]:
    if is_dataclass(hint):
        yield from fields_of(hint, path)
        return
    kinds = get_args(hint) if _is_union(hint) else (hint,)
    core = next(kind for kind in kinds if kind is not NotExamined)
    choices = _choices(core)
    name = str(path[-1])
    yield ExamField(
        path=path,
        kind=_kind(core, path_of(path)),
        choices=tuple(word for word in choices if word != NOT_EXAMINED_WORD),
        bounds=_bounds(core),
        unit="a day" if name.endswith("_per_day") else _UNITS.get(name.rpartition("_")[2], ""),
        description=entry.metadata.get("description", ""),
        allowed=in_words(hint, name),
        may_be_not_examined=NotExamined in kinds or NOT_EXAMINED_WORD in choices,
        is_required=entry.default is MISSING and entry.default_factory is MISSING,
    )


def _kind(core: Kind, name: str) -> FieldKind:
    bare = _bare(core)
    if _origin(bare) is tuple and get_args(bare)[-1] is Ellipsis:
        inner = _bare(get_args(bare)[0])
        if inner is str:
            return FieldKind.TEXTS
        if _is_enum(inner):
            return FieldKind.CHOICES
    if _is_enum(bare):
        return FieldKind.CHOICE
    simple = {float: FieldKind.NUMBER, int: FieldKind.NUMBER}
    simple |= {date: FieldKind.DATE, str: FieldKind.TEXT}
    if bare in simple:
        return simple[bare]
    raise KnowledgeError(
        f"{name} is of the type {core}; allowed are numbers, dates, texts, enumerations and lists "
        "of the last two; give the forms a kind of field for it"
    )


def _choices(core: Kind) -> tuple[str, ...]:
    bare = _bare(core)
    inner = _bare(get_args(bare)[0]) if _origin(bare) is tuple else bare
    return tuple(str(member.value) for member in inner) if _is_enum(inner) else ()


def _bounds(core: Kind) -> Bounds | None:
    inner = get_args(core)[0] if _origin(core) is tuple else core
    least: float | None = None
    most: float | None = None
    marks = get_args(inner)[1:] if _origin(inner) is Annotated else ()
    for mark in marks:
        match mark:
            case Ge(ge=low) | Gt(gt=low):
                least = float(str(low))
            case Le(le=high):
                most = float(str(high))
            case Len(min_length=shortest, max_length=longest):
                least, most = shortest, longest
    if not marks:
        return None
    return Bounds(
        least=least,
        most=most,
        above_least=any(isinstance(mark, Gt) for mark in marks),
        is_whole=_bare(inner) is not float,
    )


def _bare(kind: Kind) -> Kind:
    return get_args(kind)[0] if _origin(kind) is Annotated else kind


def _origin(kind: Kind) -> object:
    return get_origin(kind)


def _is_union(kind: Kind) -> bool:
    return NotExamined in get_args(kind)


def _is_enum(kind: Kind) -> bool:
    return isinstance(kind, type) and issubclass(kind, Enum)
