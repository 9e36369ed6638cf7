"""The only module that knows the constraint solver (CP-SAT of OR-Tools).

Every search has a fixed seed, one worker unless more are asked for (then taking turns in a
fixed order), and a limit in deterministic work, never in seconds: the same question has the
same answer on every machine.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.aims import (
    Aim,
    Assignment,
    Broken,
    Found,
    FromBest,
    Job,
    Limit,
    MovedBy,
    Network,
    StartOf,
    Term,
)
from thumbwright.core.scheduling.problem import OneAtATime, Problem, StartsIn

_SEED = 20
_MOST_WORK = 120.0
"""Limit of one search in the solver's own unit of work, about as many seconds."""


class Search:
    """One problem given to the solver; each rule can be switched on and off."""

    def __init__(self, problem: Problem) -> None:
        from ortools.sat.python import cp_model  # noqa: PLC0415  heavy, and wanted by few commands

        self.problem = problem
        self._cp = cp_model
        self._known: dict[frozenset[int], bool] = {}

    def possible(self, rules: Iterable[int]) -> bool:
        """Tell whether some starts obey these rules together; the rest does not count.

        The rules are given without switches, because the solver then sees through them at once.
        """
        asked = frozenset(rules)
        if asked not in self._known:
            solver = self._solver()
            status = solver.solve(self._model(asked, ()).model)
            if status != self._cp.INFEASIBLE:
                self._demand_proof(status, self._cp.OPTIMAL, self._cp.FEASIBLE)
            self._known[asked] = status != self._cp.INFEASIBLE
        return self._known[asked]

    def _model(self, demanded: Iterable[int], optional: Iterable[int]) -> "_Model":
        """Return a model in which some rules are demanded and some can be switched."""
        made = _Model(self._cp, self.problem)
        for number in sorted(demanded):
            made.add(number, None)
        for number in sorted(optional):
            made.add(number, made.model.new_bool_var(f"rule {number}"))
        return made

    def best(self, demanded: Iterable[int], aims: Sequence[Aim]) -> Found | None:
        """Return starts that obey the demanded rules, with the aims made small one after another.

        Parameters
        ----------
        demanded
            Numbers of rules that must be kept; the others are kept where an aim wants it.
        aims
            The first counts most: a later one never worsens an earlier one.
        """
        wanted = frozenset(demanded)
        rest = frozenset(range(len(self.problem.rules))) - wanted
        made = self._model(wanted, {n for n in rest if self.problem.rules[n].wish})
        model, values = made.model, []
        answer: Any = None
        for aim in aims or ((),):
            total = sum(_term(made, term) for term in aim)
            model.clear_objective()
            model.minimize(total)
            solver = self._solver()
            status = solver.solve(model)
            if status == self._cp.INFEASIBLE:
                return None
            self._demand_proof(status, self._cp.OPTIMAL)
            answer = {key: int(solver.value(v)) for key, v in made.starts.items()}
            keeping = frozenset(n for n, v in made.kept.items() if solver.boolean_value(v))
            values.append(round(solver.objective_value))
            model.add(total <= values[-1])
            model.clear_hints()
            for key, v in made.starts.items():
                model.add_hint(v, answer[key])
        return Found(starts=answer, kept=keeping | wanted, values=tuple(values))

    def cheapest_break(
        self, demanded: Iterable[int], prices: Mapping[int, int], besides: Sequence[frozenset[int]]
    ) -> frozenset[int] | None:
        """Return the cheapest rules to give up so that the rest can hold, or None.

        Parameters
        ----------
        demanded
            Rules that are never given up.
        prices
            Price of each rule that may be given up.
        besides
            Answers that are already known and shall not be contained in the new one.
        """
        made = self._model(demanded, prices)
        model, kept = made.model, made.kept
        for known in besides:
            model.add_bool_or([kept[number] for number in sorted(known)])
        model.minimize(sum(price * (1 - kept[number]) for number, price in sorted(prices.items())))
        solver = self._solver()
        status = solver.solve(model)
        if status == self._cp.INFEASIBLE:
            return None
        self._demand_proof(status, self._cp.OPTIMAL)
        return frozenset(n for n in prices if not solver.boolean_value(kept[n]))

    def _demand_proof(self, status: object, *enough: object) -> None:
        if status not in enough:
            msg = (
                f"the search over {len(self.problem.tasks)} steps and {len(self.problem.rules)} "
                "rules was given up without a proof; allowed are questions that end within the "
                "fixed amount of work; look less far ahead"
            )
            raise ScheduleError(msg)

    def _solver(self) -> Any:  # noqa: ANN401  untyped library
        return _new_solver(self._cp, workers=1, work=_MOST_WORK)


class _Model:
    """A model that grows rule by rule."""

    def __init__(self, cp_model: Any, problem: Problem) -> None:  # noqa: ANN401  untyped library
        self.cp = cp_model
        self.problem = problem
        self.model: Any = cp_model.CpModel()
        self.lengths = problem.lengths()
        self.starts: dict[str, Any] = {
            task.key: self.model.new_int_var(0, max(0, problem.grid.steps - task.length), task.key)
            for task in problem.tasks
        }
        self.kept: dict[int, Any] = {}

    def add(self, number: int, literal: Any) -> None:  # noqa: ANN401  untyped library
        """Add a rule, demanded without a literal, else only where the literal is true."""
        if literal is not None:
            self.kept[number] = literal
        for one in self.problem.rules[number].constraints:
            if isinstance(one, OneAtATime):
                self._one_at_a_time(one, literal)
                continue
            if isinstance(one, StartsIn):
                inside = [[begin, end - 1] for begin, end in one.spans]
                domain = self.cp.Domain.from_intervals(inside)
                made = self.model.add_linear_expression_in_domain(self.starts[one.task], domain)
            else:
                gap = self.starts[one.after] - self.starts[one.before] - self.lengths[one.before]
                most = 10 * self.problem.grid.steps if one.most is None else one.most
                made = self.model.add_linear_constraint(gap, one.least, most)
            if literal is not None:
                made.only_enforce_if(literal)

    def _one_at_a_time(self, one: OneAtATime, literal: Any) -> None:  # noqa: ANN401
        there = self.model.new_constant(1) if literal is None else literal
        self.model.add_no_overlap(
            [
                self.model.new_optional_fixed_size_interval_var(
                    self.starts[task], self.lengths[task], there, f"{task} at a time"
                )
                for task in one.tasks
            ]
        )


def _new_solver(cp_model: Any, *, workers: int, work: float) -> Any:  # noqa: ANN401
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = _SEED
    solver.parameters.num_workers = workers
    solver.parameters.interleave_search = workers > 1
    solver.parameters.max_deterministic_time = work
    return solver


def _term(made: _Model, term: Term) -> Any:  # noqa: ANN401  untyped library
    model, starts, problem = made.model, made.starts, made.problem
    if isinstance(term, StartOf):
        return term.weight * starts[term.task]
    if isinstance(term, Broken):
        return term.weight * (1 - made.kept[term.rule]) if term.rule in made.kept else 0
    if isinstance(term, FromBest):
        off = starts[term.after] - starts[term.before] - made.lengths[term.before] - term.steps
        return term.weight * _absolute(model, off, problem.grid.steps)
    if isinstance(term, MovedBy):
        return term.weight * _absolute(model, starts[term.task] - term.was, problem.grid.steps)
    stays = model.new_bool_var("")
    model.add(starts[term.task] == term.was).only_enforce_if(stays)
    return term.weight * (1 - stays)


def _absolute(model: Any, value: Any, most: int) -> Any:  # noqa: ANN401
    size = model.new_int_var(0, 4 * most, "")
    model.add(size >= value)
    model.add(size >= -value)
    return size


def shortest(jobs: Sequence[Job], capacities: Sequence[int], *, work: float = 60.0) -> Network:
    """Return the shortest plan of jobs with precedence on resources of limited capacity.

    Notes
    -----
    The projects of [kolisch-sprecher-1997]_ are of this kind; one of them is among the checks.
    """
    from ortools.sat.python import cp_model  # noqa: PLC0415  as above

    model: Any = cp_model.CpModel()
    horizon = sum(job.length for job in jobs)
    starts = {job.key: model.new_int_var(0, horizon, job.key) for job in jobs}
    ends = model.new_int_var(0, horizon, "end")
    bars = {
        job.key: model.new_fixed_size_interval_var(starts[job.key], job.length, job.key)
        for job in jobs
    }
    for job in jobs:
        model.add(starts[job.key] + job.length <= ends)
        for follower in job.followers:
            model.add(starts[follower] >= starts[job.key] + job.length)
    for place, capacity in enumerate(capacities):
        used = [job for job in jobs if job.demands[place]]
        model.add_cumulative(
            [bars[job.key] for job in used], [job.demands[place] for job in used], capacity
        )
    model.minimize(ends)
    solver = _new_solver(cp_model, workers=1, work=work)
    if solver.solve(model) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        msg = (
            f"a network of {len(jobs)} jobs on {tuple(capacities)} was given that has no plan; "
            "allowed are demands within the capacities and jobs that do not wait for each other "
            "in a circle; correct it"
        )
        raise ScheduleError(msg)
    return Network(
        starts={key: int(solver.value(v)) for key, v in starts.items()},
        makespan=int(solver.value(ends)),
        bound=round(solver.best_objective_bound),
    )


def assign(
    costs: Sequence[Mapping[int, int]],
    without: Sequence[int],
    limits: Sequence[Limit],
    *,
    within_share: float,
    work: float,
) -> Assignment:
    """Give each item one place or none, at the lowest cost.

    Parameters
    ----------
    costs
        For each item the cost of each place that suits it.
    without
        Cost of giving an item no place.
    limits
        What may not be chosen together.
    within_share
        The search ends once the cost is within this share of the bound. [-]
    work
        Limit of the search. [deterministic seconds]
    """
    from ortools.sat.python import cp_model  # noqa: PLC0415  as above

    model: Any = cp_model.CpModel()
    chosen: dict[tuple[int, int], Any] = {}
    none = [model.new_bool_var("") for _ in costs]
    for item, places in enumerate(costs):
        for place in places:
            chosen[item, place] = model.new_bool_var("")
        model.add_exactly_one([none[item], *(chosen[item, place] for place in places)])
    for limit in limits:
        loads = limit.loads or (1,) * len(limit.pairs)
        there = [
            load * chosen[pair]
            for pair, load in zip(limit.pairs, loads, strict=True)
            if pair in chosen
        ]
        model.add(sum(there) <= limit.most)
    model.minimize(
        sum(costs[item][place] * v for (item, place), v in chosen.items())
        + sum(cost * v for cost, v in zip(without, none, strict=True))
    )
    solver = _new_solver(cp_model, workers=1, work=work)
    solver.parameters.relative_gap_limit = within_share
    if solver.solve(model) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        msg = "the search for lists found none in its work; allowed is more work; ask for fewer"
        raise ScheduleError(msg)
    return Assignment(
        places=tuple(
            next((p for p in sorted(mine) if solver.boolean_value(chosen[item, p])), None)
            for item, mine in enumerate(costs)
        ),
        cost=round(solver.objective_value),
        bound=round(solver.best_objective_bound),
    )
