"""The unit's own price list: read from TOML or JSON, and written."""

import json
from collections.abc import Collection, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from annotated_types import Ge, Le, Len
from pydantic import create_model

from thumbwright.core.foundations.errors import Fault, PriceListError
from thumbwright.core.outlook.prices import Item, PriceList
from thumbwright.interchange.document_text import path_of, shown
from thumbwright.interchange.validation import (
    Checked,
    Document,
    DocumentKind,
    check_document,
    fitted,
    listed,
)

VERSION_KEY = "thumbwright_prices"
Price = Annotated[float, Ge(0), Le(1_000_000_000)]
"""[currency]"""
Currency = Annotated[str, Len(0, 12)]


def read_prices(data: bytes | str, name: str, techniques: Collection[str]) -> PriceList:
    """Read a price list from a TOML or JSON document.

    Parameters
    ----------
    data
        The document, as bytes (UTF-8) or text.
    name
        What to call it in messages, such as its file name.
    techniques
        Keys of the catalogue, for the prices of devices.

    Returns
    -------
    PriceList
        What the document does not mention has no price.

    Raises
    ------
    PriceListError
        With every fault, in the document's order.
    """
    kind = _kind(tuple(techniques))
    checked = check_document(data, kind)
    # The first line is the one key that may be left out: a price list is written by hand.
    faults = tuple(fault for place, fault in checked.faults if not _is_unnamed(place, fault))
    if nameless := _nameless(checked):
        faults = (*faults, nameless)
    document, _ = fitted(checked.table, kind.model)
    if faults or document is None:
        raise PriceListError(name, listed(faults))
    found: dict[str, Any] = {key: getattr(document, key) for key in kind.model.model_fields}
    return PriceList(
        currency=" ".join(found["currency"].split()),
        prices=found["prices"],
        devices=found["devices"],
    )


def write_prices(prices: PriceList) -> str:
    """Write a price list as a JSON document that :func:`read_prices` takes back.

    Examples
    --------
    >>> text = write_prices(PriceList(currency="EUR", prices={Item.VISIT: 60}))
    >>> read_prices(text, "prices", ()).prices[Item.VISIT]
    60.0
    """
    content = {
        VERSION_KEY: 1,
        "currency": prices.currency,
        "prices": {item.value: prices.prices[item] for item in Item if item in prices.prices},
        "devices": dict(sorted(prices.devices.items())),
    }
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


@cache
def _kind(techniques: tuple[str, ...]) -> DocumentKind[Document]:
    """Return the document whose devices are those of these techniques."""
    nobody = ("",)
    of_these: Any = Literal.__getitem__(techniques or nobody)
    devices: Any = dict[of_these, Price]
    model = create_model(
        "PricesDocument",
        __base__=Document,
        thumbwright_prices=(Literal[1], 1),
        currency=(Currency, ""),
        prices=(dict[Item, Price], {}),
        devices=(devices, {}),
    )
    return DocumentKind(version_key=VERSION_KEY, version=1, model=model, error=PriceListError)


def _is_unnamed(place: tuple[str | int, ...], fault: Fault) -> bool:
    return place == (VERSION_KEY,) and fault.given == "nothing"


def _nameless(checked: Checked[Document]) -> Fault | None:
    """Return the fault of prices in a currency that is not named."""
    currency = checked.table.get("currency", "")
    tables = (checked.table.get(key) for key in ("prices", "devices"))
    has_prices = any(isinstance(table, Mapping) and table for table in tables)
    if not has_prices or not isinstance(currency, str) or currency.strip():
        return None
    return Fault(
        path=path_of(("currency",)),
        given=shown(currency) if "currency" in checked.table else "nothing",
        allowed="the currency of the prices, in up to 12 characters",
        advice='name it, such as currency = "EUR"',
    )
