"""Documents and the changes to them: pure, so that the history can be replayed."""

import json
from collections.abc import Iterable, Sequence
from copy import deepcopy

from thumbwright.storage.records import Change, Part, StoreError, Table, Value

Path = Sequence[str | int]


def as_text(value: Value) -> str:
    """Write a value so that equal values give equal text."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def value_at(document: Value, path: Path) -> Value:
    """Return what stands at a path; None if nothing does."""
    here = document
    for step in path:
        if isinstance(here, dict) and isinstance(step, str):
            here = here.get(step)
        elif isinstance(here, list) and isinstance(step, int) and 0 <= step < len(here):
            here = here[step]
        else:
            return None
    return here


def with_value(document: Table, path: Path, value: Value) -> Table:
    """Return a copy with another value at a path; None takes the entry away.

    Tables on the way are made; emptied ones go. A list is only ever changed as a whole.

    Raises
    ------
    StoreError
        If the path leads through something that holds no entries.
    """
    if not path:
        return deepcopy(value) if isinstance(value, dict) else {}
    copy = deepcopy(document)
    trail: list[tuple[Table, str]] = []
    here: Value = copy
    for step in path[:-1]:
        if not isinstance(here, dict) or not isinstance(step, str):
            raise _no_way(path)
        trail.append((here, step))
        here = here.setdefault(step, {})
    last = path[-1]
    if not isinstance(here, dict) or not isinstance(last, str):
        raise _no_way(path)
    if value is None:
        here.pop(last, None)
    else:
        here[last] = deepcopy(value)
    for table, step in reversed(trail):
        if table[step] == {}:
            del table[step]
    return copy


def replayed(changes: Iterable[Change]) -> dict[Part, Table]:
    """Return the documents that a history adds up to."""
    documents: dict[Part, Table] = {part: {} for part in Part}
    for change in changes:
        documents[change.part] = with_value(documents[change.part], change.path, change.after)
    return documents


def overlap(one: Path, other: Path) -> bool:
    """Tell whether two paths touch the same facts: one is the other, or leads to it."""
    return all(left == right for left, right in zip(one, other, strict=False))


def _no_way(path: Path) -> StoreError:
    return StoreError(
        f"{'.'.join(map(str, path))} was to be changed and is no entry of the document; allowed "
        "are keys of tables; lists are changed as a whole"
    )
