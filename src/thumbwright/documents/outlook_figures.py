"""The tree of what may happen after one operation, drawn with a width for each fate."""

from dataclasses import dataclass

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.consequences import Event
from thumbwright.core.outlook.foresee import Outlook, ShareAhead
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.svg import INK, QUIET, number, svg, tag, text_lines, wrapped

_WIDTH = 1000.0
_SIZE = 17.0
_LEFT = 150.0
"""Where the stem ends and the tree forks. [units]"""
_RIGHT = 560.0
"""Where the branches end. [units]"""
_ROW = 62.0
_THICKEST = 44.0
"""Breadth of a branch that all patients take. [units]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """One fate of 100 patients."""

    words: str
    of_hundred: float
    """[-]"""
    is_dashed: bool
    """Whether it is a bad fate; such a branch has a dashed edge."""


def branches(outlook: Outlook) -> tuple[Branch, ...] | Unknown:
    """Return the fates of 100 patients: no trouble, rescued, lost and what follows it.

    Returns
    -------
    tuple[Branch, ...] | Unknown
        Together 100; unknown where no series counted the loss.
    """
    if isinstance(outlook.lives, Unknown):
        return outlook.lives
    lost = 100 * (1 - outlook.lives.prob)
    trouble = 100 * outlook.events[Event.REEXPLORATION].prob
    ended = outlook.lives_with_fallback
    second = 0.0 if isinstance(ended, Unknown) else 100 * (ended.prob - outlook.lives.prob)
    rescued = max(0.0, trouble - lost) if trouble > 0 else 0.0
    found = [
        Branch(
            words="lives, vessels never opened again",
            of_hundred=100 - lost - rescued,
            is_dashed=False,
        )
        if trouble > 0
        else Branch(words="lives", of_hundred=100 - lost, is_dashed=False)
    ]
    if trouble > 0:
        found.append(Branch(words="opened again and rescued", of_hundred=rescued, is_dashed=False))
    if second > 0:
        found.append(
            Branch(
                words="lost, then a living thumb by the fallback", of_hundred=second, is_dashed=True
            )
        )
    found.append(
        Branch(
            words="lost, and no living thumb in the end", of_hundred=lost - second, is_dashed=True
        )
    )
    return tuple(found)


def tree_picture(outlook: Outlook, name: str, fates: tuple[Branch, ...]) -> Picture:
    """Say what the tree shows."""
    described = "; ".join(f"{_count(one)} of 100: {one.words}" for one in fates)
    return Picture(
        name=f"own drawing, ahead {outlook.technique}.svg",
        alt=f"What becomes of 100 patients like this one after {name}. {described}.",
        caption=(
            f"What becomes of 100 patients like this one after {name}. The breadth of a branch is "
            "how many take it; dashed edges: the first transfer was lost."
        ),
    )


def tree_drawing(fates: tuple[Branch, ...], *, title: str) -> str:
    """Draw a stem that forks into fates, each as broad as many take it."""
    height = _ROW * len(fates) + 16
    stem_top = height / 2 - _THICKEST / 2
    body = [
        tag("rect", x=8, y=stem_top, width=_LEFT - 8, height=_THICKEST, fill="#dfe6ec", stroke=INK),
        text_lines(["100 patients", "like this one"], 16, height / 2 - 4, _SIZE, fill=INK),
    ]
    start = stem_top
    for row, one in enumerate(fates):
        thick = max(1.2, _THICKEST * one.of_hundred / 100)
        y = 8 + row * _ROW + _ROW / 2
        body.append(_branch(start, y, thick, dashed=one.is_dashed))
        start += _THICKEST * one.of_hundred / 100
        lines = wrapped(one.words, _WIDTH - _RIGHT - 90, _SIZE, most_lines=2)
        body.append(
            text_lines([_count(one)], _RIGHT + 12, y + 6, 24.0, font_weight="bold", fill=INK)
        )
        body.append(text_lines(lines, _RIGHT + 84, y + 6 - 9 * (len(lines) - 1), _SIZE, fill=INK))
    return svg(_WIDTH, height, body, title=title)


def _branch(start: float, y: float, thick: float, *, dashed: bool) -> str:
    middle = (_LEFT + _RIGHT) / 2
    top, low = y - thick / 2, y + thick / 2
    path = (
        f"M{number(_LEFT)} {number(start)} C{number(middle)} {number(start)} {number(middle)} "
        f"{number(top)} {number(_RIGHT)} {number(top)} L{number(_RIGHT)} {number(low)} "
        f"C{number(middle)} {number(low)} {number(middle)} {number(start + thick)} "
        f"{number(_LEFT)} {number(start + thick)} Z"
    )
    style = {"stroke_dasharray": "6 4"} if dashed else {}
    fill = "#f3d9a0" if dashed else "#dfe6ec"
    return tag("path", d=path, fill=fill, stroke=INK if dashed else QUIET, **style)


def _count(one: Branch) -> str:
    if 0 < one.of_hundred < 0.5:
        return "under 1"
    return f"{one.of_hundred:.0f}"


def in_hundred(share: ShareAhead) -> str:
    """Return a probability as a natural frequency with its doubt.

    Examples
    --------
    >>> in_hundred(
    ...     ShareAhead(prob=0.964, low_prob=0.91, high_prob=0.99, monte_carlo_error_prob=0.001)
    ... )
    '96 of 100 (91 to 99)'
    """
    low, high = 100 * share.low_prob, 100 * share.high_prob
    return f"{100 * share.prob:.0f} of 100 ({low:.0f} to {high:.0f})"
