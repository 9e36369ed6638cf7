"""Which side, body part and view a film shows: the header's word against the list's."""

from thumbwright.core.foundations.errors import FilmMismatchError
from thumbwright.core.radiograph.image import Film, Region, View
from thumbwright.core.radiograph.landmarks import FilmNote

FOOT_FROM_ABOVE = frozenset({View.ANTEROPOSTERIOR, View.DORSOPLANTAR})
"""Two names of one view of a foot, beam from its back to its sole; common practice, no source."""


def mismatches(film: Film, note: FilmNote) -> tuple[str, ...]:
    """Return, as parts of a sentence, everything in which header and list contradict each other.

    Parameters
    ----------
    film
        The film as read.
    note
        What the list of films says of it.
    """
    header = film.header
    found = []
    if header.other_body_part:
        found.append(f"the header says {header.other_body_part}, the list {note.region.value}")
    pairs = ((header.region, note.region), (header.side, note.side), (header.view, note.view))
    for stated, noted in pairs:
        if stated is not None and stated is not noted and not _is_one_view(stated, note):
            found.append(f"the header says {stated.value}, the list {noted.value}")
    return tuple(found)


def check_against_note(film: Film, note: FilmNote) -> tuple[str, ...]:
    """Demand that a film's header does not contradict the list of films.

    Parameters
    ----------
    film
        The film as read.
    note
        What the list of films says of it.

    Returns
    -------
    tuple of str
        A remark if the header is silent on body part, side or view, so that only the list
        vouches for it.

    Raises
    ------
    FilmMismatchError
        If side, body part or view differ. A plan must not go on from there.
    """
    if found := mismatches(film, note):
        msg = (
            f"film {film.name}: {'; '.join(found)}; allowed is that both say the same; find out "
            "from the film and the patient which is true before going on"
        )
        raise FilmMismatchError(msg)
    header = film.header
    facts = (
        (header.region, "body part", note.region),
        (header.side, "side", note.side),
        (header.view, "view", note.view),
    )
    silent = [(word, noted.value) for stated, word, noted in facts if stated is None]
    if not silent:
        return ()
    words = " and no ".join(word for word, _ in silent)
    values = " and ".join(value for _, value in silent)
    are = "are" if len(silent) > 1 else "is"
    remark = (
        f"The header of {film.name} names no {words}: {values} {are} taken from the list of "
        "films only."
    )
    return (remark,)


def _is_one_view(stated: object, note: FilmNote) -> bool:
    return note.region is Region.FOOT and {stated, note.view} <= FOOT_FROM_ABOVE
