"""Document models and published schemas, both made from the types of the core."""

from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from enum import Enum
from typing import Any, ClassVar, Literal, Protocol, get_args, get_type_hints

from pydantic import Field as ModelField
from pydantic import create_model

from thumbwright.core.case.examined import Finding, Quality
from thumbwright.interchange.allowed import Kind, in_words, members_of, narrowed
from thumbwright.interchange.validation import Document

_SAY_NOTHING = {Finding, Quality}
"""Enumerations whose meaning lies in the key, not in the class."""


class DataclassType(Protocol):
    """Any class made by ``dataclass``."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]


def document_model(name: str, version_key: str, content: type[DataclassType]) -> type[Document]:
    """Return the model of a document: a version key, then the fields of a dataclass.

    Parameters
    ----------
    name
        Title of the document.
    version_key
        Key of the first line, such as ``thumbwright_case``; its only value is 1.
    content
        The dataclass whose fields stand at the top of the document.

    Returns
    -------
    type[Document]
        A model with the same names, annotations, defaults and descriptions.
    """
    hints = get_type_hints(content, include_extras=True)
    version = (Literal[1], ModelField(description="Kind and version of this document."))
    entries: dict[str, Any] = {version_key: version}
    entries |= {entry.name: (hints[entry.name], _model_field(entry)) for entry in fields(content)}
    return create_model(name, __base__=Document, __doc__=content.__doc__, **entries)


def schema_of(model: type[Document], identifier: str) -> Mapping[str, object]:
    """Return the JSON Schema of a document, 2020-12.

    Parameters
    ----------
    model
        The document's model.
    identifier
        What the schema is called in its ``$id``.
    """
    schema = model.model_json_schema()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:thumbwright:{identifier}",
        **schema,
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One key of a document, for the guide."""

    path: str
    """Dotted; ``[]`` stands for each entry of a list."""
    allowed: str
    meaning: str
    is_required: bool


def entries_of(kind: Kind, path: str = "") -> tuple[Entry, ...]:
    """Return every key of a document that takes a value, in the order of the types."""
    meanings = {f.name: f.metadata.get("description", "") for f in _fields_of(kind)}
    required = {f.name for f in _fields_of(kind) if _has_no_default(f)}
    found: list[Entry] = []
    for name, inner in members_of(kind).items():
        below = f"{path}.{name}" if path else name
        bare = narrowed(inner)
        if entry_kind := next(filter(members_of, get_args(bare)), None):
            found += entries_of(entry_kind, f"{below}[]")
        elif members_of(bare):
            found += entries_of(bare, below)
        else:
            found.append(
                Entry(
                    path=below,
                    allowed=in_words(inner, name),
                    meaning=meanings.get(name) or _class_meaning(bare),
                    is_required=name in required,
                )
            )
    return tuple(found)


def _fields_of(kind: Kind) -> tuple[Field[Any], ...]:
    return fields(kind) if is_dataclass(kind) else ()


def _has_no_default(entry: Field[Any]) -> bool:
    return entry.default is MISSING and entry.default_factory is MISSING


def _class_meaning(bare: Kind) -> str:
    has_meaning = isinstance(bare, type) and issubclass(bare, Enum) and bare not in _SAY_NOTHING
    return (bare.__doc__ or "").partition("\n")[0] if has_meaning else ""


def _model_field(entry: Field[Any]) -> Any:  # noqa: ANN401 - pydantic itself types it so
    description = entry.metadata.get("description")
    if entry.default_factory is not MISSING:
        return ModelField(default_factory=entry.default_factory, description=description)
    default = ... if entry.default is MISSING else entry.default
    return ModelField(default=default, description=description)
