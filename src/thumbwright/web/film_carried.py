"""What is carried over from a hand film to a foot film, in words."""

from collections.abc import Iterator, Sequence

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, scaled
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.radiograph.transposition import ToeCut
from thumbwright.storage.records import Value
from thumbwright.web.film_scale import scale_table
from thumbwright.web.film_words import length_in_words, level_in_words

NOT_READ = (
    "unknown: the findings, or another film of the case, cannot be read yet. Settled by what the "
    "pages of the findings and the films ask for"
)


def carried_in_words(
    lengths: Lengths | None, cut: ToeCut | Unknown, films: Sequence[FilmReading]
) -> list[Value]:
    """Return what was measured, what is missing and where it is cut, a row each.

    Parameters
    ----------
    lengths
        Every length of the case; None where findings or films cannot be read.
    cut
        The cut of the toe looked at.
    films
        The two films.
    """
    rows = [*_measured(lengths), *_cut(cut), *_films(films)]
    if lengths is not None:
        rows += [("remark", remark) for remark in lengths.remarks]
    return [{"name": name, "text": text} for name, text in rows]


def _measured(lengths: Lengths | None) -> Iterator[tuple[str, str]]:
    if lengths is None:
        yield "missing length", NOT_READ
        return
    wanted = lengths.wanted
    yield (
        "wanted length",
        f"{_told(wanted.length)}. {wanted.words} [{wanted.basis.provenance.label}]",
    )
    yield "left of the thumb", _told(lengths.stump)
    yield "missing length", _told(lengths.missing)


def _cut(cut: ToeCut | Unknown) -> Iterator[tuple[str, str]]:
    if isinstance(cut, Unknown):
        yield "cut", _unknown(cut)
        return
    name = f"{cut.side.value} {cut.ray.name.value}"
    yield f"cut, {name}", f"{level_in_words(cut)}, {cut.place.value}, {cut.bone}"
    within = cut.from_joint.interval()
    half_mm = (within.high - within.low) / 2
    yield (
        "doubt of the cut",
        f"± {half_mm:.1f} mm about that level, where it lies with 95 % probability: the band",
    )
    yield "joints that go with the toe", ", ".join(cut.takes_joints) or "none"
    for match in cut.matches:
        yield (
            f"toe's {match.toe_joint}",
            f"comes to stand {_off(match.offset)} where the {match.thumb_joint} was",
        )
    for remark in cut.remarks:
        yield "remark", f"{remark.text} [{remark.basis.provenance.label}]"


def _films(films: Sequence[FilmReading]) -> Iterator[tuple[str, str]]:
    for film in films:
        note = film.note
        name = f"{note.side.value} {note.region.value}"
        if isinstance(film.scale, Unknown):
            yield f"scale, {name}", _unknown(film.scale)
            continue
        yield f"scale, {name}", str(scale_table(film.scale, ())["text"])
        if isinstance(film.placed, Unknown):
            yield f"lengths, {name}", _unknown(film.placed)


def _off(offset: Measured) -> str:
    way = "nearer the body than" if offset.value >= 0 else "farther out than"
    far = offset if offset.value >= 0 else scaled(offset, -1.0)
    return f"{length_in_words(far)} {way}"


def _told(length: Measured | Unknown) -> str:
    return _unknown(length) if isinstance(length, Unknown) else length_in_words(length)


def _unknown(answer: Unknown) -> str:
    settled = f". Settled by {', or '.join(answer.needed)}" if answer.needed else ""
    return f"unknown: {answer.reason}{settled}"
