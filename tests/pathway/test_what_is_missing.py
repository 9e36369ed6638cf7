"""A plan from less than everything: what is not known stays unknown, and nothing falls over."""

from dataclasses import replace
from datetime import date

import pytest
from tests.pathway.five_cases import Built, planned

from thumbwright.bootstrap import knowledge, versions
from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, Side
from thumbwright.core.case.goals import Wishes
from thumbwright.core.case.hand import Joint, OtherThumb
from thumbwright.core.case.injury import Injury, Mechanism
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.image import HeaderSpacing, View
from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.core.techniques.eligibility import Verdict
from thumbwright.documents.compose import compose
from thumbwright.documents.plan_report import write_json, write_pdf
from thumbwright.pathway.plan_case import Plan

BARE = Case(
    case_id="bare",
    examined_on=date(2026, 11, 1),
    patient=Patient(pseudonym="Bare", birth_date=date(1990, 1, 1), sex=Sex.MALE),
    injury=Injury(side=Side.RIGHT, mechanism=Mechanism.CRUSH),
)
CUTS_NOTHING = {"prosthesis", "no_operation"}
"""Open to everyone who has not refused them."""


def unknown_lengths(plan: Plan) -> set[str]:
    lengths = plan.lengths
    named = {
        "stump": lengths.stump,
        "wanted": lengths.wanted.length,
        "missing": lengths.missing,
        "metacarpal": lengths.metacarpal_left,
    }
    return {name for name, length in named.items() if isinstance(length, Unknown)}


def paper_of(plan: Plan) -> bytes:
    paper, drawings = compose(plan, knowledge(), (), versions())
    assert write_json(paper)
    return write_pdf(paper, drawings)


@pytest.mark.parametrize("with_films", [True, False])
def test_where_nothing_was_examined_nothing_is_open_by_silence(
    five: dict[str, Built], with_films: bool
) -> None:
    plan = (
        five["joiner"].planned(case=BARE) if with_films else planned(BARE, {}, FilmNotes(films=()))
    )
    opened = {one.technique.key for one in plan.options if one.verdict is Verdict.OPEN}
    assert opened == CUTS_NOTHING
    assert isinstance(plan.ranking.plan_a, Unknown)
    assert plan.ranking.plan_a.needed
    waiting = [one for one in plan.options if one.verdict is Verdict.UNKNOWN]
    assert waiting
    assert all(one.would_settle for one in waiting)


def test_without_films_and_examination_the_level_is_unknown_and_a_film_is_asked_for() -> None:
    plan = planned(BARE, {}, FilmNotes(films=()))
    assert isinstance(plan.level.level, Unknown)
    assert plan.level.level.needed == ("a film of the left hand",)
    assert unknown_lengths(plan) == {"stump", "wanted", "missing", "metacarpal"}


def test_without_foot_films_no_cut_is_stated_and_each_foot_is_asked_for(
    five: dict[str, Built],
) -> None:
    built = five["joiner"]
    plan = built.planned(notes=built.notes_without("foot_left.dcm", "foot_right.dcm"))
    for toe in plan.toes:
        assert isinstance(toe.toe.cut, Unknown)
        assert toe.toe.cut.needed == (f"a film of the {toe.toe.side.value} foot",)
        assert isinstance(toe.widths, Unknown)
    assert plan.lengths.missing == built.plan.lengths.missing
    assert plan.options == built.plan.options


def test_without_the_film_of_the_other_hand_stump_and_examination_are_all_there_is(
    five: dict[str, Built],
) -> None:
    built = five["joiner"]
    plan = built.planned(notes=built.notes_without("hand_left.dcm"))
    assert unknown_lengths(plan) == {"wanted", "missing"}
    assert isinstance(plan.level.level, Unknown)
    assert plan.level.allowed == (Level.PROXIMAL_PHALANX, Level.MCP_JOINT)


@pytest.mark.parametrize("state", [OtherThumb.LOST, OtherThumb.DAMAGED])
def test_with_the_other_thumb_lost_the_length_comes_from_proportions_and_says_so(
    five: dict[str, Built], state: OtherThumb
) -> None:
    built = five["joiner"]
    plan = built.planned(case=replace(built.intake.case, other_thumb=state))
    wanted, missing = plan.lengths.wanted, plan.lengths.missing
    assert wanted.basis.provenance is Provenance.RECALLED
    assert "from memory, unverified" in wanted.words
    assert isinstance(missing, Measured)
    assert isinstance(built.plan.lengths.missing, Measured)
    assert missing.interval().low < built.true_missing_mm < missing.interval().high
    assert missing.uncertainty > 4 * built.plan.lengths.missing.uncertainty


def test_a_film_without_calibration_leaves_lengths_unknown_and_the_paper_is_written(
    five: dict[str, Built],
) -> None:
    intake = five["girl"].intake
    films = {
        name: replace(film, header=replace(film.header, spacing=HeaderSpacing()))
        for name, film in intake.films.items()
    }
    notes = FilmNotes(films=tuple(replace(note, ball=None) for note in intake.notes.films))
    plan = planned(intake.case, films, notes)
    assert unknown_lengths(plan) == {"stump", "wanted", "missing", "metacarpal"}
    assert all(isinstance(reading.scale, Unknown) for reading in plan.readings)
    assert plan.lengths.rays == ()
    assert paper_of(plan).startswith(b"%PDF")


def test_points_that_nobody_confirmed_are_never_measured(five: dict[str, Built]) -> None:
    built = five["girl"]
    proposed = FilmNotes(
        films=tuple(
            replace(
                note, placements=tuple(replace(one, confirmed=False) for one in note.placements)
            )
            for note in built.intake.notes.films
        )
    )
    plan = built.planned(notes=proposed)
    assert plan.lengths.rays == ()
    assert isinstance(plan.lengths.missing, Unknown)
    assert "not confirmed" in plan.lengths.missing.reason
    assert "a person who places and confirms" in plan.lengths.missing.needed[0]


def test_an_unconfirmed_round_beside_confirmed_ones_changes_nothing(
    five: dict[str, Built],
) -> None:
    built = five["girl"]
    notes = []
    for note in built.intake.notes.films:
        first = note.placements[0]
        wild = dict.fromkeys(first.points, (0.0, 0.0))
        proposal = replace(first, observer="program", confirmed=False, points=wild)
        notes.append(replace(note, placements=(*note.placements, proposal)))
    assert built.planned(notes=FilmNotes(films=tuple(notes))).lengths == built.plan.lengths


def test_a_slanted_view_is_not_measured(five: dict[str, Built]) -> None:
    intake = five["girl"].intake
    hurt = "hand_left.dcm"
    film = intake.films[hurt]
    films = {
        **intake.films,
        hurt: replace(film, header=replace(film.header, view=View.OBLIQUE)),
    }
    notes = FilmNotes(
        films=tuple(
            replace(note, view=View.OBLIQUE) if note.file == hurt else note
            for note in intake.notes.films
        )
    )
    plan = planned(intake.case, films, notes)
    assert isinstance(plan.lengths.stump, Unknown)
    assert "oblique" in plan.lengths.stump.reason


def test_two_films_of_one_part_are_named_and_the_first_is_measured(
    five: dict[str, Built],
) -> None:
    intake = five["girl"].intake
    again = replace(intake.films["hand_right.dcm"], name="hand_right_2.dcm")
    note = next(one for one in intake.notes.films if one.file == "hand_right.dcm")
    notes = FilmNotes(films=(*intake.notes.films, replace(note, file="hand_right_2.dcm")))
    films = {**intake.films, "hand_right_2.dcm": again}
    plan = planned(intake.case, films, notes)
    assert any("hand_right_2.dcm" in remark for remark in plan.lengths.remarks)
    assert plan.lengths.missing == five["girl"].plan.lengths.missing


def test_without_goals_every_goal_counts_alike_and_a_plan_is_still_ranked(
    five: dict[str, Built],
) -> None:
    built = five["girl"]
    plan = built.planned(case=replace(built.intake.case, wishes=Wishes()))
    shares = set(plan.ranking.weights.share.values())
    assert len(shares) == 1
    assert not isinstance(plan.ranking.plan_a, Unknown)


def test_film_against_examination_is_a_conflict_and_no_level_is_chosen(
    five: dict[str, Built],
) -> None:
    built = five["joiner"]
    kept = built.intake.case.kept
    gone = replace(built.intake.case, kept=replace(kept, mcp=Joint(present=Finding.NO)))
    plan = built.planned(case=gone)
    assert "level 2" in plan.level.conflict
    assert "level 3" in plan.level.conflict
    assert isinstance(plan.situation.level_prob, Unknown)
    assert {Level.PROXIMAL_PHALANX, Level.MCP_JOINT, Level.METACARPAL} <= set(
        plan.situation.plausible_levels
    )
    # Second toe with its joint: not indicated at level 2, yet indicated at level 4.
    verdicts = {one.technique.key: one.verdict for one in plan.options}
    assert verdicts["second_toe_with_mtp_joint"] is Verdict.UNKNOWN


def test_an_unknown_day_of_loss_is_said_and_asked_for(five: dict[str, Built]) -> None:
    plan = five["joiner"].planned(case=BARE)
    assert isinstance(plan.situation.days_since_loss, Unknown)
    assert plan.situation.days_since_loss.needed == ("day of the loss",)


def test_growth_that_age_does_not_settle_is_unknown_in_the_plan(five: dict[str, Built]) -> None:
    patient = replace(BARE.patient, birth_date=date(2012, 1, 1), sex=Sex.FEMALE)
    plan = five["joiner"].planned(case=replace(BARE, patient=patient))
    assert isinstance(plan.situation.growing, Unknown)
