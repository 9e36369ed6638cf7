"""What stands in a case bundle, line by line, and how it is read without trust."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any, Literal, NoReturn, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.documents import as_text
from thumbwright.storage.records import Part, Table

FORMAT = "thumbwright-bundle/1"
HEAD, CHANGES, FILES, PAPERS = "bundle.json", "changes.jsonl", "files.jsonl", "papers.jsonl"
_AGAIN = "have the bundle written again where the case lies"


class BundleError(PlanError):
    """A case bundle cannot be taken as it is; nothing of it was kept."""


def refused(given: str, allowed: str, todo: str = _AGAIN) -> BundleError:
    """Return the refusal of a bundle in its three parts."""
    return BundleError(f"{given}; allowed is {allowed}; {todo}")


def _moment(text: str) -> str:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None or moment.isoformat(timespec="milliseconds") != text:
        msg = "a time with milliseconds and its distance from UTC is allowed"
        raise ValueError(msg)
    return text


Moment = Annotated[str, AfterValidator(_moment)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Count = Annotated[int, Field(ge=0)]


class _Strict(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class MemberLine(_Strict):
    """One member as the head lists it."""

    name: str
    sha256: Sha256
    size_bytes: Count


class Head(_Strict):
    """What a bundle says of itself."""

    format: Literal["thumbwright-bundle/1"]
    program: str
    case_key: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$")]
    created_at: Moment
    is_archived: bool
    archived_at: Moment | None
    members: list[MemberLine]


class ChangeLine(_Strict):
    """One change, as the table of changes has it."""

    number: Count
    made_at: Moment
    made_by: str
    part: Literal["facts", "films", "drawing", "decision"]
    path: list[str | int]
    before: Any
    after: Any
    why: str
    undoes: Count | None


class FileLine(_Strict):
    """One film or photograph, perhaps taken away."""

    name: Annotated[str, Field(pattern=r"^[^/\\]+$")]
    kind: Literal["film", "photograph"]
    media_type: str
    sha256: Sha256
    size_bytes: Count
    added_at: Moment
    added_by: str
    removed_at: Moment | None


class PaperLine(_Strict):
    """One paper as it was handed out."""

    number: Count
    kind: Annotated[str, Field(min_length=1, max_length=16)]
    title: str
    issued_at: Moment
    issued_by: str
    version: Count
    facts_sha256: Sha256
    program: str
    pdf_sha256: Sha256
    json_sha256: Sha256


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """Everything a bundle says, but for the bytes of its files."""

    head: Head
    parts: Mapping[Part, Table]
    changes: Sequence[ChangeLine]
    files: Sequence[FileLine]
    papers: Sequence[PaperLine]

    def wanted(self) -> set[str]:
        """Return the hashes of all bytes that its rows speak of."""
        papers = {name for one in self.papers for name in (one.pdf_sha256, one.json_sha256)}
        return {one.sha256 for one in self.files} | papers


Line = TypeVar("Line", bound=_Strict)


def part_member(part: str) -> str:
    """Return the name of the member that holds a document."""
    return f"parts/{part}.json"


def file_member(name: str) -> str:
    """Return the name of the member that holds the bytes of a hash."""
    return f"files/{name}"


def head_of(text: bytes) -> Head:
    """Return what a bundle says of itself.

    Raises
    ------
    BundleError
        If it says anything else than this format does.
    """
    head = _as(Head, _parsed(text.removesuffix(b"\n"), HEAD), HEAD)
    if head.is_archived != (head.archived_at is not None):
        raise refused(f"{HEAD} that says two things of the archive", "archived with its time")
    return head


def lines_of(line: type[Line], texts: Mapping[str, bytes], name: str) -> list[Line]:
    """Return the rows of a member, one in each line.

    Raises
    ------
    BundleError
        If a line is not as it must be.
    """
    text = texts[name]
    if text and not text.endswith(b"\n"):
        raise refused(f"{name} without the end of its last line", "whole lines")
    found = text.split(b"\n")[:-1]
    places = [f"line {at} of {name}" for at in range(1, len(found) + 1)]
    return [_as(line, _parsed(one, at), at) for one, at in zip(found, places, strict=True)]


def table_of(texts: Mapping[str, bytes], name: str) -> Table:
    """Return the document of a member.

    Raises
    ------
    BundleError
        If it is none.
    """
    value = _parsed(texts[name].removesuffix(b"\n"), name)
    if not isinstance(value, dict):
        raise refused(f"{name} that is no table", "a JSON object")
    return value


def _parsed(text: bytes, place: str) -> Any:  # noqa: ANN401  whatever stands there
    """Read JSON that is written in the one way that gives the same bytes again."""
    try:
        value = json.loads(text, parse_constant=_no_number)
        same = as_text(value).encode() == text
    except (ValueError, RecursionError) as fault:
        raise refused(f"{place} that is no JSON ({fault})", "JSON in UTF-8") from fault
    if not same:
        raise refused(f"{place} written in another way", "JSON with sorted keys and no spaces")
    return value


def _no_number(text: str) -> NoReturn:
    msg = f"{text} is no number"
    raise ValueError(msg)


def _as(line: type[Line], value: object, place: str) -> Line:
    try:
        return line.model_validate(value)
    except ValidationError as fault:
        one = fault.errors(include_url=False)[0]
        where = ".".join(map(str, one["loc"])) or "all of it"
        given = f"{place} with {str(one['input'])[:80]!r} for {where} ({one['msg']})"
        raise refused(given, f"what {FORMAT} describes") from fault
