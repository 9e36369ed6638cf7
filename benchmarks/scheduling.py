"""How long a booking and a quarter of a department take, against limits."""

import sys
import time
from pathlib import Path

# The invented unit is shared with the tests, which are no part of the package.
sys.path.append(str(Path(__file__).parents[1]))
from tests.core.scheduling.unit import request
from tests.core.scheduling.waiting_room import lists, waiting

from thumbwright.core.scheduling.clash import clash_of
from thumbwright.core.scheduling.department import plan_department
from thumbwright.core.scheduling.rules import problem_of
from thumbwright.core.scheduling.schedule import Schedule, schedule

ONE_CASE_S = 1.0
FORTY_CASES_S = 60.0
GAP_SHARE = 0.02
CASES = 40


def main() -> int:
    """Time bookings and plans; the exit status says whether all limits were kept."""
    schedule(request("skin_graft"))  # the solver is imported here
    kept = True
    print("| what | s | limit | kept |\n|---|---|---|---|")
    for technique in ("second_toe", "staged_osteoplastic", "metacarpal_distraction"):
        start = time.perf_counter()
        found = schedule(request(technique))
        took = time.perf_counter() - start
        ok = took <= ONE_CASE_S and isinstance(found, Schedule)
        print(f"| one case, {technique} | {took:.2f} | {ONE_CASE_S:.0f} | {ok} |")
        kept &= ok
    start = time.perf_counter()
    clash_of(problem_of(request(in_time_prob=0.97)))
    print(f"| smallest clash of a request | {time.perf_counter() - start:.2f} | - | - |")
    for number in (3, 4, 5):
        start = time.perf_counter()
        plan = plan_department(waiting(CASES, number), lists())
        took = time.perf_counter() - start
        ok = took <= FORTY_CASES_S and plan.gap_share <= GAP_SHARE
        words = f"{CASES} cases, twelve weeks, gap {plan.gap_share:.1%} of at most {GAP_SHARE:.0%}"
        print(f"| {words} | {took:.1f} | {FORTY_CASES_S:.0f} | {ok} |")
        kept &= ok
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
