"""Time of a million ways to weigh 16 techniques by 12 criteria, against a peer.

Run as ``python benchmarks/acceptability.py``. The peer is pysensmcda with its own draws of weights
and its own loop over them, where it is installed; else the same loop written out plainly, which
is said. The peer takes fewer ways and its time is scaled, because each way costs it the same;
peer and ours are timed in turns in one run, on one thread, and the shortest of the turns counts.
The run fails if ours takes a second or more, or is less than forty times faster.
"""

import os
import sys
from collections.abc import Callable
from time import perf_counter
from typing import Any

os.environ.update(dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1"))

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.acceptability import acceptability
from thumbwright.core.comparison.criterion import (
    Criterion,
    CriterionKey,
    Direction,
    ValueFunction,
)
from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.core.comparison.preference import Unsaid, Voice
from thumbwright.core.foundations.sources import Basis, Provenance

TECHNIQUES, WAYS, PEER_WAYS, WORLDS = 16, 1_000_000, 20_000, 1_000
KEYS = tuple(CriterionKey)[:12]
TURNS = 3
LIMIT_S, LEAST_RATIO = 1.0, 40.0


def main() -> None:
    """Print the times and their ratio; end with an error if a limit is missed."""
    worlds = np.random.default_rng(3).random((WORLDS, TECHNIQUES, len(KEYS)), dtype=np.float32)
    sure, doubtful = made_table(worlds[:1]), made_table(worlds)
    name, peer = peer_way(np.asarray(worlds[0], dtype=np.float64))
    steps: dict[str, tuple[Callable[[], NDArray[Any]], int]] = {
        "ours, sure values": (lambda: ours(sure), WAYS),
        f"ours, {WORLDS} draws of values": (lambda: ours(doubtful), WAYS),
        name: (peer, PEER_WAYS),
    }
    seconds = dict.fromkeys(steps, float("inf"))
    firsts: dict[str, NDArray[Any]] = {}
    for _ in range(TURNS):
        for step, (run, ways) in steps.items():
            start = perf_counter()
            firsts[step] = run()
            seconds[step] = min(seconds[step], (perf_counter() - start) * WAYS / ways)
    print("| a million ways, 16 techniques, 12 criteria | s |\n|---|---|")
    for step, taken in seconds.items():
        print(f"| {step} | {taken:.3f} |")
    mine = max(taken for step, taken in seconds.items() if step.startswith("ours"))
    ratio = seconds[name] / mine
    apart = np.abs(firsts["ours, sure values"] - firsts[name]).max()
    print(f"times faster: {ratio:.0f}; largest difference of a first place: {apart:.4f}")
    if mine >= LIMIT_S or ratio < LEAST_RATIO:
        sys.exit(f"allowed are {LIMIT_S} s and {LEAST_RATIO:.0f} times faster at least")


def made_table(values: NDArray[np.float32]) -> PerformanceTable:
    """Return a table of values without a case."""
    names = tuple(f"technique {place}" for place in range(TECHNIQUES))
    criteria = tuple(
        Criterion(
            key=key,
            name=key.value,
            plain_name=key.value,
            unit="-",
            direction=Direction.MORE_IS_BETTER,
            value=ValueFunction(points=((0.0, 0.0), (1.0, 1.0)), words="So."),
            basis=Basis(provenance=Provenance.ASSUMED),
        )
        for key in KEYS
    )
    return PerformanceTable(
        techniques=names, names=names, criteria=criteria, performances={}, value_share=values.copy()
    )


def ours(table: PerformanceTable) -> NDArray[Any]:
    """Return how often each comes first, as the program finds it with all else it counts."""
    anyone = Unsaid(voice=Voice.PATIENT, counted=KEYS)
    rng = np.random.default_rng(1)
    return acceptability(table, anyone, weight_draws=WAYS, rng=rng).first_prob


def peer_way(matrix: NDArray[Any]) -> tuple[str, Callable[[], NDArray[Any]]]:
    """Return the peer with its name, or the plain loop where it is not installed."""
    try:
        from pysensmcda import calculate_preference, probabilistic  # noqa: PLC0415
    except ImportError:
        return "plain loop (pysensmcda is not installed)", lambda: plain_loop(matrix)

    def run() -> NDArray[Any]:
        drawn = probabilistic.monte_carlo_weights(
            len(KEYS), distribution="chisquare", num_samples=PEER_WAYS, params={"df": 2}
        )
        drawn = drawn / drawn.sum(axis=1, keepdims=True)
        calculate = getattr(calculate_preference, "calculate_preference", calculate_preference)
        kwargs = {"matrix": matrix, "types": np.ones(len(KEYS))}
        found = calculate(
            probabilistic.monte_carlo_weights, drawn, weighted_sum, kwargs, method_type=1
        )
        return np.asarray((found[:, 1] == 1).mean(axis=0))

    return "peer pysensmcda, scaled", run


def weighted_sum(matrix: NDArray[Any], weights: NDArray[Any], types: NDArray[Any]) -> NDArray[Any]:
    """Return the additive score, as the peer calls for it."""
    return np.asarray((matrix * types) @ weights)


def plain_loop(matrix: NDArray[Any]) -> NDArray[Any]:
    """Weigh one way after the other and rank by sorting."""
    rng = np.random.default_rng(2)
    counts = np.zeros((TECHNIQUES, TECHNIQUES))
    for _ in range(PEER_WAYS):
        weights = rng.dirichlet(np.ones(len(KEYS)))
        order = np.argsort(-weighted_sum(matrix, weights, np.ones(len(KEYS))))
        counts[order, np.arange(TECHNIQUES)] += 1
    return np.asarray(counts[:, 0] / PEER_WAYS)


if __name__ == "__main__":
    main()
