"""What lies ahead with the techniques of the catalogue, and with the unit's prices."""

import numpy as np
import pytest
from tests.core.outlook.trees import BIBLIOGRAPHY, CONSEQUENCES, CORE, TABLE

from thumbwright.core.evidence.exposures import Exposure
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import UsedShare, pool
from thumbwright.core.evidence.risk import PatientRisk, patient_risk
from thumbwright.core.evidence.risk_factor import Fact, read_risk_factors
from thumbwright.core.evidence.study_table import read_studies
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.outlook.consequences import Event, read_consequences
from thumbwright.core.outlook.foresee import KnownAhead, Outlook, ShareAhead, foresee
from thumbwright.core.outlook.prices import Cost, Item, PriceList
from thumbwright.core.techniques.catalogue import read_catalogue

CATALOGUE = {
    one.key: one
    for one in read_catalogue(
        (CORE / "techniques" / "catalogue.toml").read_text("utf-8"), BIBLIOGRAPHY
    )
}
ARMS = read_studies((CORE / "evidence" / "studies.csv").read_text("utf-8"))
FACTORS = read_risk_factors((CORE / "evidence" / "risk_factors.csv").read_text("utf-8"))
PRICES = PriceList(
    currency="EUR",
    prices={
        Item.THEATRE_HOUR: 900,
        Item.HOSPITAL_DAY: 400,
        Item.OPERATION: 500,
        Item.VISIT: 50,
    },
)
FALLBACK = "staged_osteoplastic"


def smoking(key: str) -> dict[Outcome, PatientRisk]:
    smokes = Exposure(fact=Fact.SMOKES, present=True, because="the patient smokes")
    found = patient_risk(
        pool(ARMS, key, Outcome.LOSS), CATALOGUE[key], [smokes], FACTORS, np.random.default_rng(3)
    )
    assert isinstance(found, PatientRisk)
    return {Outcome.LOSS: found}


def ahead(
    *keys: str, prices: PriceList = PRICES, smokes: bool = False, pinch: float = 0.9
) -> dict[str, Outlook]:
    risks = {key: smoking(key) for key in keys} if smokes else {}
    found = foresee(
        [CATALOGUE[key] for key in keys],
        KnownAhead(arms=ARMS, consequences=CONSEQUENCES, prices=prices),
        risks,
        dict.fromkeys(keys, pinch),
        FALLBACK,
        seed=11,
    )
    return {one.technique: one for one in found}


def prob(share: ShareAhead | Unknown) -> float:
    assert isinstance(share, ShareAhead)
    return share.prob


def test_the_second_toe_lives_as_often_as_series_say() -> None:
    used = pool(ARMS, "second_toe", Outcome.LOSS).used
    assert isinstance(used, UsedShare)
    found = ahead("second_toe", FALLBACK)["second_toe"]
    independent_loss = float(np.mean(used.doubt.draws(np.random.default_rng(2), 200_000)))
    assert prob(found.lives) == pytest.approx(1 - independent_loss, abs=0.003)


def test_a_fallback_never_lowers_the_chance_of_a_thumb() -> None:
    for outlook in ahead("second_toe", "great_toe_wrap_around", "pollicization", FALLBACK).values():
        assert prob(outlook.lives_with_fallback) >= prob(outlook.lives)
        assert prob(outlook.useful) <= prob(outlook.lives_with_fallback)


def test_the_fallback_has_no_fallback_of_its_own() -> None:
    found = ahead("second_toe", FALLBACK)
    assert found["second_toe"].fallback == FALLBACK
    assert found[FALLBACK].fallback is None


def test_who_is_not_reopened_in_time_loses_more() -> None:
    found = ahead("second_toe")["second_toe"]
    assert prob(found.lives_if_late) < prob(found.lives) - 0.01


def test_a_patient_at_higher_risk_loses_more() -> None:
    smoker = ahead("second_toe", smokes=True)
    assert prob(smoker["second_toe"].lives) < prob(ahead("second_toe")["second_toe"].lives)
    assert Fact.SMOKES.words in getattr(smoker["second_toe"].loss_in_series, "basis_in_words", "")


def test_simulation_and_tree_agree_for_every_technique_of_the_catalogue() -> None:
    for outlook in ahead(*CATALOGUE).values():
        for name, burden in outlook.burden.items():
            error = max(burden.monte_carlo_error, 1e-9)
            # 24 techniques with five burdens: the largest of 120 normal deviates is below 4.5.
            assert abs(burden.mean - outlook.expected.burden[name]) < 4.5 * error


def test_what_no_series_counted_is_named_and_not_called_safe() -> None:
    found = ahead("metacarpal_distraction", "no_operation")
    assert isinstance(found["metacarpal_distraction"].lives, Unknown)
    assert "loss" in found["metacarpal_distraction"].not_counted
    assert isinstance(found["no_operation"].lives, Unknown)
    assert found["no_operation"].not_counted == ()


def test_a_technique_has_one_outlook_whatever_else_is_open() -> None:
    alone, among = ahead("second_toe", FALLBACK), ahead("great_toe", FALLBACK, "second_toe")
    assert alone["second_toe"].burden == among["second_toe"].burden


def test_nothing_is_priced_before_the_unit_entered_its_prices() -> None:
    found = ahead("second_toe", prices=PriceList())["second_toe"].cost
    assert isinstance(found, Unknown)
    assert "an hour in theatre" in found.reason


def test_complications_are_priced_apart() -> None:
    found = ahead("second_toe", FALLBACK)["second_toe"]
    assert isinstance(found.cost, Cost)
    mean = found.burden
    by_hand_total = (
        900 * mean["hours"].mean
        + 400 * mean["days"].mean
        + 500 * mean["operations"].mean
        + 50 * mean["visits"].mean
    )
    assert found.cost.planned + found.cost.complications == pytest.approx(by_hand_total)
    assert found.cost.total_p90 > found.cost.planned + found.cost.complications


def test_a_price_below_nought_or_without_a_currency_is_refused() -> None:
    with pytest.raises(KnowledgeError, match="allowed are numbers from 0 on"):
        PriceList(currency="EUR", prices={Item.VISIT: -1})
    with pytest.raises(KnowledgeError, match="currency that is named"):
        PriceList(prices={Item.VISIT: 1})


@pytest.mark.parametrize(
    ("spoilt", "says"),
    [
        (TABLE.replace("[events.infection]", "[events.infections]"), "could not be read"),
        (TABLE.replace("[1.5, 5.0,", "[5.0, 1.5,"), "lower number first"),
        (TABLE.replace('"assumed"]', '"read", "nobody-1999", "abstract"]'), "nobody-1999"),
        ("events = [", "could not be read"),
    ],
)
def test_a_spoilt_table_of_consequences_is_refused(spoilt: str, says: str) -> None:
    with pytest.raises(KnowledgeError, match=says):
        read_consequences(spoilt, BIBLIOGRAPHY)


def test_donor_trouble_is_asked_only_where_something_is_taken() -> None:
    found = ahead("second_toe", "stump_trimming")
    assert Event.DONOR_TROUBLE in found["second_toe"].events
    assert Event.DONOR_TROUBLE not in found["stump_trimming"].events
