"""Rules of eligibility about the patient: refusals, age, and health that matters to healing."""

from thumbwright.core.case.examined import Finding, NotExamined
from thumbwright.core.case.goals import Refusal
from thumbwright.core.case.patient import Smoking
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Published
from thumbwright.core.techniques.rule_answers import (
    ASSUMED,
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    read_at,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Take, Technique, Toe

_LONG_OPERATION = Published(value=4.0, unit="h", basis=ASSUMED)
_SEVERE_ASA = 4
_DYING_ASA = 5
_MANY_CIGARETTES = Published(value=20.0, unit="per day", basis=read_at("zhu-2017"))
_ON_SMOKING = (
    read_at("hwang-2018"),
    read_at("zhu-2017"),
    read_at("ehrl-2018"),
    read_at("shaterian-2018"),
)
_GROIN_FLAP_AGE = Published(value=50.0, unit="years", basis=read_at("groin-morbidity-44"))
_TAKEN = {
    Refusal.LOSS_OF_A_FINGER: Take.FINGER,
    Refusal.ABDOMINAL_OR_GROIN_FLAP: Take.GROIN_FLAP,
    Refusal.FOREARM_SCAR: Take.FOREARM_FLAP,
    Refusal.ILIAC_BONE: Take.ILIAC_BONE,
    Refusal.EXTERNAL_FIXATOR: Take.EXTERNAL_FIXATOR,
    Refusal.PROSTHESIS: Take.PROSTHESIS,
}
_REFUSED_TOES = {Refusal.GREAT_TOE: Toe.GREAT, Refusal.SECOND_TOE: Toe.SECOND}


def toes_not_refused(technique: Technique, situation: Situation) -> tuple[Toe, ...]:
    """Return the donor toes of a technique that the patient has not refused."""
    refusals = situation.case.wishes.refusals
    if Refusal.ANY_TOE in refusals:
        return ()
    refused = {_REFUSED_TOES[one] for one in refusals if one in _REFUSED_TOES}
    return tuple(toe for toe in technique.donor_toes if toe not in refused)


def asks_for(technique: Technique, refusal: Refusal) -> bool:
    """Return whether a technique asks for something that a refusal names, toes left aside."""
    match refusal:
        case Refusal.ANY_OPERATION:
            return technique.is_operation
        case Refusal.MICROSURGERY:
            return technique.needs_microsurgery
        case Refusal.SEVERAL_STAGES:
            return technique.stages > 1
        case Refusal.ANY_TOE | Refusal.GREAT_TOE | Refusal.SECOND_TOE:
            return False
        case _:
            return _TAKEN[refusal] in technique.takes


def patient_has_not_refused_it(technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask whether the patient will have what the technique takes and asks for."""
    refused = [
        refusal.value.replace("_", " ")
        for refusal in situation.case.wishes.refusals
        if asks_for(technique, refusal)
    ]
    if refused:
        return NotMet(
            reason=f"The patient has refused: {', '.join(refused)}.", basis=COMMON_PRACTICE
        )
    if technique.donor_toes and not toes_not_refused(technique, situation):
        return NotMet(
            reason="The patient has refused the toe it takes from; the refusal of a toe is taken "
            "to include parts of it, until the patient says otherwise.",
            basis=COMMON_PRACTICE,
        )
    return Met(reason="The patient has not refused what it takes.", basis=COMMON_PRACTICE)


def patient_bears_the_operation(technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask whether the patient's general state bears an operation of this length."""
    asa_class = situation.case.patient.asa_class
    long = _is_long(technique)
    if isinstance(asa_class, NotExamined):
        return _without_asa_class(long=long)
    stated = f"ASA class {asa_class}"
    if asa_class >= _DYING_ASA or (asa_class >= _SEVERE_ASA and long):
        what = "a long operation" if asa_class < _DYING_ASA else "an operation"
        return NotMet(reason=f"{stated}: {what} is not risked.", basis=COMMON_PRACTICE)
    if asa_class >= _SEVERE_ASA:
        return Advice(
            reason=f"{stated}: even a short operation is weighed with the anaesthetist.",
            basis=COMMON_PRACTICE,
            grave=True,
        )
    return Met(reason=f"{stated}.", basis=COMMON_PRACTICE)


def _is_long(technique: Technique) -> bool:
    hours = technique.hours
    return (
        isinstance(hours, Unknown) or hours.high / max(technique.stages, 1) >= _LONG_OPERATION.value
    )


def _without_asa_class(*, long: bool) -> RuleAnswer:
    if long:
        return Unsettled(
            reason="The ASA class is not stated; a long operation asks for it.",
            basis=COMMON_PRACTICE,
            needed=("the ASA class",),
        )
    return Advice(reason="The ASA class is not stated.", basis=COMMON_PRACTICE)


def smoking_is_no_burden(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Warn of smoking, on which the sources disagree."""
    patient = situation.case.patient
    basis = read_at("replant-necrosis-review")
    if patient.smoking is Smoking.NEVER:
        return Met(reason="The patient has never smoked.", basis=basis)
    if patient.smoking is Smoking.FORMER:
        return Met(reason="The patient has stopped smoking.", basis=read_at("hwang-2018"))
    if patient.smoking is Smoking.NOT_EXAMINED:
        return Advice(reason="Smoking was not asked about.", basis=basis)
    daily = patient.cigarettes_per_day
    many = not isinstance(daily, NotExamined) and daily > _MANY_CIGARETTES.value
    amount = f", {daily:g} cigarettes a day" if many else ""
    return Advice(
        reason=f"The patient smokes{amount}. Necrosis of replanted digits was more frequent in "
        "smokers (odds ratio 3.48, 1.96 to 6.17), and loss of flaps when smoking had stopped for "
        "24 h only (4.9); a week before and after is advised. One series found it only above 20 a "
        "day, and two large ones not at all.",
        basis=basis,
        further=_ON_SMOKING,
    )


def diabetes_is_absent(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Warn of diabetes."""
    basis = read_at("david-2018")
    diabetes = situation.case.patient.diabetes
    if diabetes is Finding.NO:
        return Met(reason="No diabetes.", basis=basis)
    if diabetes is Finding.NOT_EXAMINED:
        return Advice(reason="Diabetes was not asked about.", basis=basis)
    return Advice(
        reason="Diabetes: deep infection was more frequent after free flaps (odds ratio 1.35), "
        "and wounds opened more often (1.17); loss of the flap was not more frequent.",
        basis=basis,
    )


def arteries_are_healthy(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise against vascular surgery on diseased arteries."""
    basis = read_at("lese-2020")
    disease = situation.case.patient.vascular_disease
    if disease is Finding.NO:
        return Met(reason="No disease of the arteries.", basis=basis)
    if disease is Finding.NOT_EXAMINED:
        return Advice(reason="Disease of the arteries was not asked about.", basis=basis)
    return Advice(
        reason="Disease of the arteries: in an index of it with heart disease, diabetes, smoking "
        "and high pressure, moderate risk had 9.3 times and high risk 18.6 times the odds of "
        "vascular trouble in free flaps.",
        basis=basis,
        grave=True,
    )


def blood_clots_normally(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise against joined vessels where blood clots too much or too little."""
    disorder = situation.case.patient.clotting_disorder
    if disorder is Finding.NO:
        return Met(reason="No disorder of clotting.", basis=COMMON_PRACTICE)
    if disorder is Finding.NOT_EXAMINED:
        return Advice(reason="A disorder of clotting was not asked about.", basis=COMMON_PRACTICE)
    return Advice(
        reason="A disorder of clotting endangers joined vessels; ask a haematologist first.",
        basis=COMMON_PRACTICE,
        grave=True,
    )


def age_suits_a_groin_flap(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise against weeks with the hand at the groin in older people."""
    if situation.age_years <= _GROIN_FLAP_AGE.value:
        return Met(reason="Not older than 50 years.", basis=_GROIN_FLAP_AGE.basis)
    return Advice(
        reason="Over 50 years other cover is advised: four of five general complications of groin "
        "flaps befell people of 55 or more.",
        basis=_GROIN_FLAP_AGE.basis,
        grave=True,
    )
