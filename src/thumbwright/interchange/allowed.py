"""What may stand in a place of a document, in words, read off the type that stands behind it."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints

from annotated_types import Ge, Gt, Le, Len, Lt
from pydantic import BaseModel

from thumbwright.interchange.document_text import Place

Kind: TypeAlias = Any
"""An annotation; Python has no narrower type for it."""

_UNITS = ("mm", "deg", "cm", "kg", "px", "hours", "years", "share", "prob")
_PLAIN = {bool: "true or false", str: "text", date: "a date such as 2026-11-25"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place that the types know, and the annotation that rules there."""

    place: Place
    kind: Kind
    is_unknown: bool = False
    """Whether the last step of the place is a key that does not exist."""

    @property
    def name(self) -> str:
        """Return the last key on the way, which carries the unit."""
        return next((step for step in reversed(self.place) if isinstance(step, str)), "")


def spot_of(kind: Kind, location: tuple[str | int, ...]) -> Spot:
    """Follow a location of the validator through the types.

    Steps that stand for an alternative of a union are passed over, and the parts of a pair
    are not told apart, so that every message about one entry meets at one place.
    """
    place: list[str | int] = []
    for step in location:
        kind = narrowed(kind)
        inner = _step(kind, step)
        if inner is None:
            if not isinstance(step, str) or not keys_of(kind):
                break
            return Spot(place=(*place, step), kind=kind, is_unknown=True)
        place.append(step)
        kind = inner
    return Spot(place=tuple(place), kind=kind)


def keys_of(kind: Kind) -> tuple[str, ...]:
    """Return the keys that a table of this kind may have; none where it is no table."""
    kind = narrowed(kind)
    if _origin(kind) is dict:
        return _values(get_args(kind)[0])
    return tuple(members_of(kind))


def alternatives_of(kind: Kind) -> tuple[str, ...]:
    """Return the words that may stand in a place, if it takes words from a closed list."""
    bare = _bare(kind)
    if _origin(bare) in {Union, UnionType}:
        return tuple(word for part in get_args(bare) for word in alternatives_of(part))
    return _values(bare)


def members_of(kind: Kind) -> Mapping[str, Kind]:
    """Return the keys of a table with their annotations; none where it has no fixed keys."""
    return _class_members(kind) if isinstance(kind, type) else {}


def narrowed(kind: Kind) -> Kind:
    """Return the one alternative that has an inside, or the bare kind itself."""
    bare = _bare(kind)
    if _origin(bare) not in {Union, UnionType}:
        return bare
    inside = [part for part in get_args(bare) if keys_of(part) or _origin(part) is tuple]
    return inside[0] if inside else bare


def takes_a_date(kind: Kind) -> bool:
    """Tell whether a date may stand in a place."""
    return date in (_bare(kind), *get_args(_bare(kind)))


def in_words(kind: Kind, name: str) -> str:
    """Return what may stand in a place, with bounds, and the unit from the name.

    Examples
    --------
    >>> in_words(Annotated[float, Ge(0), Le(80)], "pulp_defect_mm")
    'a number from 0 to 80 [mm]'
    """
    bare = _bare(kind)
    if _origin(bare) in {Union, UnionType}:
        parts = [in_words(part, name) for part in get_args(bare) if part is not NoneType]
        return ", or ".join(parts)
    if words := alternatives_of(bare):
        return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
    if bare in {int, float}:
        return _number_in_words(kind, name)
    return _length_in_words(kind) if bare is str else _shape_in_words(bare, name)


def _shape_in_words(bare: Kind, name: str) -> str:
    if _origin(bare) is tuple:
        parts = get_args(bare)
        if parts[-1] is Ellipsis:
            return f"a list, each entry {in_words(parts[0], name)}"
        return f"a list of {len(parts)}: {', '.join(in_words(part, name) for part in parts)}"
    if keys := keys_of(bare):
        return f"a table with the keys {', '.join(keys)}"
    return _PLAIN.get(bare, "a value of another kind")


def _number_in_words(kind: Kind, name: str) -> str:
    noun = "a whole number" if _bare(kind) is int else "a number"
    low, high = "", ""
    for bound in _marks(kind):
        match bound:
            case Ge(ge=least):
                low = f" from {least}"
            case Gt(gt=least):
                low = f" above {least}"
            case Le(le=most):
                high = f" to {most}" if low.startswith(" from") else f" and at most {most}"
            case Lt(lt=most):
                high = f" below {most}"
    unit = "a day" if name.endswith("_per_day") else name.rpartition("_")[2]
    return noun + low + high + (f" [{unit}]" if unit in {*_UNITS, "a day"} else "")


def _length_in_words(kind: Kind) -> str:
    for bound in _marks(kind):
        if isinstance(bound, Len):
            low = f"{bound.min_length} to " if bound.min_length else "at most "
            return f"text of {low}{bound.max_length} characters"
    return _PLAIN[str]


def _origin(kind: Kind) -> object:
    return get_origin(kind)


def _bare(kind: Kind) -> Kind:
    return get_args(kind)[0] if _origin(kind) is Annotated else kind


def _marks(kind: Kind) -> tuple[object, ...]:
    return get_args(kind)[1:] if _origin(kind) is Annotated else ()


def _step(kind: Kind, step: str | int) -> Kind | None:
    origin, parts = _origin(kind), get_args(kind)
    if origin is tuple:
        return parts[0] if parts[-1] is Ellipsis and isinstance(step, int) else None
    if origin is dict:
        return parts[1] if step in keys_of(kind) else None
    return members_of(kind).get(step) if isinstance(step, str) else None


@cache
def _class_members(kind: type) -> dict[str, Kind]:
    hints = get_type_hints(kind, include_extras=True) if kind.__module__ != "builtins" else {}
    if issubclass(kind, BaseModel):
        return {name: hints[name] for name in kind.model_fields}
    return {f.name: hints[f.name] for f in fields(kind)} if is_dataclass(kind) else {}


def _values(bare: Kind) -> tuple[str, ...]:
    if _origin(bare) is Literal:
        return tuple(str(value) for value in get_args(bare))
    if isinstance(bare, type) and issubclass(bare, Enum):
        return tuple(str(member.value) for member in bare)
    return ()
