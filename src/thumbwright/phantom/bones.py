"""One bone: a waisted shaft with a rounded head and a hollow base, a shell and what it holds.

In the frame of a bone ``w = 0`` is the middle of the joint surface nearer the body (the
bottom of the hollow), ``w = length`` the middle of the far joint surface or the tip; both lie
on the axis, on the surface itself. The rim of the hollow stands out below ``w = 0``.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.solids import (
    Between,
    Frame,
    Round,
    Shape,
    convex,
    dome,
    ellipsoid,
    round_box,
    shaft,
)
from thumbwright.phantom.tissues import Tissue, excess_per_mm

HOLLOW_SHARE = 0.05
"""Depth of the hollow of the base over the width of the base."""
RIM_SHARE = 0.40
"""Half width of the hollow over the width of the base."""
WAIST_AT_SHARE = 0.55
"""Place of the waist along the bone."""
TRUNK_SHARE = 0.94
"""Width of the shaft at the base over the width of the base, which a round flare makes up."""
FLARE_SHARE = 0.85
"""Half length of the flare of the base over the width of the base; at most 0.75 of the bone."""
END_SHELL_MM = 0.55
"""Thickness of the shell at the joint surfaces of an adult's bone."""


class PlateEnd(Enum):
    """The end of a bone at which its growth plate lies."""

    BASE = "base"
    HEAD = "head"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoneSize:
    """Size and form of one bone."""

    length_mm: float
    base_width_mm: float
    waist_width_mm: float
    head_width_mm: float
    """Of the rounded head, or of the tuft of a last bone."""
    flatness: float = 0.85
    """Thickness over width [-]."""
    cortex_mm: float = 1.8
    """Thickness of the shell at the waist."""
    head_length_share: float = 0.42
    """Half length of the rounded head over its width; larger is more pointed [-]."""
    neck_share: float = 0.80
    """Width of the neck over the width of the head [-]."""
    plate: PlateEnd | None = None
    """Where an open growth plate lies; None if fused."""
    plate_mm: float = 1.0
    """Thickness of an open growth plate; at most 0.12 of the bone."""

    def __post_init__(self) -> None:
        """Refuse a bone whose parts would run into each other."""
        knob = 2 * self.head_length_share * self.head_width_mm
        room = self.length_mm - knob > 0.15 * self.length_mm
        widths = min(self.base_width_mm, self.waist_width_mm, self.head_width_mm)
        if widths < 1.2 or not room or not 0 < self.cortex_mm < 0.45 * self.waist_width_mm:
            msg = (
                f"a bone was given as {self.length_mm} mm long, {self.base_width_mm}, "
                f"{self.waist_width_mm} and {self.head_width_mm} mm wide with a shell of "
                f"{self.cortex_mm} mm; allowed are widths from 1.2 mm, a head shorter than the "
                "bone and a shell thinner than 0.45 of the waist; mend the sizes"
            )
            raise FilmError(msg)

    @property
    def hollow_mm(self) -> float:
        """Return how deep the base is hollowed, and so how far its rim stands out [mm]."""
        return HOLLOW_SHARE * self.base_width_mm

    def scaled(self, factor: float, *, width_factor: float | None = None) -> "BoneSize":
        """Return the same bone larger or smaller; lengths and widths may differ in factor."""
        wide = factor if width_factor is None else width_factor
        return BoneSize(
            length_mm=self.length_mm * factor,
            base_width_mm=self.base_width_mm * wide,
            waist_width_mm=self.waist_width_mm * wide,
            head_width_mm=self.head_width_mm * wide,
            flatness=self.flatness,
            cortex_mm=self.cortex_mm * wide,
            head_length_share=self.head_length_share,
            neck_share=self.neck_share,
            plate=self.plate,
            plate_mm=self.plate_mm,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """A solid that weakens the beam by so much more than what it displaces."""

    shape: Shape
    frame: Frame
    excess_per_mm: float
    """[1/mm]"""
    grainy: bool = False
    """Whether the stuff is spongy, so that its density may vary from place to place."""
    metal: bool = False
    """Whether it is of metal, whose edge is so sharp that pixels must be divided."""


def bone_parts(size: BoneSize, frame: Frame, *, cut_at_mm: float | None = None) -> list[Part]:
    """Return the parts of one bone that lies in soft tissue.

    Parameters
    ----------
    size
        Its size and form.
    frame
        Where it stands; the origin is the middle of its base.
    cut_at_mm
        Where it was cut across, as a place on its axis; the end is a little rounded, its
        farthest point lies on the axis at this place. None if whole. [mm]
    """
    outer = _envelope(size, 0.0)
    inner = _envelope(size, 1.0)
    canal = _canal(size)
    plate = _plate(size)
    if plate is not None:
        lid = Between(low_mm=plate.low_mm - END_SHELL_MM, high_mm=plate.high_mm + END_SHELL_MM)
        inner = inner.without(lid)
        canal = canal.without(lid) if canal else None
    if cut_at_mm is not None:
        outer = _ended(outer, size, cut_at_mm)
        inner = _ended(inner, size, cut_at_mm - END_SHELL_MM)
        canal = _ended(canal, size, cut_at_mm - END_SHELL_MM) if canal else None
    made = [
        (outer, Tissue.CORTICAL, Tissue.SOFT),
        (inner, Tissue.CANCELLOUS, Tissue.CORTICAL),
    ]
    if canal is not None:
        made.append((canal, Tissue.MARROW, Tissue.CANCELLOUS))
    if plate is not None:
        made.append((outer.cut(plate), Tissue.CARTILAGE, Tissue.CORTICAL))
    return [
        Part(
            shape=shape,
            frame=frame,
            excess_per_mm=excess_per_mm(inside, displaced),
            grainy=inside is Tissue.CANCELLOUS,
        )
        for shape, inside, displaced in made
    ]


def outer_shape(size: BoneSize) -> Shape:
    """Return the outside of a whole bone."""
    return _envelope(size, 0.0)


def half_width_at(size: BoneSize, place_mm: float) -> float:
    """Return half the width of the shaft at a place on its axis [mm]."""
    body = _shaft(size, 0.0)
    return float(np.sqrt(body.constant + body.linear * place_mm + body.square * place_mm**2))


def _envelope(size: BoneSize, share: float) -> Shape:
    """Return the outside (share 0) or the inside of the shell (share 1)."""
    shell = share * END_SHELL_MM
    depth, rim = size.hollow_mm, RIM_SHARE * size.base_width_mm
    hollow_radius = (rim**2 + depth**2) / (2 * depth)
    hollow = ellipsoid(
        middle_mm=-hollow_radius,
        half_length_mm=hollow_radius + shell,
        half_width_mm=hollow_radius + shell,
    )
    body = _trunk(size, share).joined(_flare(size, shell))
    return body.without(hollow).joined(_head(size, shell))


def _trunk(size: BoneSize, share: float) -> Shape:
    """Return the shaft, from the rim of the base to the middle of the head."""
    body = _shaft(size, share)
    low, high = -size.hollow_mm + share * END_SHELL_MM, _head_middle(size)
    widest = max(size.base_width_mm, size.head_width_mm)
    return convex(
        body,
        Between(low_mm=low, high_mm=high),
        box=round_box(widest / 2, size.flatness, (-size.hollow_mm, high)),
    )


def _flare(size: BoneSize, shell: float) -> Shape:
    """Return the flare of the base, an ellipsoid cut off at the rim."""
    half = min(FLARE_SHARE * size.base_width_mm, 0.75 * size.length_mm)
    width = size.base_width_mm / 2
    return convex(
        ellipsoid(
            middle_mm=0.0,
            half_length_mm=half - shell,
            half_width_mm=width - shell,
            flatness=size.flatness,
        ),
        Between(low_mm=-size.hollow_mm + shell),
        box=round_box(width, size.flatness, (-size.hollow_mm, half)),
    )


def _head(size: BoneSize, shell: float) -> Shape:
    """Return the rounded head or tuft, whose farthest point ends the bone on its axis."""
    half, width = size.head_length_share * size.head_width_mm, size.head_width_mm / 2
    middle = _head_middle(size)
    return convex(
        ellipsoid(
            middle_mm=middle,
            half_length_mm=half - shell,
            half_width_mm=width - shell,
            flatness=size.flatness,
        ),
        box=round_box(width, size.flatness, (middle - half, middle + half)),
    )


def _head_middle(size: BoneSize) -> float:
    return size.length_mm - size.head_length_share * size.head_width_mm


def _shaft(size: BoneSize, share: float) -> Round:
    thin, end = share * END_SHELL_MM, _head_middle(size)
    return shaft(
        places_mm=(0.0, WAIST_AT_SHARE * end, end),
        radii_mm=(
            TRUNK_SHARE * size.base_width_mm / 2 - thin,
            size.waist_width_mm / 2 - share * size.cortex_mm,
            size.neck_share * size.head_width_mm / 2 - thin,
        ),
        flatness=size.flatness,
    )


def _canal(size: BoneSize) -> Shape | None:
    """Return the hollow of the shaft that holds marrow, None in a short bone."""
    if size.length_mm < 2.2 * size.base_width_mm:
        return None
    half_width = 0.92 * (size.waist_width_mm / 2 - size.cortex_mm)
    middle, half = 0.5 * size.length_mm, 0.34 * size.length_mm
    return convex(
        ellipsoid(
            middle_mm=middle,
            half_length_mm=half,
            half_width_mm=half_width,
            flatness=size.flatness,
        ),
        box=round_box(half_width, size.flatness, (middle - half, middle + half)),
    )


def _plate(size: BoneSize) -> Between | None:
    """Return the slab of an open growth plate."""
    if size.plate is None:
        return None
    thick = min(size.plate_mm, 0.12 * size.length_mm)
    if size.plate is PlateEnd.BASE:
        low = min(max(2.0, 0.28 * size.base_width_mm), 0.3 * size.length_mm)
        return Between(low_mm=low, high_mm=low + thick)
    top = _head_middle(size)
    return Between(low_mm=top - thick, high_mm=top)


def _ended(shape: Shape, size: BoneSize, place_mm: float) -> Shape:
    """Cut a bone across, with a slightly rounded end whose top lies on the axis."""
    half = half_width_at(size, min(place_mm, size.length_mm))
    ended = shape.cut(Between(high_mm=place_mm)).cut(
        dome(top_mm=place_mm, radius_mm=2.2 * half, flatness=size.flatness)
    )
    box = round_box(shape.box.u_mm[1], size.flatness, (shape.box.w_mm[0], place_mm))
    return Shape(terms=ended.terms, box=box)
