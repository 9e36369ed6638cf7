"""How large a film may be, and how a film that cannot be taken is refused."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from thumbwright.core.foundations.errors import FilmError, PlanError

LARGEST_FILE_BYTES = 200_000_000
"""A film of 40 million pixels of 16 bits is 80 MB; the rest is room for other contents."""
MOST_PIXELS = 40_000_000
"""The largest plain films have about 20 million pixels; common practice, no source."""


class FilmRefusedError(FilmError):
    """A film that cannot be taken, with the three parts of the message apart."""

    def __init__(self, name: str, *, given: str, allowed: str, advice: str) -> None:
        self.given, self.allowed, self.advice = given, allowed, advice
        super().__init__(f"film {name}: given {given}; allowed {allowed}; {advice}")


def refusal(name: str, *, given: str, allowed: str, advice: str) -> FilmRefusedError:
    """Return the error for a film, in its three parts."""
    return FilmRefusedError(name, given=given, allowed=allowed, advice=advice)


def demand_fair_size(data: bytes, name: str) -> None:
    """Refuse an empty or an enormous file before anything looks into it.

    Raises
    ------
    FilmError
        If there are no bytes, or too many.
    """
    if 0 < len(data) <= LARGEST_FILE_BYTES:
        return
    raise refusal(
        name,
        given="an empty file" if not data else f"a file of {len(data):,} bytes",
        allowed=f"is a file of 1 to {LARGEST_FILE_BYTES:,} bytes",
        advice="export the film again" if not data else "export a single film, not a series",
    )


def demand_fair_grid(rows: int, columns: int, name: str) -> None:
    """Refuse a grid without pixels, or with more of them than a film has.

    Raises
    ------
    FilmError
        If the grid is empty or too large.
    """
    if rows > 0 and columns > 0 and rows * columns <= MOST_PIXELS:
        return
    raise refusal(
        name,
        given=f"{rows} rows and {columns} columns",
        allowed=f"are at least 1 of each and at most {MOST_PIXELS:,} pixels in all",
        advice="export the film again, in the size in which it was taken",
    )


@contextmanager
def foreign_code(name: str, doing: str) -> Iterator[list[str]]:
    """Run a library on a file of unknown honesty.

    Whatever the library raises becomes a :class:`FilmError`; whatever it warns of becomes one
    remark in the yielded list. Their own words are dropped: they may quote what the file says
    of the person.

    Parameters
    ----------
    name
        Name of the film.
    doing
        What is being done, as the end of "the file broke down while".
    """
    remarks: list[str] = []
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        try:
            yield remarks
        except PlanError:
            raise
        except Exception as fault:
            raise refusal(
                name,
                given=f"a file that broke down while {doing} ({type(fault).__name__})",
                allowed="is a whole, undamaged film",
                advice="copy or export it again",
            ) from fault
    if caught:
        rules = len({str(one.message) for one in caught})
        broken = "a rule" if rules == 1 else f"{rules} rules"
        remarks.append(f"The file breaks {broken} of its format; it was read all the same.")
