"""Girth that is wanted against girth that is there: trimmed toe, wrap-around, tube, triangles."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import pi

import numpy as np

from thumbwright.core.case.girths import DigitGirths
from thumbwright.core.dimensions.flat_patterns import (
    FlatPattern,
    cone,
    enlarged,
    side_factor,
    triangle,
    wrap_around,
)
from thumbwright.core.dimensions.sections import typed
from thumbwright.core.dimensions.settings import Allowances
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, difference, scaled, total
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.radiograph.transposition import JointHeight

Girths = Mapping[str, Measured | Unknown]
"""Girth by level: nail, joint, base. [mm]"""
LEVELS = ("nail", "joint", "base")
_WHEELESS = Basis(provenance=Provenance.READ, source="wheeless-second-toe", locator="text")
DORSAL_LENGTH = Published(value=40.0, unit="mm", basis=_WHEELESS)
DORSAL_BASE = Published(value=22.5, uncertainty=2.5, unit="mm", basis=_WHEELESS)
"""Middle of 20 to 25 mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trim:
    """What is taken from a toe at one level, so that it is as thick as the other thumb."""

    level: str
    thumb: Measured | Unknown
    """[mm]"""
    toe: Measured | Unknown
    """[mm]"""
    to_take: Measured | Unknown
    """Width of the strip of skin; negative where the toe is the thinner. [mm]"""
    arithmetic: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Flap:
    """A flap as a pattern, with what it is made from."""

    pattern: FlatPattern
    length: Measured
    """[mm]"""
    base_width: Measured
    """[mm]"""
    tip_width: Measured
    """[mm]"""
    arithmetic: str


def taped(digit: DigitGirths, tolerance_mm: float, whose: str) -> Girths:
    """Return the three girths of a digit, each with the doubt of its own taping [mm]."""
    levels = {"nail": digit.nail_mm, "joint": digit.joint_mm, "base": digit.base_mm}
    return {
        level: typed(girth, tolerance_mm=tolerance_mm, what=f"girth of {whose} at its {level}")
        for level, girth in levels.items()
    }


def trims(
    thumb: Girths,
    toe: Girths,
    allowances: Allowances,
    *,
    with_seam: bool,
) -> tuple[Trim, ...]:
    """Subtract the other thumb from the toe, level by level.

    Parameters
    ----------
    thumb, toe
        Their girths. [mm]
    allowances
        Loss of bulk and seam.
    with_seam
        Whether a strip is cut out and closed again; else girths are only compared.

    Notes
    -----
    Strip = toe x (1 - loss of bulk) - thumb - seam. The seam is skin that the closed edge takes
    up, so less is cut away by it.
    """
    seam = allowances.seam.measured("seam") if with_seam else None
    loss = allowances.toe_bulk_loss.value
    return tuple(_trim(level, thumb[level], toe[level], loss, seam) for level in LEVELS)


def _trim(
    level: str,
    thumb: Measured | Unknown,
    toe: Measured | Unknown,
    loss_share: float,
    seam: Measured | None,
) -> Trim:
    if isinstance(toe, Unknown) or isinstance(thumb, Unknown):
        unknown = toe if isinstance(toe, Unknown) else thumb
        return Trim(level=level, thumb=thumb, toe=toe, to_take=unknown, arithmetic="")
    later = scaled(toe, 1 - loss_share)
    taken = difference(later, thumb, origin="toe less thumb")
    if seam is not None:
        taken = difference(taken, seam, origin=f"strip at the {level}")
    shrunk = f" × {1 - loss_share:.2f}" if loss_share else ""
    sewn = f" − {seam.value:.1f} (seam)" if seam is not None else ""
    return Trim(
        level=level,
        thumb=thumb,
        toe=toe,
        to_take=taken,
        arithmetic=f"{toe.value:.1f}{shrunk} − {thumb.value:.1f}{sewn}",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ThumbShape:
    """Girth of the other thumb against the distance from the tip of its skin."""

    from_tip_mm: tuple[float, ...]
    """Rising."""
    girth: tuple[Measured, ...]
    """[mm]"""

    def girth_at(self, from_tip_mm: float) -> Measured:
        """Return the girth there, straight between two levels and constant beyond them [mm]."""
        place = float(np.interp(from_tip_mm, self.from_tip_mm, range(len(self.girth))))
        low = min(int(place), len(self.girth) - 2)
        share = place - low
        parts = (scaled(self.girth[low], 1 - share), scaled(self.girth[low + 1], share))
        return total(parts, origin="girth of the other thumb")


def thumb_shape(
    thumb: Girths,
    joints: Sequence[JointHeight],
    beyond_bone: Measured | Unknown,
) -> ThumbShape | Unknown:
    """Put the three girths of the other thumb where they were taped.

    Parameters
    ----------
    thumb
        Its girths. [mm]
    joints
        Its joints, from its bony tip. [mm]
    beyond_bone
        Skin beyond that tip. [mm]

    Notes
    -----
    The nail's base is taken at the middle of the distal phalanx, the base girth at the middle
    of the proximal phalanx: working assumptions, since neither is seen on a film.
    """
    heights = {joint.name: joint.from_tip for joint in joints}
    unmarked = Unknown(
        reason="the joints of the other thumb were not marked",
        needed=("MCP joint, IP joint and tip of the other thumb on its film",),
    )
    places = (heights.get("IP joint", unmarked), heights.get("MCP joint", unmarked), beyond_bone)
    found = (*places, *thumb.values())
    known = [each for each in found if isinstance(each, Measured)]
    if len(known) < len(found):
        return _together([each for each in found if isinstance(each, Unknown)])
    ip, mcp, skin, *girths = known
    return ThumbShape(
        from_tip_mm=(
            skin.value + ip.value / 2,
            skin.value + ip.value,
            skin.value + (ip.value + mcp.value) / 2,
        ),
        girth=tuple(girths),
    )


def _together(unknowns: Sequence[Unknown]) -> Unknown:
    """Return one unknown that names all that is needed, each once."""
    needed = tuple(dict.fromkeys(one for unknown in unknowns for one in unknown.needed))
    reasons = dict.fromkeys(unknown.reason for unknown in unknowns)
    return Unknown(reason="; ".join(reasons), needed=needed)


def wrap_flap(
    shape: ThumbShape, missing: Measured, beyond_bone: Measured, allowances: Allowances, name: str
) -> Flap:
    """Draw the flap that is wrapped round a core: as wide as the other thumb is round.

    Notes
    -----
    Length = missing bone + skin beyond bone. Width at each level = girth of the other thumb
    there + seam; both times 1 / sqrt(1 - q) if a loss of area q is set for flaps of a toe.
    """
    length = total((missing, beyond_bone), origin="length of the flap")
    seam = allowances.seam.measured("seam")
    factor = side_factor(allowances.toe_flap_contraction.value)
    places = sorted(
        {0.0, length.value} | {length.value - at for at in shape.from_tip_mm if at < length.value}
    )
    widths = [total((shape.girth_at(length.value - at), seam), origin="width") for at in places]
    pattern = wrap_around(
        name, [(at, width.value) for at, width in zip(places, widths, strict=True)]
    )
    return Flap(
        pattern=enlarged(pattern, factor),
        length=scaled(length, factor),
        base_width=scaled(widths[0], factor),
        tip_width=scaled(widths[-1], factor),
        arithmetic=(
            f"length {missing.value:.1f} (bone) + {beyond_bone.value:.1f} (skin beyond it); width "
            f"{widths[0].value - seam.value:.1f} at the base and "
            f"{widths[-1].value - seam.value:.1f} at the tip, each + {seam.value:.1f} (seam)"
            f"{_times(factor)}"
        ),
    )


def tube_flap(
    shape: ThumbShape,
    missing: Measured,
    beyond_bone: Measured,
    core_width: Measured | Unknown,
    allowances: Allowances,
) -> Flap:
    """Draw the flap that is rolled into a tube over a core of bone.

    Notes
    -----
    Girth = the larger of that of the other thumb and that of the core with skin of thickness t
    over it, pi d + 2 pi t. Length = missing bone + skin beyond bone + a quarter of the tip's
    girth, folded over the end. The seam is added, then each side times 1 / sqrt(1 - q).
    """
    length = total((missing, beyond_bone), origin="length of the tube")
    over_core = _over_core(core_width, allowances)
    tip = _larger(shape.girth_at(0.0), over_core)
    base = _larger(_larger(shape.girth_at(length.value), over_core), tip)
    covered = total((length, scaled(tip, 0.25)), origin="length with the fold over the tip")
    factor = side_factor(allowances.flap_contraction.value)
    seam = allowances.seam.measured("seam")
    pattern = cone(
        "flap, to be rolled into a tube",
        base_girth_mm=base.value,
        tip_girth_mm=tip.value,
        length_mm=covered.value,
        seam_mm=seam.value,
    )
    return Flap(
        pattern=enlarged(pattern, factor),
        length=scaled(covered, factor),
        base_width=scaled(total((base, seam), origin="width"), factor),
        tip_width=scaled(total((tip, seam), origin="width"), factor),
        arithmetic=(
            f"length {length.value:.1f} + {tip.value / 4:.1f} (fold over the tip); girth "
            f"{base.value:.1f} at the base, {tip.value:.1f} at the tip, + {seam.value:.1f} (seam)"
            f"{_times(factor)}"
        ),
    )


def _over_core(core_width: Measured | Unknown, allowances: Allowances) -> Measured | None:
    if isinstance(core_width, Unknown):
        return None
    skin = allowances.skin_thickness.measured("skin thickness")
    return total((scaled(core_width, pi), scaled(skin, 2 * pi)), origin="girth over the core")


def _larger(one: Measured, other: Measured | None) -> Measured:
    return one if other is None or one.value >= other.value else other


def _times(factor: float) -> str:
    return f"; every side × {factor:.3f}" if factor != 1 else ""


def toe_triangles(
    toe_base: Measured | Unknown,
) -> tuple[tuple[FlatPattern, ...], Measured | Unknown]:
    """Draw the triangles of skin on back and sole of a second toe, and give the sole's base.

    Notes
    -----
    On the back 40 mm long and 20 to 25 mm wide [wheeless-second-toe]_. The base on the sole is
    what is left of the toe's girth there; that it is as long as on the back is assumed.
    """
    back = triangle(
        "second toe, triangle on the back",
        base_mm=DORSAL_BASE.value,
        height_mm=DORSAL_LENGTH.value,
    )
    if isinstance(toe_base, Unknown):
        return (back,), toe_base
    used = Measured(value=DORSAL_BASE.value, unit="mm", origin="base on the back")
    rest = difference(toe_base, used, origin="girth less the base on the back")
    if rest.value <= 0:
        return (back,), Unknown(reason="the toe is no wider round than the triangle on its back")
    sole = triangle(
        "second toe, triangle on the sole", base_mm=rest.value, height_mm=DORSAL_LENGTH.value
    )
    return (back, sole), rest
