"""What two people recorded of the same fact, in words and side by side."""

from collections.abc import Sequence

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.records import Part, Value
from thumbwright.web.exam_answers import in_plain_words
from thumbwright.web.exam_drawing import Mark, marks_in_words
from thumbwright.web.exam_fields import KEPT_ON_OTHER_PAGES
from thumbwright.web.exam_sections import entry_named
from thumbwright.web.growth_visits import VISITS, in_order, row_of

_LISTS = {
    (Part.FILMS, "films"): "The list of films",
    (Part.DRAWING, "marks"): "The marks on the drawing",
    (Part.DECISION, "plan"): "The decision",
    (Part.FACTS, VISITS): KEPT_ON_OTHER_PAGES[VISITS],
}


def label(part: Part, path: Sequence[str | int]) -> str:
    """Return what a fact is called on its page."""
    name = ".".join(map(str, path))
    entry = entry_named(name) if part is Part.FACTS else None
    if entry is not None:
        return entry.full_label
    return _LISTS.get((part, name)) or in_plain_words(name) or f"All of the {part.value}"


def in_words(part: Part, path: Sequence[str | int], value: Value) -> tuple[str, ...]:
    """Return a value in words, a line for each thing it lists."""
    if value is None or value in ([], {}):
        return ("nothing",)
    some: list[Value] = [*value] if isinstance(value, list) else [value]
    if part is Part.DRAWING:
        return _marks(some)
    if part is Part.FILMS or [*path] == [VISITS]:
        line = _film if part is Part.FILMS else _visit
        return tuple(map(line, some))
    if isinstance(value, dict):
        return tuple(f"{in_plain_words(key)}: {_plain(one)}" for key, one in value.items())
    entry = entry_named(".".join(map(str, path))) if part is Part.FACTS else None
    if entry is not None and entry.field.choices and not isinstance(value, bool):
        return tuple(entry.words_of(str(one)) for one in some)
    return tuple(map(_plain, some))


def both(base: Value, theirs: Value, mine: Value) -> list[Value] | None:
    """Return a list with the changes of both people; None where that makes no sense.

    Examples
    --------
    >>> both(["a", "b"], ["a", "b", "c"], ["b", "d"])
    ['b', 'c', 'd']
    """
    lists = [one or [] for one in (base, theirs, mine)]
    if not all(isinstance(one, list) for one in lists):
        return None
    old, there, here = ([*one] for one in lists if isinstance(one, list))
    gone = [one for one in old if one not in here]
    kept = [one for one in there if one not in gone]
    merged = in_order(kept + [one for one in here if one not in old and one not in kept])
    named = [one["file"] for one in merged if isinstance(one, dict) and "file" in one]
    is_clear = len(named) == len({str(one) for one in named})
    return merged if is_clear and merged not in (there, here) else None


def _marks(listed: list[Value]) -> tuple[str, ...]:
    try:
        return tuple(marks_in_words([Mark.from_table(one) for one in listed]))
    except PlanError:
        return tuple(map(_plain, listed))


def _visit(value: Value) -> str:
    return row_of(value).words


def _film(value: Value) -> str:
    if not isinstance(value, dict):
        return _plain(value)
    rounds = value.get("placements")
    count = len(rounds) if isinstance(rounds, list) else 0
    shows = " ".join(str(value.get(key, "?")) for key in ("side", "region", "view"))
    ball = ", with ball" if value.get("ball") else ""
    some = "1 round" if count == 1 else f"{count} rounds"
    return f"{value.get('file')}: {shows}{ball}, {some} of points"


def _plain(value: Value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return "; ".join(f"{in_plain_words(key)} {_plain(one)}" for key, one in value.items())
    if isinstance(value, list):
        return ", ".join(map(_plain, value))
    if isinstance(value, float):
        return f"{value:g}"
    return "nothing" if value is None else in_plain_words(str(value))
