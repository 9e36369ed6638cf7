"""The unit's price list: read from TOML or JSON, or refused with every fault at once."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thumbwright.core.foundations.errors import DocumentError, PriceListError
from thumbwright.core.outlook.prices import Item, PriceList
from thumbwright.interchange.price_list import read_prices, write_prices

TECHNIQUES = ("second_toe", "metacarpal_distraction", "prosthesis")
TEXT = """
currency = "EUR"

[prices]
theatre_hour = 900
hospital_day = 450.5
operation = 300
visit = 60

[devices]
prosthesis = 1200
"""
PRICES = PriceList(
    currency="EUR",
    prices={
        Item.THEATRE_HOUR: 900,
        Item.HOSPITAL_DAY: 450.5,
        Item.OPERATION: 300,
        Item.VISIT: 60,
    },
    devices={"prosthesis": 1200},
)


def read(text: str) -> PriceList:
    return read_prices(text.encode(), "prices.toml", TECHNIQUES)


def faults_of(text: str) -> dict[str, str]:
    with pytest.raises(PriceListError, match=r"prices\.toml has") as refused:
        read(text)
    return {fault.path: str(fault) for fault in refused.value.faults}


def test_a_list_is_read_from_toml_and_from_json() -> None:
    assert read(TEXT) == PRICES
    assert read("thumbwright_prices = 1\n" + TEXT) == PRICES
    as_json = {
        "currency": "EUR",
        "prices": {"theatre_hour": 900, "hospital_day": 450.5, "operation": 300, "visit": 60},
        "devices": {"prosthesis": 1200},
    }
    assert read(json.dumps(as_json)) == PRICES


def test_what_is_left_out_has_no_price() -> None:
    assert read("") == PriceList()
    assert read('currency = "INR"') == PriceList(currency="INR")
    assert read('currency = " INR "\nprices.visit = 0').prices == {Item.VISIT: 0}


def test_every_fault_is_told_at_once_with_what_is_allowed() -> None:
    found = faults_of(
        """
        curency = "EUR"
        [prices]
        theatre_hours = 900
        visit = -1
        operation = "300"
        hospital_day = nan
        [devices]
        big_toe = 100
        prosthesis = true
        """
    )
    assert set(found) == {
        "curency",
        "currency",
        "prices.theatre_hours",
        "prices.visit",
        "prices.operation",
        "prices.hospital_day",
        "devices.big_toe",
        "devices.prosthesis",
    }
    assert "theatre_hour, hospital_day, operation, visit" in found["prices.theatre_hours"]
    assert "did you mean theatre_hour?" in found["prices.theatre_hours"]
    assert "second_toe, metacarpal_distraction, prosthesis" in found["devices.big_toe"]
    assert "a number from 0 to 1000000000" in found["prices.visit"]
    assert "write the number without quotes" in found["prices.operation"]
    assert 'such as currency = "EUR"' in found["currency"]


@pytest.mark.parametrize("currency", ['""', '"  "'])
def test_prices_in_no_currency_are_refused(currency: str) -> None:
    assert set(faults_of(f"currency = {currency}\ndevices.prosthesis = 5")) == {"currency"}


def test_a_document_of_another_kind_is_refused() -> None:
    assert "a document of another kind" in faults_of("thumbwright_case = 1")["thumbwright_prices"]
    assert "thumbwright_prices = 2" in faults_of("thumbwright_prices = 2")["thumbwright_prices"]


@pytest.mark.parametrize("data", [b"\xff\xfe", b"[prices", b"{", b"[]", b"prices = 5", b"{}}"])
def test_what_is_no_price_list_is_refused_in_words(data: bytes) -> None:
    with pytest.raises(DocumentError, match="nothing was taken from it"):
        read_prices(data, "prices", TECHNIQUES)


amounts = st.floats(0, 1e9)
lists = st.builds(
    PriceList,
    currency=st.sampled_from(("EUR", "INR", "kr.", "\u20b9")),
    prices=st.dictionaries(st.sampled_from(list(Item)), amounts),
    devices=st.dictionaries(st.sampled_from(TECHNIQUES), amounts),
)


@given(prices=lists)
def test_a_written_list_reads_back_unchanged(prices: PriceList) -> None:
    assert read_prices(write_prices(prices), "prices", TECHNIQUES) == prices


def test_an_empty_list_can_be_written_and_read() -> None:
    assert read_prices(write_prices(PriceList()), "prices", ()) == PriceList()
