"""What the weighing shows, in words and counts that a family can follow."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.acceptability import Acceptability
from thumbwright.core.comparison.clauses import capital
from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.preference import Joint, Preference, Voice
from thumbwright.core.comparison.regret import Regret
from thumbwright.core.comparison.weighing import View, Weighing
from thumbwright.core.comparison.weight_turning_points import WeightTurn
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.rule_answers import listed

_TO_WHOM = {
    Voice.PATIENT: "you",
    Voice.GUARDIAN: "you as parents",
    Voice.SURGEON: "the surgeon",
}
_MOST_NAMED = 3
_LEAST_CONFIDENCE_PROB = 0.5
_PLAIN_MOST = 2


def counts_of_100(shares: Sequence[float] | NDArray[np.float64]) -> tuple[int, ...]:
    """Round shares to whole counts of 100 that add up to 100.

    Notes
    -----
    What is left after rounding down goes to the largest remainders.

    Examples
    --------
    >>> counts_of_100([1 / 3, 1 / 3, 1 / 3])
    (34, 33, 33)
    """
    exact = 100 * np.asarray(shares, dtype=float)
    counts = np.floor(exact + 1e-9).astype(int)
    missing = 100 - int(counts.sum())
    for place in np.argsort(-(exact - counts), kind="stable")[:missing]:
        counts[place] += 1
    return tuple(int(count) for count in counts)


def first_place_words(found: Acceptability, preference: Preference) -> tuple[str, ...]:
    """Say how often each technique came first.

    Examples
    --------
    The first sentence reads: "Of 100 ways to weigh what matters to you, the second toe came
    first in 62."
    """
    counts = dict(zip(found.techniques, counts_of_100(found.first_prob), strict=True))
    names = dict(zip(found.techniques, found.names, strict=True))
    first, *others = found.in_order
    count = _count(counts[first], found.first_prob_of(first))
    whom = _to_whom(preference)
    said = [f"Of 100 ways to weigh what matters to {whom}, {names[first]} came first in {count}."]
    named = [key for key in others if counts[key] > 0][:_MOST_NAMED]
    said += [f"{capital(names[key])} came first in {counts[key]}." for key in named]
    if others and not named:
        said.append("None of the others came first.")
    return tuple(said)


def confidence_words(found: Acceptability) -> str:
    """Say whether what is known of the leader is sure enough."""
    name, confidence = found.names[found.place_of(found.leader)], found.confidence_of(found.leader)
    if isinstance(confidence, Unknown):
        return "We do not know enough to say which one comes first."
    count = _count(round(100 * confidence), confidence)
    said = f"For people who like {name} best, it held first place in {count} of 100 tries."
    if confidence < _LEAST_CONFIDENCE_PROB:
        return f"{said} That is not much. We should find out more before you choose."
    return said


def regret_words(regret: Regret) -> str:
    """Say what is given away by a choice."""
    points, most = 100 * regret.expected_share, 100 * regret.p90_share
    name = capital(regret.name)
    best = _count(round(100 * regret.least_prob), regret.least_prob)
    if round(most) == 0:
        return f"{name} is hardly ever the worse choice."
    return (
        f"If you choose {regret.name}, it is the best choice in {best} of 100 cases. "
        f"On the whole you give up about {_points(points)} out of 100. "
        f"In 9 of 10 cases you give up no more than {_points(most)}."
    )


def turn_words(turn: WeightTurn, view: View, criteria: Criteria) -> str:
    """Say which change of mind would change the first place."""
    plain = criteria[turn.key].plain_name
    names = dict(zip(view.found.techniques, view.found.names, strict=True))
    how = "more" if turn.turn_share >= turn.now_share else "less"
    return (
        f"If {plain} mattered {how} to {_to_whom(view.preference)}, {names[turn.new_leader]} would "
        f"come first. It now counts {round(100 * turn.now_share)} parts of 100. The change comes "
        f"at {round(100 * turn.turn_share)}."
    )


def information_words(view: View) -> str:
    """Say which examination would help most, if any would."""
    asked = [one for one in (*view.openings, *view.information) if one.changes_prob > 0]
    if not asked:
        return "No test that we know of would change which one comes first."
    best = max(asked, key=lambda one: (one.changes_prob, one.gain_share))
    count = _count(round(100 * best.changes_prob), best.changes_prob)
    return (
        f"One test could change the choice: {best.examination}. "
        f"In about {count} of 100 cases it would put another way first."
    )


def voice_words(view: View, criteria: Criteria) -> tuple[str, ...]:
    """Say what one voice puts first, how sure that is, and what would change it."""
    return (
        *first_place_words(view.found, view.preference),
        confidence_words(view.found),
        *(turn_words(turn, view, criteria) for turn in view.turns[:_PLAIN_MOST]),
        information_words(view),
    )


def together_words(weighing: Weighing) -> tuple[str, ...]:
    """Say whether the voices put the same one first, and what the joint view is."""
    if weighing.joint is None:
        return ()
    leaders = {view.found.leader for view in weighing.views}
    same = (
        "You all put the same one first."
        if len(leaders) == 1
        else "You do not all put the same one first. Talk about what matters most to each."
    )
    return (same, weighing.joint.preference.words, _joint_first(weighing.joint.found))


def family_sentences(weighing: Weighing, criteria: Criteria) -> Iterator[str]:
    """Yield all that a family is told of the weighing: each voice for itself, then all."""
    for view in weighing.views:
        yield from voice_words(view, criteria)
    yield from together_words(weighing)
    if weighing.out:
        names = listed(list(dict.fromkeys(one.name for one in weighing.out)))
        yield f"These ways are not open to you, and the plan says why: {names}."
    yield "The counts do not choose for you. You choose, with your surgeon."


def _joint_first(found: Acceptability) -> str:
    place = found.place_of(found.leader)
    counts = counts_of_100(found.first_prob)
    return f"All voices together: {found.names[place]} came first in {counts[place]} of 100."


def _to_whom(preference: Preference) -> str:
    return "all of you" if isinstance(preference, Joint) else _TO_WHOM[preference.voice]


def _count(count: int, prob: float) -> str:
    if count == 0 and prob > 0:
        return "fewer than 1"
    if count == 100 and prob < 1:
        return "more than 99"
    return str(count)


def _points(points: float) -> str:
    whole = round(points)
    return "less than 1 point" if whole == 0 else f"{whole} point{'s' if whole > 1 else ''}"
