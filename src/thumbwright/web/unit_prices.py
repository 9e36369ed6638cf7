"""The prices that this unit entered: what counts, what was before, and the form for them."""

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from pathlib import Path

from fastapi import Request

from thumbwright.bootstrap import knowledge
from thumbwright.core.foundations.errors import DocumentError, Fault, PriceListError
from thumbwright.core.outlook.prices import Item, PriceList
from thumbwright.core.techniques.technique import Take
from thumbwright.interchange.allowed import in_words
from thumbwright.interchange.price_list import (
    VERSION_KEY,
    Currency,
    Price,
    read_prices,
    write_prices,
)
from thumbwright.storage.documents import with_value
from thumbwright.storage.records import Table
from thumbwright.storage.unit_papers import UnitPaper, UnitPapers
from thumbwright.web.exam_answers import ADVICE, Form, answer_of
from thumbwright.web.exam_fields import Bounds, ExamField, FieldKind
from thumbwright.web.exam_sections import Entry, ExamPage, Section

KIND = "prices"
DEVICES = frozenset({Take.EXTERNAL_FIXATOR, Take.PROSTHESIS})
"""What is bought for one patient."""
LONGEST = 80
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2}([.,][0-9]{3})+")
"""A number that some write for thousands and others for thousandths."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedPrices:
    """One list that was saved, in words."""

    paper: UnitPaper
    prices: PriceList | None
    """None where it can no longer be read."""

    @property
    def words(self) -> str:
        """Return what it says in one line."""
        if self.prices is None:
            return "cannot be read any more; it does not count"
        return in_one_line(self.prices)


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenPrices:
    """What a posted form comes to."""

    prices: PriceList | None
    """None where there are faults."""
    faults: tuple[Fault, ...]
    """Every fault at once; the path is the name of the field beside which it stands."""
    values: dict[str, tuple[str, ...]]
    """What the form shows when it is shown again: everything as it was typed."""


class UnitPrices:
    """Every price list that a unit saved, and the one that counts.

    Parameters
    ----------
    folder
        Where the papers of the unit lie.
    now
        The clock.
    """

    def __init__(self, folder: Path, now: Callable[[], datetime]) -> None:
        self.papers = UnitPapers(folder, KIND, now)

    def prices(self) -> PriceList:
        """Return the newest list that can be read; empty where none was entered."""
        found = (one.prices for one in self.saved())
        return next((prices for prices in found if prices is not None), PriceList())

    def saved(self) -> tuple[SavedPrices, ...]:
        """Return every list, the newest first."""
        return tuple(
            SavedPrices(paper=paper, prices=_read(paper)) for paper in self.papers.papers()
        )

    def save(self, prices: PriceList, who: str, based_on: str) -> None:
        """Save a list; it counts from now on."""
        self.papers.save(write_prices(prices), who, based_on)


def prices_of(request: Request) -> PriceList:
    """Return the prices that this unit entered last; empty where it entered none."""
    found: PriceList = request.app.state.desk.prices()
    return found


def in_one_line(prices: PriceList) -> str:
    """Return a price list in one line.

    Examples
    --------
    >>> in_one_line(PriceList(currency="EUR", prices={Item.VISIT: 60.5}))
    'EUR: a visit for therapy or review 60.5'
    """
    named = _names()
    items = (f"{item.words} {number_of(given)}" for item, given in prices.prices.items())
    devices = (
        f"devices of {named[key]} {number_of(given)}" for key, given in prices.devices.items()
    )
    listed = "; ".join((*items, *devices)) or "no price"
    return f"{prices.currency}: {listed}" if prices.currency else listed


def number_of(given: float) -> str:
    """Return a price as it is typed.

    Examples
    --------
    >>> number_of(1200.0), number_of(0.5)
    ('1200', '0.5')
    """
    return repr(given).removesuffix(".0")


@cache
def _names() -> dict[str, str]:
    return {one.key: one.short_name for one in knowledge().techniques}


def form_for(prices: PriceList) -> ExamPage:
    """Return the form: the currency, four prices, and devices where a technique has some.

    Parameters
    ----------
    prices
        The list that counts; whatever has a price in it is asked for too.
    """
    with_device = {one.key for one in knowledge().techniques if DEVICES & set(one.takes)}
    techniques = [key for key in _names() if key in with_device or key in prices.devices]
    currency = ExamField(
        path=("currency",),
        kind=FieldKind.TEXT,
        bounds=Bounds(most=12),
        allowed=in_words(Currency, ""),
    )
    sections = (
        (
            "Currency and prices",
            "What this unit, or its patients, really pay. All in one currency.",
            (
                _entry(currency, "Currency", "As you write it, such as EUR or INR.", "Currency"),
                *(_price(("prices", one.value), _label(one)) for one in Item),
            ),
        ),
        (
            "Devices",
            "For one patient: implant, fixator, prosthesis, instruments that are used up.",
            tuple(_price(("devices", key), _sentence(_names()[key])) for key in techniques),
        ),
    )
    return ExamPage(
        key=KIND,
        title="Prices of this unit",
        sections=tuple(
            Section(key=f"{KIND}-{at}", legend=legend, hint=hint, entries=entries)
            for at, (legend, hint, entries) in enumerate(sections, start=1)
        ),
    )


def values_of(form: ExamPage, prices: PriceList) -> dict[str, tuple[str, ...]]:
    """Return what the form shows for a list."""
    found = {f"prices.{item.value}": given for item, given in prices.prices.items()}
    found |= {f"devices.{key}": given for key, given in prices.devices.items()}
    texts = {name: number_of(given) for name, given in found.items()}
    texts["currency"] = prices.currency
    return {entry.name: (texts.get(entry.name, ""),) for entry in form.entries}


def given_prices(form: ExamPage, posted: Form, before: PriceList) -> GivenPrices:
    """Read a posted form; a field that was not posted keeps the price it has.

    Parameters
    ----------
    form
        The form that was shown.
    posted
        Every value that was posted under a name.
    before
        The list that counts.
    """
    values = values_of(form, before)
    values |= {one.name: tuple(posted[one.name]) for one in form.entries if one.name in posted}
    table: Table = {VERSION_KEY: 1}
    faults: dict[str, Fault] = {}
    for entry in form.entries:
        if fault := _fault_of_typing(entry, values[entry.name]):
            faults[entry.name] = fault
        elif (answer := answer_of(entry, values[entry.name])) is not None:
            table = with_value(table, entry.field.path, answer)
    prices: PriceList | None = None
    try:
        prices = read_prices(json.dumps(table), "the prices", _names())
    except PriceListError as refused:
        faults |= {one.path: _of_the_form(form, one, values) for one in refused.faults}
    order = [entry.name for entry in form.entries]
    told = sorted(faults.values(), key=lambda one: order.index(one.path))
    return GivenPrices(prices=None if told else prices, faults=tuple(told), values=values)


def label_of(form: ExamPage) -> Callable[[Fault], str]:
    """Return what names the field of a fault by its label."""
    labels = {entry.name: entry.full_label for entry in form.entries}
    return lambda fault: labels.get(fault.path, fault.path)


def _read(paper: UnitPaper) -> PriceList | None:
    if not paper.is_whole:
        return None
    try:
        return read_prices(paper.content, paper.name, _names())
    except DocumentError:
        return None


def _fault_of_typing(entry: Entry, given: Sequence[str]) -> Fault | None:
    typed = given[-1].strip() if given else ""
    if len(typed) > LONGEST:
        what, advice = f"{len(typed):,} characters", "shorten it"
    elif entry.field.kind is FieldKind.NUMBER and _TWO_WAYS.fullmatch(typed.replace(" ", "")):
        plain = re.sub(r"[.,]", "", typed)
        what, advice = (
            f"{typed}, which can be read in two ways",
            f"write {plain} without a sign for thousands, or with two decimals",
        )
    else:
        return None
    return Fault(path=entry.name, given=what, allowed=entry.field.allowed, advice=advice)


def _of_the_form(form: ExamPage, fault: Fault, values: dict[str, tuple[str, ...]]) -> Fault:
    entry = next(one for one in form.entries if one.name == fault.path)
    typed = values[entry.name][-1].strip() or "nothing"
    if entry.name == "currency":
        return replace(fault, given=typed, advice="name it, or shorten it")
    return replace(fault, given=typed, advice=ADVICE[FieldKind.NUMBER])


def _price(path: tuple[str, str], label: str) -> Entry:
    field = ExamField(
        path=path,
        kind=FieldKind.NUMBER,
        bounds=Bounds(least=0, most=1e9),
        allowed=in_words(Price, ""),
    )
    return _entry(field, label, "", label)


def _entry(field: ExamField, label: str, hint: str, full_label: str) -> Entry:
    return Entry(field=field, label=label, hint=hint, full_label=full_label)


def _label(item: Item) -> str:
    return _sentence(item.words)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
