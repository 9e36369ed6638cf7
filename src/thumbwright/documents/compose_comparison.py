"""The weighing as a section of the paper: rows for each voice, sentences, pictures."""

from collections.abc import Iterator
from dataclasses import dataclass

from thumbwright.core.comparison.clauses import capital
from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.family_words import family_sentences, regret_words
from thumbwright.core.comparison.preference import Joint
from thumbwright.core.comparison.weighing import View, Weighing
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.documents.comparison_figures import (
    rank_bars,
    ranking_drawing,
    ranking_picture,
    trade_drawing,
    trade_picture,
    trade_points,
)
from thumbwright.documents.paper_parts import (
    Picture,
    PrintedNumber,
    Sentence,
    printed_plain,
    printed_share,
    said,
)

METHOD_BASIS = Basis(
    provenance=Provenance.RECALLED,
    source="lahdelma-salminen-2001",
    locator="rank acceptability, central weights, confidence factors",
)
_MOST_TURNS = 6
_MOST_TESTS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonRow:
    """One technique as one voice sees it."""

    technique: str
    first: PrintedNumber
    """How often it comes first. [-]"""
    first_by_weights_alone: PrintedNumber
    """The same if no hard fact came before the weights. [-]"""
    confidence: PrintedNumber | Unknown
    """How often it is first for those who like it best. [-]"""
    regret: PrintedNumber | Unknown
    """Expected loss by choosing it, in points of 100. [points]"""
    central_weights: str | Unknown
    """The weights of those for whom it comes first, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonView:
    """What one voice, or all together, would choose."""

    whose: str
    words: str
    """How the weights were come by."""
    plan_a: str | Unknown
    fallback: str | Unknown
    rows: tuple[ComparisonRow, ...]
    turns: tuple[Sentence, ...]
    """What would change the first place."""
    tests: tuple[Sentence, ...]
    """Which examination would change it, the most useful first."""
    regrets: tuple[Sentence, ...]
    picture: Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonSection:
    """All that the paper says of the weighing."""

    views: tuple[ComparisonView, ...]
    """One for each voice, side by side; never averaged."""
    joint: ComparisonView | None
    """The mixture of the voices, said to be one; none where there is only one voice."""
    trade: Picture | Unknown
    """The two criteria that weigh most to the first voice, against each other."""
    dominances: tuple[Sentence, ...]
    left_out: tuple[Sentence, ...]
    unsettled: tuple[Sentence, ...]
    unknown: tuple[Sentence, ...]
    """What nothing is known of, and is spread over its whole scale."""
    swings: tuple[Sentence, ...]
    """The scales that the weights belong to."""
    family: tuple[Sentence, ...]
    method: tuple[Sentence, ...]


def comparison_section(
    weighing: Weighing, criteria: Criteria
) -> tuple[ComparisonSection, dict[str, bytes]]:
    """Put a weighing into rows, sentences and drawings.

    Returns
    -------
    tuple
        The section, and the drawings by the names of its pictures.
    """
    drawings: dict[str, bytes] = {}
    views = tuple(_view(view, weighing, drawings) for view in weighing.views)
    joint = None if weighing.joint is None else _view(weighing.joint, weighing, drawings)
    section = ComparisonSection(
        views=views,
        joint=joint,
        trade=_trade(weighing, drawings),
        dominances=said(*(one.words for one in weighing.dominances)),
        left_out=said(*(f"{capital(one.name)} is out: {one.reason}" for one in weighing.out)),
        unsettled=said(*(f"{capital(one.name)}: {one.reason}." for one in weighing.unsettled)),
        unknown=said(*_unknown(weighing)),
        swings=tuple(
            Sentence(text=f"{capital(one.swing_in_words)}. {one.value.words}", basis=one.basis)
            for one in weighing.table.criteria
        ),
        family=said(*family_sentences(weighing, criteria)),
        method=_method(weighing),
    )
    return section, drawings


def _whose(view: View) -> str:
    if isinstance(view.preference, Joint):
        return "all together"
    return f"the {view.preference.voice.value}"


def _view(view: View, weighing: Weighing, drawings: dict[str, bytes]) -> ComparisonView:
    whose = _whose(view)
    bars = rank_bars(view.found)
    name = f"own drawing, ranks for {whose}.svg"
    picture = ranking_picture(bars, whose=whose, name=name)
    drawings[name] = ranking_drawing(bars, title=picture.alt).encode()
    tests = (*view.openings, *view.information)
    return ComparisonView(
        whose=whose,
        words=view.preference.words,
        plan_a=_name(view.plan_a, weighing),
        fallback=_name(view.fallback, weighing),
        rows=tuple(_row(key, view, weighing) for key in view.found.in_order),
        turns=said(*(one.words for one in view.turns[:_MOST_TURNS])),
        tests=said(*(one.words for one in tests[:_MOST_TESTS])),
        regrets=said(*(regret_words(one) for one in view.regrets)),
        picture=picture,
    )


def _name(choice: str | Unknown, weighing: Weighing) -> str | Unknown:
    return choice if isinstance(choice, Unknown) else weighing.field.techniques[choice].name


def _row(key: str, view: View, weighing: Weighing) -> ComparisonRow:
    confidence = view.found.confidence_of(key)
    central = view.found.central_weights_of(key)
    lost = next((one for one in view.regrets if one.technique == key), None)
    return ComparisonRow(
        technique=weighing.field.techniques[key].name,
        first=printed_share(view.found.first_prob_of(key)),
        first_by_weights_alone=printed_share(view.by_weights_alone.first_prob_of(key)),
        confidence=confidence if isinstance(confidence, Unknown) else printed_share(confidence),
        regret=(
            Unknown(reason="hard facts put others before it")
            if lost is None
            else printed_plain(100 * lost.expected_share, "points", digits=2)
        ),
        central_weights=central if isinstance(central, Unknown) else _weights(central, weighing),
    )


def _weights(central: dict[CriterionKey, float], weighing: Weighing) -> str:
    names = {one.key: one.name for one in weighing.table.criteria}
    shown = sorted(central.items(), key=lambda item: -item[1])
    return ", ".join(f"{names[key]} {share:.0%}" for key, share in shown if share >= 0.005)


def _trade(weighing: Weighing, drawings: dict[str, bytes]) -> Picture | Unknown:
    shares = weighing.views[0].stated_shares
    order = sorted(range(len(shares)), key=lambda place: -shares[place])
    weighed = [place for place in order if shares[place] > 0][:2]
    if len(weighed) < 2:
        return Unknown(reason="only one thing counts, so that nothing is traded for another")
    across, up = (weighing.table.criteria[place] for place in weighed)
    points = trade_points(weighing.table, across.key, up.key)
    picture = trade_picture(points, across, up, name="own drawing, what is traded.svg")
    drawings[picture.name] = trade_drawing(points, across, up, title=picture.alt).encode()
    return picture


def _unknown(weighing: Weighing) -> Iterator[str]:
    names = {one.key: one.name for one in weighing.table.criteria}
    for (technique, key), unknown in weighing.table.unknown.items():
        name = capital(weighing.table.name_of(technique))
        yield f"{name}, {names[key]}: anything from worst to best may be true, {unknown}."


def _method(weighing: Weighing) -> tuple[Sentence, ...]:
    found = weighing.views[0].found
    return (
        Sentence(
            text=f"Each technique was weighed in {found.weight_draws:,} ways over "
            f"{found.performance_draws:,} draws of what is in doubt ({found.random_state}); hard "
            "facts come before the weights.",
            basis=METHOD_BASIS,
        ),
        Sentence(text="The program decides nothing; the plan is made by surgeon and patient."),
    )
