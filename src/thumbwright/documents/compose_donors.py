"""Which toe of which foot a plan would take, and which cuts matter in a case."""

from collections.abc import Iterator

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.radiograph.landmarks import RayName
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.radiograph.transposition import ToeCut as FoundCut
from thumbwright.core.techniques.donors import DonorChoice
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.rule_answers import Advice, NotMet
from thumbwright.core.techniques.technique import Take
from thumbwright.documents.paper_parts import Sentence, number
from thumbwright.pathway.plan_case import Plan

_WHOLE_TOES = {Take.GREAT_TOE: RayName.GREAT_TOE, Take.SECOND_TOE: RayName.SECOND_TOE}


def pattern_basis(lengths: Lengths) -> Basis | None:
    """Return what the wanted length rests on, if it is from memory; all that follows says so."""
    basis = lengths.wanted.basis
    return basis if basis.provenance is Provenance.RECALLED else None


def whole_toes(one: Eligibility) -> tuple[RayName, ...]:
    """Return the toes whose bone a technique takes and cuts; none for flaps and parts of toes."""
    return tuple(ray for take, ray in _WHOLE_TOES.items() if take in one.technique.takes)


def toes_in_question(plan: Plan) -> frozenset[RayName]:
    """Return the toes that a technique would take whole which is open or may yet open."""
    return frozenset(
        ray for one in plan.options if one.verdict is not Verdict.CLOSED for ray in whole_toes(one)
    )


def cuts_in_question(plan: Plan) -> tuple[FoundCut, ...]:
    """Return the cuts of toes that a technique may yet take, a toe of plan A first."""
    first = first_choice(plan)
    of_plan_a = whole_toes(first) if first else ()
    donors = {
        f"{choice.side.value} {choice.toe.value} toe": choice.is_possible
        for choice in (first.donors if first else ())
    }
    asked = toes_in_question(plan)

    def place(cut: FoundCut) -> tuple[bool, bool, bool, str]:
        name = cut.ray.name
        fit = donors.get(f"{cut.side.value} {name.value}", False)
        return (name not in of_plan_a, not fit, name is RayName.GREAT_TOE, cut.side.value)

    cuts = [toe.toe.cut for toe in plan.toes if isinstance(toe.toe.cut, FoundCut)]
    return tuple(sorted((cut for cut in cuts if cut.ray.name in asked), key=place))


def first_choice(plan: Plan) -> Eligibility | None:
    """Return the technique of plan A, where there is one."""
    plan_a = plan.ranking.plan_a
    return None if isinstance(plan_a, Unknown) else plan_a.eligibility


def out_of_question(plan: Plan, ray: RayName) -> tuple[Sentence, ...]:
    """Say that every technique that takes a toe whole is closed, where that is so."""
    if ray in toes_in_question(plan):
        return ()
    return (
        Sentence(
            text=f"Every technique that takes the whole {ray.value} is closed in this case; its "
            "cuts stand here for comparison only."
        ),
    )


def short_of_length(plan: Plan, one: Eligibility) -> Iterator[Sentence]:
    """Say where a toe that is taken without its metatarsal is too short for the missing length."""
    if Take.METATARSAL_HEAD in one.technique.takes:
        return
    for cut in cuts_in_question(plan):
        in_metatarsal = cut.bone == cut.ray.bones[0].name
        if cut.ray.name not in whole_toes(one) or not in_metatarsal:
            continue
        name = f"{cut.side.value.upper()} {cut.ray.name.value}"
        amount = f"{number(cut.from_joint).words} " if cut.joint == cut.ray.joints[1] else ""
        yield Sentence(
            text=f"{name}: taken at its {cut.ray.joints[1]} it would leave the thumb {amount}short "
            f"of the other; the whole length asks for a cut in the {cut.bone}, which takes its "
            "head.",
            basis=pattern_basis(plan.lengths),
        )


def donor_sentences(one: Eligibility) -> Iterator[Sentence]:
    """Say of each toe that a technique could take what speaks for and against it."""
    for choice in one.donors:
        if choice.is_possible:
            yield Sentence(text=f"{_name(choice)} as donor: nothing found rules it out.")
        yield from _against(choice)
        if not choice.is_ruled_out:
            remark = choice.remark_on_side
            text = f"{_name(choice)}: {remark.text[0].lower()}{remark.text[1:]}"
            yield Sentence(text=text, basis=remark.basis)


def donor_doubts(one: Eligibility) -> Iterator[Sentence]:
    """Say only what speaks against a toe that a technique could take."""
    for choice in one.donors:
        yield from _against(choice)


def _name(choice: DonorChoice) -> str:
    return f"{choice.side.value.upper()} {choice.toe.value} toe"


def _against(choice: DonorChoice) -> Iterator[Sentence]:
    name = _name(choice)
    if choice.is_ruled_out:
        against = [answer for answer in choice.answers if isinstance(answer, NotMet)]
        reasons = " ".join(dict.fromkeys(answer.reason for answer in against))
        yield Sentence(text=f"{name} as donor: ruled out. {reasons}", basis=against[0].basis)
        return
    if choice.would_settle:
        wanting = ", ".join(choice.would_settle)
        yield Sentence(text=f"{name} as donor: not settled; needed: {wanting}.")
    for answer in choice.answers:
        if isinstance(answer, Advice):
            yield Sentence(text=f"{name}: {answer.reason}", basis=answer.basis)
