"""What a case bundle must be like: nothing of it is believed before it was checked."""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo
from zlib import error as ZlibError  # noqa: N812  a class, whatever its name

from thumbwright.storage.bundle_lines import (
    CHANGES,
    FILES,
    HEAD,
    PAPERS,
    ChangeLine,
    Content,
    FileLine,
    Head,
    PaperLine,
    file_member,
    head_of,
    lines_of,
    part_member,
    refused,
    table_of,
)
from thumbwright.storage.documents import as_text, replayed, value_at, with_value
from thumbwright.storage.records import Change, Part, StoreError, Table

LARGEST_BYTES = 2 * 1024**3
"""Most that all members unpack to."""
LARGEST_TEXT_BYTES = 256 * 1024**2
"""Most that one member with text unpacks to; these are held in memory."""
MOST_MEMBERS = 100_000
LARGEST_RATIO = 500
"""Most that a member grows by unpacking, where it is larger than `RATIO_FROM_BYTES`."""
RATIO_FROM_BYTES = 1024**2

_CHUNK_BYTES = 1024**2
_ENCRYPTED = 0x1
# The library tells of damage in all these ways, depending on the byte that is hit.
_DAMAGE = (BadZipFile, ZlibError, EOFError, OSError, ValueError, RuntimeError, OverflowError)


TEXTS = (CHANGES, FILES, PAPERS, *(part_member(part.value) for part in Part))
_MEMBER = re.compile("|".join([*map(re.escape, (HEAD, *TEXTS)), "files/[0-9a-f]{64}"]))


@contextmanager
def unpacked(data: bytes) -> Iterator[tuple[ZipFile, Content]]:
    """Open a bundle of which every byte was checked.

    Raises
    ------
    BundleError
        If anything is wrong with it.
    """
    try:
        archive = ZipFile(BytesIO(data))
    except _DAMAGE as fault:
        raise refused(
            f"{len(data):,} bytes that are no whole zip file ({fault})",
            "a case bundle as it was written",
            "fetch it again; if that does not help, have it written again",
        ) from fault
    with archive:
        sizes = _sizes(archive)
        head_text = member_bytes(archive, HEAD)
        _hold_against_list(archive, head_of(head_text), sizes)
        texts = {name: member_bytes(archive, name) for name in TEXTS}
        yield archive, checked(head_text, texts)


def within_limits(sizes: Sequence[int]) -> None:
    """Refuse more or larger members than anybody reads.

    Raises
    ------
    BundleError
        If there are too many, or they are too large together.
    """
    if len(sizes) >= MOST_MEMBERS or sum(sizes) > LARGEST_BYTES:
        raise refused(
            f"a bundle of {len(sizes):,} members with {sum(sizes):,} bytes",
            f"fewer than {MOST_MEMBERS:,} members with {LARGEST_BYTES:,} bytes in all",
            "make sure that it is a case; of a larger one, back up the whole store",
        )


def member_bytes(archive: ZipFile, name: str) -> bytes:
    """Return one member.

    Raises
    ------
    BundleError
        If it is damaged.
    """
    return b"".join(_chunks(archive, name))


def checked(head_text: bytes, texts: Mapping[str, bytes]) -> Content:
    """Return what the texts of a bundle say, if it all agrees.

    Raises
    ------
    BundleError
        If it does not.
    """
    head = head_of(head_text)
    for name, text in texts.items():
        if len(text) > LARGEST_TEXT_BYTES:
            raise refused(f"{name} of {len(text):,} bytes", f"{LARGEST_TEXT_BYTES:,} bytes")
    try:
        parts = {part: table_of(texts, part_member(part.value)) for part in Part}
        content = Content(
            head=head,
            parts=parts,
            changes=lines_of(ChangeLine, texts, CHANGES),
            files=lines_of(FileLine, texts, FILES),
            papers=lines_of(PaperLine, texts, PAPERS),
        )
        _history_adds_up(content)
    except RecursionError as fault:
        raise refused("documents nested without end", "the nesting of a case") from fault
    _rows_agree(content)
    return content


def _sizes(archive: ZipFile) -> dict[str, int]:
    """Return the size of each member by what the zip file says, before anything is unpacked."""
    infos = archive.infolist()
    within_limits([info.file_size for info in infos if info.filename != HEAD])
    for info in infos:
        _one_member(info)
    names = [info.filename for info in infos]
    if twice := {name for name in names if names.count(name) > 1} if _repeats(names) else set():
        raise refused(f"the member {min(twice)} twice", "each member once")
    if missing := sorted({HEAD, *TEXTS} - set(names)):
        raise refused(
            f"a zip file without {', '.join(missing)}",
            "a case bundle, which holds all of these",
            "choose a bundle that this program wrote",
        )
    return {info.filename: info.file_size for info in infos}


def _repeats(names: Sequence[str]) -> bool:
    return len(names) != len(set(names))


def _one_member(info: ZipInfo) -> None:
    name = info.filename
    if not _MEMBER.fullmatch(name):
        raise refused(
            f"a member called {name[:100]!r}",
            f"{HEAD}, {', '.join(TEXTS)} and files/ with a SHA-256, and no way out of the bundle",
            "do not trust this file; ask the unit that sent it",
        )
    if info.compress_type not in (ZIP_STORED, ZIP_DEFLATED) or info.flag_bits & _ENCRYPTED:
        raise refused(f"{name} encrypted or packed in another way", "members deflated or stored")
    most = LARGEST_BYTES if name.startswith("files/") else LARGEST_TEXT_BYTES
    if info.file_size > min(most, max(RATIO_FROM_BYTES, LARGEST_RATIO * info.compress_size)):
        raise refused(
            f"{name} that grows from {info.compress_size:,} to {info.file_size:,} bytes",
            f"{most:,} bytes, and {LARGEST_RATIO} times the packed size where it is over 1 MiB",
            "do not trust this file; ask the unit that sent it",
        )


def _hold_against_list(archive: ZipFile, head: Head, sizes: Mapping[str, int]) -> None:
    listed = {one.name: one for one in head.members}
    if [one.name for one in head.members] != sorted(listed):
        raise refused(f"a list of members in {HEAD} out of order", "each member once, by name")
    if missing := sorted(listed.keys() - sizes.keys()):
        raise refused(f"a bundle that lacks its member {missing[0]}", "all members of its list")
    if extra := sorted(sizes.keys() - listed.keys() - {HEAD}):
        raise refused(f"the member {extra[0]}, which is not listed", "members of the list only")
    for name, one in listed.items():
        digest = sha256()
        if sizes.get(name) == one.size_bytes:
            for chunk in _chunks(archive, name):
                digest.update(chunk)
        ours = name.removeprefix("files/") if name.startswith("files/") else one.sha256
        if digest.hexdigest() != one.sha256 or ours != one.sha256:
            raise refused(
                f"{name}, which is not what was written: its bytes have changed",
                "unaltered members",
                "fetch the bundle again; if that does not help, have it written again",
            )


def _chunks(archive: ZipFile, name: str) -> Iterator[bytes]:
    try:
        with archive.open(name) as member:
            while chunk := member.read(_CHUNK_BYTES):
                yield chunk
    except _DAMAGE as fault:
        raise refused(
            f"{name}, which is damaged ({fault})",
            "unaltered members",
            "fetch the bundle again; if that does not help, have it written again",
        ) from fault


def _history_adds_up(content: Content) -> None:
    numbers = [change.number for change in content.changes]
    if numbers != list(range(1, len(numbers) + 1)):
        raise refused("a history with wrong numbers", f"changes 1 to {len(numbers)}, in order")
    changes = [_change(one) for one in content.changes]
    there: dict[Part, Table] = {part: {} for part in Part}
    try:
        for one in changes:
            was = value_at(there[one.part], one.path)
            if as_text(was) != as_text(one.before) or (one.undoes or 0) >= one.number:
                raise refused(
                    f"change {one.number}, which does not follow from those before it",
                    "changes of what was there",
                )
            there[one.part] = with_value(there[one.part], one.path, one.after)
        total = replayed(changes)
    except StoreError as fault:
        raise refused(f"a history that cannot be followed ({fault})", "changes of facts") from fault
    for part in Part:
        if as_text(total[part]) != as_text(content.parts[part]):
            raise refused(
                f"{part_member(part.value)}, which is not what the history adds up to",
                "documents that follow from their changes",
            )


def _change(one: ChangeLine) -> Change:
    given = one.model_dump() | {
        "made_at": datetime.fromisoformat(one.made_at),
        "part": Part(one.part),
        "path": tuple(one.path),
    }
    return Change(**given)


def _rows_agree(content: Content) -> None:
    listed = {one.name: one.size_bytes for one in content.head.members}
    names = [one.name for one in content.files]
    if names != sorted(set(names)):
        raise refused(f"{FILES} out of order", "each name once, by name")
    for one in content.files:
        if listed.get(file_member(one.sha256), one.size_bytes) != one.size_bytes:
            raise refused(f"{one.name} with a size of {one.size_bytes:,} bytes", "its own size")
    numbers = [one.number for one in content.papers]
    if numbers != list(range(1, len(numbers) + 1)):
        raise refused("papers with wrong numbers", f"papers 1 to {len(numbers)}, in order")
    if any(one.version > len(content.changes) for one in content.papers):
        raise refused("a paper made from a later version", f"up to {len(content.changes)}")
    wanted = {file_member(name) for name in content.wanted()}
    there = {name for name in listed if name.startswith("files/")}
    if odd := sorted(wanted ^ there):
        what = "which the bundle lacks" if odd[0] in wanted else "which belongs to no row"
        raise refused(f"{odd[0]}, {what}", "the bytes of the listed files and papers")
