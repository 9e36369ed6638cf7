"""What lies ahead with each technique as a section: fates, burdens, costs, what is not counted."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.outlook.chances import Chance
from thumbwright.core.outlook.consequences import Consequences
from thumbwright.core.outlook.foresee import BurdenAhead, Outlook, ShareAhead
from thumbwright.documents.outlook_figures import branches, in_hundred, tree_drawing, tree_picture
from thumbwright.documents.paper_parts import PrintedNumber, Sentence, said
from thumbwright.documents.report_content import (
    Block,
    Cell,
    Heading,
    Section,
    Table,
    cautions,
    cell,
    head,
    points,
    shown,
    text,
    valued,
)

_ASSUMED = Basis(provenance=Provenance.ASSUMED)
_CAUTIONS = (
    Sentence(
        text=(
            "Series come from units that do many transfers and that print good results; a unit "
            "that does few should expect worse until its own series says otherwise."
        ),
        basis=Basis(provenance=Provenance.COMMON_PRACTICE),
    ),
    Sentence(
        text=(
            "Hours, days, weeks and visits that an event costs are working assumptions of this "
            "program, open to be set by the unit."
        ),
        basis=_ASSUMED,
    ),
)
_BURDENS = (
    ("operations", "Operations", ".1f"),
    ("hours", "Hours in theatre", ".1f"),
    ("days", "Days in hospital", ".0f"),
    ("weeks", "Weeks to light use", ".0f"),
    ("visits", "Visits", ".0f"),
)


def outlook_part(
    outlooks: Sequence[Outlook],
    names: Mapping[str, str],
    consequences: Consequences,
    told_of: Collection[str],
) -> tuple[Section, dict[str, bytes]]:
    """Return the section on what lies ahead, and its drawings by name.

    Parameters
    ----------
    outlooks
        One for each technique that may be had.
    names
        Name of each technique with its article, by key.
    consequences
        The table of what events cost.
    told_of
        Keys of the techniques of which details are told, not only the rows of the tables.
    """
    blocks: list[Block] = []
    drawings: dict[str, bytes] = {}
    if outlooks:
        blocks += [_fates(outlooks, names), _burdens(outlooks, names), *_costs(outlooks, names)]
    for outlook in (one for one in outlooks if one.technique in told_of):
        name = names[outlook.technique]
        blocks.append(Heading(words=f"{name[0].upper()}{name[1:]}"))
        fates = branches(outlook)
        if not isinstance(fates, Unknown):
            picture = tree_picture(outlook, name, fates)
            drawings[picture.name] = tree_drawing(fates, title=picture.alt).encode()
            blocks += shown(picture, 0.8)
        blocks += text(*_told(outlook, names))
    blocks += points("What an event costs", tuple(_assumed(consequences)))
    blocks += [*cautions(*_CAUTIONS), *text(*_drawn(outlooks))]
    return Section(key="ahead", title="What lies ahead", blocks=tuple(blocks)), drawings


def _fates(outlooks: Sequence[Outlook], names: Mapping[str, str]) -> Table:
    return Table(
        title="A living thumb",
        columns=(
            "Technique",
            "The first attempt lives",
            "With the fallback counted",
            "Living and reaching a pinch",
            "If nobody reopens in time",
        ),
        widths=(3, 2.4, 2.4, 2.4, 2.4),
        rows=tuple(
            (
                head(names[one.technique]),
                _share(one.lives),
                _share(one.lives_with_fallback),
                _share(one.useful),
                _share(one.lives_if_late),
            )
            for one in outlooks
        ),
    )


def _burdens(outlooks: Sequence[Outlook], names: Mapping[str, str]) -> Table:
    return Table(
        title="Burden: what to expect, and what nine in ten stay below",
        columns=("Technique", *(title for _, title, _ in _BURDENS)),
        widths=(3, 1.8, 2, 2, 2, 1.8),
        rows=tuple(
            (
                head(names[one.technique]),
                *(_burden(one.burden[name], digits) for name, _, digits in _BURDENS),
            )
            for one in outlooks
        ),
    )


def _costs(outlooks: Sequence[Outlook], names: Mapping[str, str]) -> tuple[Block, ...]:
    unpriced = [one.cost for one in outlooks if isinstance(one.cost, Unknown)]
    if unpriced:
        return (Heading(words="Cost"), *text(*said(f"Cost is {unpriced[0]}.")))
    rows = []
    for one in outlooks:
        cost = one.cost
        if isinstance(cost, Unknown):
            continue
        amounts = (cost.planned, cost.complications, cost.complications_p90, cost.total_p90)
        rows.append(
            (
                head(names[one.technique]),
                *(
                    valued(
                        PrintedNumber(
                            words=f"{round(amount, -1):,.0f} {cost.currency}",
                            value=amount,
                            unit=cost.currency,
                        )
                    )
                    for amount in amounts
                ),
            )
        )
    return (
        Table(
            title="Cost, from the unit's own price list",
            columns=(
                "Technique",
                "As planned",
                "Complications and fallback, mean",
                "Complications, nine in ten below",
                "To be prepared for: whole course, nine in ten below",
            ),
            widths=(3, 2, 2.4, 2.4, 3),
            rows=tuple(rows),
        ),
    )


def _told(outlook: Outlook, names: Mapping[str, str]) -> Iterator[Sentence]:
    if outlook.fallback:
        yield Sentence(
            text=f"If it is lost, {names[outlook.fallback]} follows, for those who go on."
        )
    chances = outlook.chances
    named: tuple[tuple[str, Chance | Unknown | None], ...] = (
        ("Loss", chances.loss),
        ("Opened again", chances.trouble),
        *(
            (event.value.replace("_", " ").capitalize(), one)
            for event, one in chances.events.items()
        ),
    )
    for name, chance in named:
        if isinstance(chance, Chance):
            median = 100 * chance.doubt.quantile_share(0.5)
            low, high = (100 * chance.doubt.quantile_share(p) for p in (0.025, 0.975))
            yield Sentence(
                text=f"{name}: {median:.0f} of 100 ({low:.0f} to {high:.0f}) in one more series; "
                f"from {chance.basis_in_words}."
            )
    if isinstance(chances.no_pinch, Chance):
        none = 100 * chances.no_pinch.doubt.quantile_share(0.5)
        yield Sentence(text=f"No pinch was achieved in {none:.0f} of 100 where series counted it.")
    if outlook.not_counted:
        yield Sentence(
            text=(
                f"Not counted, because no series did: {', '.join(outlook.not_counted)}. Burden and "
                "cost are therefore at least what is shown."
            )
        )


def _assumed(consequences: Consequences) -> Iterator[Sentence]:
    for event in consequences.events.values():
        spans = "; ".join(
            f"{spread.low:g} to {spread.high:g} {unit}"
            for spread, unit in (
                (event.hours, "h in theatre"),
                (event.days, "days in hospital"),
                (event.weeks, "weeks"),
                (event.visits, "visits"),
            )
        )
        share = (
            f"{event.operations:g} operation"
            if event.operations == 1
            else (f"an operation in {10 * event.operations:.0f} of 10")
        )
        yield Sentence(
            text=f"{event.name[0].upper()}{event.name[1:]}: {share}; {spans}.",
            basis=event.days.statement.basis,
        )
    low, high = (100 * end for end in (consequences.goes_on.low, consequences.goes_on.high))
    yield Sentence(
        text=f"Of 100 who lost the first, {low:.0f} to {high:.0f} go on to the fallback.",
        basis=consequences.goes_on.statement.basis,
    )


def _drawn(outlooks: Sequence[Outlook]) -> tuple[Sentence, ...]:
    if not outlooks:
        return said("Every technique is closed.")
    first = outlooks[0]
    return said(
        f"Each tree was walked by {first.draws} simulated patients (seed {first.seed}) and folded "
        "back as a check; chance alone moves a share of one half by "
        f"{100 * 0.5 / first.draws**0.5:.1f} in 100 (one standard error)."
    )


def _share(share: ShareAhead | Unknown) -> Cell:
    if isinstance(share, Unknown):
        return cell(str(share))
    return valued(
        PrintedNumber(
            words=in_hundred(share),
            value=share.prob,
            unit="-",
            low=share.low_prob,
            high=share.high_prob,
            level_prob=0.95,
        )
    )


def _burden(burden: BurdenAhead, digits: str) -> Cell:
    return cell(f"{burden.mean:{digits}}; nine in ten below {burden.p90:{digits}}")
