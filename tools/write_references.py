"""Write what the code says of itself into docs: sources, points, keys, assumptions, commands.

``docs/references.md`` is written whole; in other pages the parts between two marks are. Run it
after changing the bibliography, a constant, a key or a command: ``make docs``.
"""

import ast
import importlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from pathlib import Path

from click.testing import CliRunner

from thumbwright.cli.commands import commands
from thumbwright.core.foundations.sources import Provenance, Published, Source, read_bibliography
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import (
    RAYS,
    Ball,
    FilmNote,
    Landmark,
    Placement,
    Ray,
    Ruler,
)
from thumbwright.interchange.films_list import FILMS, points_of
from thumbwright.interchange.schemas import entries_of

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
CORE = ROOT / "src" / "thumbwright" / "core"
BY = "written by tools/write_references.py"


# --- The list of sources

INTRODUCTION = f"""<!-- generated: {BY} -->
# Sources

Every source that the program names, {{count}} in all, as they stand in
`src/thumbwright/core/foundations/bibliography.toml`. A plan prints those that it rests on and no
other. How far each can be trusted stands beside it, in the words that are printed on paper:

- **{Provenance.READ.label}**: the figure or statement was seen at the source, often only in its
  abstract, as the remark says.
- **{Provenance.RECALLED.label}**: written from memory; nobody should rely on it before it was
  looked up.

This says nothing of how good a study is.
"""


def references_text() -> str:
    """Return docs/references.md."""
    text = (CORE / "foundations" / "bibliography.toml").read_text("utf-8")
    known = read_bibliography(text)
    parts = [INTRODUCTION.format(count=len(known))]
    for heading, keys in _groups(text):
        parts.append(f"\n## {heading}\n\n")
        parts += [_source(known[key]) for key in keys]
    return "".join(parts)


def _groups(text: str) -> Iterator[tuple[str, list[str]]]:
    """Yield the headings of the bibliography with their keys, in its order."""
    for part in text.split("# --- ")[1:]:
        heading, _, body = part.partition("\n")
        yield heading.strip(), re.findall(r"^\[([^\]]+)\]$", body, flags=re.MULTILINE)


def _source(source: Source) -> str:
    line = f"- `{source.key}` ({source.provenance.label}): {source.citation}"
    more = [part.rstrip(".") + "." for part in (source.identifier, source.note) if part]
    return " ".join([line, *more]) + "\n"


# --- The named points

OTHER_POINTS = {
    Landmark.STUMP_BONE_END: ("thumb", "farthest point of the bone that is left"),
    Landmark.STUMP_SKIN_END: ("thumb", "farthest point of the soft shadow of the stump"),
    Landmark.INDEX_METACARPAL_BASE: (
        "index finger",
        "index metacarpal, middle of the joint surface nearer the body",
    ),
    Landmark.INDEX_METACARPAL_HEAD: (
        "index finger",
        "index metacarpal, middle of the joint surface farther from it",
    ),
}


def points_table() -> str:
    """Return the table of all named points."""
    places = OTHER_POINTS | {point: found for ray in RAYS.values() for point, found in _ends(ray)}
    rows = ["| Point | Film of a | Ray | Where |", "|---|---|---|---|"]
    for point in Landmark:
        region = next(each for each in Region if point in points_of(each))
        ray, where = places[point]
        rows.append(f"| `{point.value}` | {region.value} | {ray} | {where} |")
    return "\n".join(rows) + "\n"


def _ends(ray: Ray) -> Iterator[tuple[Landmark, tuple[str, str]]]:
    name = ray.name.value
    for bone in ray.bones:
        yield bone.base, (name, f"{bone.name}, middle of the joint surface nearer the body")
        last = bone is ray.bones[-1]
        end = (
            "farthest point of the bone" if last else "middle of the joint surface farther from it"
        )
        yield bone.head, (name, f"{bone.name}, {end}")
    yield ray.skin_tip, (name, "farthest point of the soft shadow")


# --- The keys of the list of films

PARTS = {"films[]": FilmNote, "ball": Ball, "ruler": Ruler, "placements[]": Placement}


def keys_table() -> str:
    """Return the table of all keys of the list of films, with what holds if one is left out."""
    rows = ["| Key | What may stand there | If left out | Meaning |", "|---|---|---|---|"]
    for entry in entries_of(FILMS.model):
        allowed = entry.allowed
        if allowed.startswith("a table with the keys"):
            allowed = "points by name, each as [column, row]"
        left_out = "required" if entry.is_required else _default(entry.path)
        rows.append(f"| `{entry.path}` | {allowed} | {left_out} | {entry.meaning} |")
    return "\n".join(rows) + "\n"


def _default(path: str) -> str:
    *above, name = path.split(".")
    if not above:
        return "required"
    found = {field.name: field.default for field in fields(PARTS[above[-1]])}[name]
    if found is MISSING or found is None:
        return "not known"
    return str(found).lower() if isinstance(found, bool) else f"{found:g}"


# --- Working assumptions and numbers from memory

LABELLED = (Provenance.RECALLED, Provenance.COMMON_PRACTICE, Provenance.ASSUMED)
IN_WORDS = {
    "common practice, no source": Provenance.COMMON_PRACTICE,
    "working assumption": Provenance.ASSUMED,
    "assumed": Provenance.ASSUMED,
}
SAID = re.compile(
    rf" *[;:,.(] *(?:{'|'.join(IN_WORDS)})(?: of this program)?\)?(?=[.,;]|$)", re.IGNORECASE
)
UNIT = re.compile(r" *\[([^\]]{1,24})\](?!_)")
SUFFIXES = {"_MM": "mm", "_PX": "px", "_DEG": "deg", "_YEARS": "years"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """One constant of the core that rests on no source that was read."""

    where: str
    value: str
    words: str
    provenance: Provenance


def assumptions() -> Iterator[Assumed]:
    """Yield every constant of the core that says, or whose value says, that it is assumed."""
    for path in sorted(CORE.rglob("*.py")):
        place = ".".join(path.relative_to(CORE).with_suffix("").parts)
        module = importlib.import_module(f"thumbwright.core.{place}")
        for name, docstring in _constants(path):
            value = getattr(module, name)
            provenance = _provenance(value, docstring)
            if provenance is not None:
                yield Assumed(
                    where=f"{place}.{name}",
                    value=_in_words(name, value, docstring),
                    words=_meaning(name, value, docstring),
                    provenance=provenance,
                )


def _constants(path: Path) -> Iterator[tuple[str, str]]:
    """Yield the constants of a module, each with the string that stands below it."""
    body = ast.parse(path.read_text("utf-8")).body
    for part, below in zip(body, [*body[1:], ast.Pass()], strict=True):
        targets = part.targets if isinstance(part, ast.Assign) else []
        targets = [part.target] if isinstance(part, ast.AnnAssign) else targets
        for target in targets:
            if isinstance(target, ast.Name) and target.id.upper() == target.id:
                yield target.id, _string(below)


def _string(part: ast.stmt) -> str:
    if isinstance(part, ast.Expr) and isinstance(part.value, ast.Constant):
        return str(part.value.value)
    return ""


def _published(value: object) -> tuple[Published, ...]:
    if isinstance(value, Published):
        return (value,)
    inner = value.values() if isinstance(value, Mapping) else value
    if isinstance(inner, str | bytes) or not hasattr(inner, "__iter__"):
        return ()
    return tuple(each for part in inner for each in _published(part))


def _provenance(value: object, docstring: str) -> Provenance | None:
    found = {each.basis.provenance for each in _published(value)} & set(LABELLED)
    if found:
        return min(found, key=LABELLED.index)
    return next((IN_WORDS[words] for words in IN_WORDS if words in docstring.lower()), None)


def _in_words(name: str, value: object, docstring: str) -> str:
    numbers = _published(value)
    if numbers:
        return ", ".join(_with_doubt(each) for each in numbers)
    if isinstance(value, float | int):
        said = UNIT.search(docstring)
        unit = said.group(1) if said else next((SUFFIXES[s] for s in SUFFIXES if s in name), "")
        return f"{_number(value)} {unit.strip('-')}".strip()
    if isinstance(value, tuple) and all(isinstance(part, float | int) for part in value):
        return ", ".join(_number(part) for part in value)
    return "see there"


def _with_doubt(given: Published) -> str:
    doubt = f" ± {_number(given.uncertainty)}" if given.uncertainty else ""
    return f"{_number(given.value)}{doubt} {given.unit.strip('-')}".strip()


def _number(value: float) -> str:
    return f"{int(value):,}" if value == int(value) else f"{value:.4g}"


def _meaning(name: str, value: object, docstring: str) -> str:
    words = docstring.partition("\n\n")[0]
    if not words:
        locators = dict.fromkeys(each.basis.locator for each in _published(value))
        words = ": ".join([name.strip("_").replace("_", " ").lower(), *filter(None, locators)])
    words = SAID.sub("", UNIT.sub("", re.sub(r"\s+", " ", words)))
    words = re.sub(r"\[([a-z0-9-]+)\]_", r"`\1`", words.replace("``", "`")).strip().rstrip(".")
    return words[:1].upper() + words[1:]


def assumptions_table() -> str:
    """Return the table of what is assumed, recalled or common practice."""
    rows = ["| What | Value | Rests on | Where in the core |", "|---|---|---|---|"]
    rows += [
        f"| {each.words} | {each.value} | {each.provenance.label} | `{each.where}` |"
        for each in assumptions()
    ]
    return "\n".join(rows) + "\n"


# --- The commands


def commands_text() -> str:
    """Return the help of every command."""
    parts = []
    for name in ("", *sorted(commands.commands)):
        asked = CliRunner().invoke(
            commands,
            [*name.split(), "--help"],
            prog_name="python -m thumbwright",
            terminal_width=96,
        )
        parts.append(f"```text\n{asked.output}```\n")
    return "\n".join(parts)


# --- Published values in the tests

HEADED = re.compile(r"^([a-z][a-z ]+): *(.*)$")


def published_table() -> str:
    """Return the table of published values that the tests compare with, by their headers."""
    rows = ["| What | Source and place | How it came here | Table |", "|---|---|---|---|"]
    for path in sorted((ROOT / "tests" / "published").rglob("*.csv")):
        title, entries = _header(path)
        key, _, locator = entries["bibliography key"].partition("; locator: ")
        place = path.relative_to(ROOT).as_posix()
        how = entries["how transcribed"].rstrip(".")
        rows.append(f"| {title} | `{key}`, {locator} | {how} | `{place}` |")
    return "\n".join(rows) + "\n"


def _header(path: Path) -> tuple[str, dict[str, str]]:
    """Return the first line of a table's header, and its entries with their further lines."""
    title, entries, name = "", {"": ""}, ""
    for line in path.read_text("utf-8").splitlines():
        if not line.startswith("#"):
            break
        words = line[1:].strip()
        found = HEADED.match(words)
        if not title:
            title = words.rstrip(".")
        elif found and not line.startswith("#  "):
            name = found.group(1)
            entries[name] = found.group(2)
        else:
            entries[name] = f"{entries[name]} {words}"
    return title, entries


# --- Pages of which parts are generated

GENERATED = {
    "films-and-landmarks.md": {
        "points": points_table,
        "keys": keys_table,
        "assumptions": assumptions_table,
    },
    "start.md": {"commands": commands_text},
    "how-we-check.md": {"published": published_table},
}


def page_text(page: str, text: str) -> str:
    """Return a page with its generated parts written anew.

    Raises
    ------
    ValueError
        If the page lacks a mark.
    """
    for part, write in GENERATED[page].items():
        begin, end = (f"<!-- {BY}: {part}, {where} -->\n" for where in ("begin", "end"))
        before, found, rest = text.partition(begin)
        _, found_end, after = rest.partition(end)
        if not (found and found_end):
            msg = f"{page} was given without {begin}or {end}; allowed are both, once; put them in"
            raise ValueError(msg)
        text = f"{before}{begin}{write()}{end}{after}"
    return text


def main() -> None:
    """Write the list of sources and every generated part."""
    texts = {"references.md": references_text()}
    texts |= {page: page_text(page, (DOCS / page).read_text("utf-8")) for page in GENERATED}
    for page, text in texts.items():
        (DOCS / page).write_text(text, encoding="utf-8", newline="\n")
        print(page)


if __name__ == "__main__":
    main()
