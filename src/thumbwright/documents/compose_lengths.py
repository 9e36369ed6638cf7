"""Lengths, their doubt, the cuts and the drawing to scale, as rows of the paper."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import isinf

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, Term
from thumbwright.core.radiograph.lengths import Lengths, RayLengths
from thumbwright.core.radiograph.transposition import JointMatch, Place
from thumbwright.core.radiograph.transposition import ToeCut as FoundCut
from thumbwright.documents.compose_donors import cuts_in_question, out_of_question, pattern_basis
from thumbwright.documents.measured_rows import (
    Budget,
    BudgetRow,
    LengthRow,
    PixelPlace,
    ScaleBone,
    ScaleColumn,
    ToeCut,
)
from thumbwright.documents.paper_parts import (
    PrintedNumber,
    Sentence,
    number,
    printed,
    printed_plain,
    said,
    sentence,
)
from thumbwright.pathway.plan_case import Plan, ToePlan

SHORT_BONES = {
    "first metacarpal": "MC 1",
    "first metatarsal": "MT 1",
    "second metatarsal": "MT 2",
    "proximal phalanx": "proximal",
    "middle phalanx": "middle",
    "distal phalanx": "distal",
}
SMALLEST_EFFECT_SHARE = 0.2
"""Contributions below this share of the combined doubt are summed up in one line. [-]"""


def on_pattern(length: Measured | Unknown, lengths: Lengths) -> PrintedNumber | Unknown:
    """Print a length that follows from the wanted one; where that is from memory, so is this."""
    return length if isinstance(length, Unknown) else _on_pattern(number(length), lengths)


def _on_pattern(length: PrintedNumber, lengths: Lengths) -> PrintedNumber:
    return replace(length, basis=pattern_basis(lengths))


def length_rows(lengths: Lengths) -> tuple[LengthRow, ...] | Unknown:
    """Return every bone and ray that was measured, then stump, wanted and missing length."""
    rows = [row for ray in lengths.rays for row in _ray_rows(ray)]
    films = tuple(dict.fromkeys(ray.film for ray in lengths.rays))
    wanted, missing = lengths.wanted.length, lengths.missing
    results = (
        ("stump, CMC joint to bone end", lengths.stump, printed(lengths.stump)),
        ("metacarpal left", lengths.metacarpal_left, printed(lengths.metacarpal_left)),
        ("wanted, CMC joint to bony tip", wanted, on_pattern(wanted, lengths)),
        ("missing", missing, on_pattern(missing, lengths)),
    )
    rows += [
        LengthRow(ray="result", name=name, length=words, film=_seen_on(length, films))
        for name, length, words in results
    ]
    return tuple(rows)


def _seen_on(length: Measured | Unknown, films: Sequence[str]) -> str:
    """Return the films that a length was read from, by the inputs of its doubt."""
    keys = () if isinstance(length, Unknown) else tuple(term.input.key for term in length.terms)
    return " and ".join(film for film in films if any(_names(key, film) for key in keys)) or "none"


def _names(key: str, film: str) -> bool:
    """Tell whether the key of an input names a film, which stands in it as a word."""
    return f" {film} " in f" {key.replace('|', ' ')} "


def _ray_rows(ray: RayLengths) -> Iterator[LengthRow]:
    name = f"{ray.side.value.upper()} {ray.ray.name.value}"
    for bone in ray.bones:
        yield LengthRow(ray=name, name=bone.name, length=printed(bone.length), film=ray.film)
    yield LengthRow(ray=name, name="whole, as marked", length=printed(ray.whole), film=ray.film)
    if isinstance(ray.skin_beyond_bone, Measured):
        yield LengthRow(
            ray=name, name="skin beyond bone", length=printed(ray.skin_beyond_bone), film=ray.film
        )


def budgets(plan: Plan) -> tuple[Budget, ...] | Unknown:
    """Return what the doubt of the missing length and of each proposed cut consists of."""
    missing = plan.lengths.missing
    if isinstance(missing, Unknown):
        return missing
    films = tuple(reading.film.name for reading in plan.readings)
    found = [_budget("missing length", missing, films)]
    for cut in cuts_in_question(plan)[:1]:
        name = f"cut of the {cut.side.value.upper()} {cut.ray.name.value}, from the {cut.joint}"
        found.append(_budget(name, cut.from_joint, films))
    return tuple(replace(budget, value=_on_pattern(budget.value, plan.lengths)) for budget in found)


def _budget(name: str, result: Measured, films: Sequence[str]) -> Budget:
    value = number(result)
    small = [term for term in result.budget if _is_small(term, result)]
    rows = [_row(term, films) for term in result.budget if not _is_small(term, result)]
    if small:
        rows.append(_rest(small))
    return Budget(
        result=name,
        value=value,
        rows=tuple(rows),
        further=tuple(_row(term, films) for term in small if term.effect),
    )


def _is_small(term: Term, result: Measured) -> bool:
    return abs(term.effect) < SMALLEST_EFFECT_SHARE * result.uncertainty


def _row(term: Term, films: Sequence[str]) -> BudgetRow:
    doubt = term.input
    freedom = doubt.degrees_of_freedom
    film = max((film for film in films if _names(doubt.key, film)), key=len, default="")
    return BudgetRow(
        contribution=f"{doubt.name}, {film}" if film else doubt.name,
        standard_uncertainty=printed_plain(doubt.standard_uncertainty, doubt.unit, digits=2),
        sensitivity=printed_plain(term.sensitivity, _per("mm", doubt.unit), digits=3),
        effect_mm=printed_plain(term.effect, "mm", digits=2),
        kind="A" if doubt.evaluation.value == "A" else "B",
        degrees_of_freedom=None if isinf(freedom) else freedom,
        basis=Sentence(text=doubt.basis or "stated with the input"),
    )


def _per(top: str, bottom: str) -> str:
    if bottom == top:
        return "-"
    return top if bottom == "-" else f"{top}/{bottom}"


def _rest(terms: Sequence[Term]) -> BudgetRow:
    together = Measured(value=0.0, unit="mm", origin="rest", terms=tuple(terms)).uncertainty
    return BudgetRow(
        contribution=f"{len(terms)} smaller contributions together",
        standard_uncertainty=printed_plain(together, "mm", digits=2),
        sensitivity=printed_plain(1.0, "-"),
        effect_mm=printed_plain(together, "mm", digits=2),
        kind="B",
        basis=Sentence(text="each under a fifth of the whole; one by one in the JSON of the plan"),
    )


def cut_rows(plan: Plan) -> tuple[ToeCut, ...] | Unknown:
    """Return where each toe would be cut, or why that cannot be said."""
    rows = [row for toe in plan.toes if (row := _cut_row(toe, plan)) is not None]
    if rows:
        return tuple(rows)
    reasons = [toe.toe.cut for toe in plan.toes if isinstance(toe.toe.cut, Unknown)]
    return reasons[0] if reasons else Unknown(reason="no toe was filmed")


def _cut_row(toe: ToePlan, plan: Plan) -> ToeCut | None:
    donor = f"{toe.toe.side.value.upper()} {toe.toe.ray.name.value}"
    cut = toe.toe.cut
    if isinstance(cut, Unknown):
        return None
    way = "proximal to" if cut.from_joint.value >= 0 else "distal to"
    return ToeCut(
        donor=donor,
        cut=_on_pattern(_unsigned(cut), plan.lengths),
        measured_from=f"{way} the line of the {cut.joint}",
        bone=cut.bone,
        place=f"{cut.place.value}" if cut.place is Place.SHAFT else f"at the {cut.joint}",
        seen_at=PixelPlace(film=cut.film, column_px=cut.at[0], row_px=cut.at[1]),
        joints=tuple(_match(match) for match in cut.matches) or _no_match(cut),
        width_match=(
            toe.widths
            if isinstance(toe.widths, Unknown)
            else printed(toe.widths.toe_over_stump, decimals=2)
        ),
        remarks=(
            *out_of_question(plan, cut.ray.name),
            *(sentence(remark) for remark in cut.remarks),
            Sentence(
                text=f"Bone taken, from the bony tip of the toe: {number(cut.wanted).words}.",
                basis=pattern_basis(plan.lengths),
            ),
        ),
    )


def _unsigned(cut: FoundCut) -> PrintedNumber:
    """Print the distance without sign; the direction stands in words beside it."""
    flipped = cut.from_joint
    if flipped.value < 0:
        flipped = Measured(
            value=-flipped.value, unit="mm", origin=flipped.origin, terms=flipped.terms
        )
    return number(flipped)


def _match(match: JointMatch) -> Sentence:
    offset = match.offset
    way = "nearer the body than" if offset.value > 0 else "nearer the tip than"
    return Sentence(
        text=(
            f"The toe's {match.toe_joint} would stand {abs(offset.value):.1f} mm (± "
            f"{offset.coverage_factor() * offset.uncertainty:.1f} mm) {way} the thumb's "
            f"{match.thumb_joint} did."
        )
    )


def _no_match(cut: FoundCut) -> tuple[Sentence, ...]:
    if not cut.takes_joints:
        return said("No joint goes with the toe at this cut.")
    return said(f"With the toe go: {', '.join(cut.takes_joints)}.")


def scale_columns(plan: Plan) -> tuple[ScaleColumn, ...] | Unknown:
    """Return stump, pattern thumb and the first two toes as columns of the drawing."""
    lengths = plan.lengths
    if isinstance(lengths.missing, Unknown):
        return lengths.missing
    if isinstance(lengths.stump, Unknown):
        return lengths.stump
    columns = [*_hands(plan, lengths.stump.value, lengths.missing.value)]
    half = lengths.missing.coverage_factor() * lengths.missing.uncertainty
    for cut in cuts_in_question(plan)[:3]:
        ray = next(
            (r for r in lengths.rays if r.film == cut.film and r.ray.name is cut.ray.name), None
        )
        if ray is None or isinstance(ray.whole, Unknown):
            continue
        below = ray.whole.value - cut.wanted.value
        columns.append(
            ScaleColumn(
                title=f"{cut.side.value.upper()} {cut.ray.name.value}",
                bones=_bones(ray),
                offset_mm=lengths.stump.value - below,
                cut_mm=lengths.stump.value,
                cut_low_mm=lengths.stump.value - half,
                cut_high_mm=lengths.stump.value + half,
            )
        )
    return tuple(columns)


def _hands(plan: Plan, stump_mm: float, missing_mm: float) -> Iterator[ScaleColumn]:
    side = plan.case.injury.side
    label = "missing, from memory" if pattern_basis(plan.lengths) else "missing"
    yield ScaleColumn(
        title=f"{side.value.upper()} stump",
        bones=(
            *(
                (ScaleBone(name="bone of the stump", label="stump", length_mm=stump_mm),)
                if stump_mm > 0
                else ()
            ),
            ScaleBone(name="missing bone", label=label, length_mm=missing_mm, missing=True),
        ),
    )
    for ray in plan.lengths.rays:
        if ray.side is side.other and ray.ray.name.value == "thumb":
            yield ScaleColumn(title=f"{ray.side.value.upper()} thumb", bones=_bones(ray))


def _bones(ray: RayLengths) -> tuple[ScaleBone, ...]:
    """Return the bones as measured, with the joint spaces between them left open.

    The spaces share what the whole ray measures more than its bones. A ray of which a bone was
    not measured is drawn in one piece.
    """
    whole = ray.whole.value if isinstance(ray.whole, Measured) else 0.0
    space = (whole - sum(bone.length.value for bone in ray.bones)) / (len(ray.ray.bones) - 1)
    if len(ray.bones) < len(ray.ray.bones) or space < 0:
        return (ScaleBone(name="ray as marked", label="as marked", length_mm=whole),)
    found: list[ScaleBone] = []
    for bone in ray.bones:
        if found:
            found.append(ScaleBone(name="joint space", label="", length_mm=space))
        found.append(
            ScaleBone(
                name=bone.name,
                label=SHORT_BONES.get(bone.name, bone.name),
                length_mm=bone.length.value,
            )
        )
    return tuple(found)
