"""One invented plan in full, and films that look like films, for the tests of paper."""

from datetime import date

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance, Source
from thumbwright.documents.cited_sources import with_sources
from thumbwright.documents.figures import (
    CircleMark,
    LineMark,
    PointMark,
    Role,
    ScaleBar,
    film_drawing,
)
from thumbwright.documents.film_picture import film_jpeg, window_around
from thumbwright.documents.measured_rows import (
    Budget,
    BudgetRow,
    FilmSection,
    LengthRow,
    PixelPlace,
    ScaleBone,
    ScaleColumn,
    ToeCut,
)
from thumbwright.documents.paper_parts import Picture, PrintedNumber, Sentence, printed_share, said
from thumbwright.documents.plan_content import (
    CriteriaRow,
    CriteriaTable,
    FindingRow,
    Glance,
    Grade,
    InputHash,
    LevelSection,
    LevelShare,
    NotExaminedRow,
    OpenQuestion,
    OptionRow,
    OptionState,
    PlanPaper,
    SchemeLevel,
    Version,
)

BIBLIOGRAPHY = {
    key: Source(key=key, citation=citation, identifier=identifier, provenance=provenance)
    for key, citation, identifier, provenance in (
        ("invented-a-2001", "Invented A. Toes as thumbs. 2001", "no identifier", Provenance.READ),
        ("invented-b-1999", "Invented B. Levels of loss. 1999", "", Provenance.RECALLED),
        ("invented-c-2010", "Invented C. Not cited here. 2010", "", Provenance.READ),
    )
}
READ = Basis(provenance=Provenance.READ, source="invented-a-2001", locator="Table 2, row 3")
RECALLED = Basis(provenance=Provenance.RECALLED, source="invented-b-1999", locator="chapter 4")
COMMON = Basis(provenance=Provenance.COMMON_PRACTICE)
ASSUMED = Basis(provenance=Provenance.ASSUMED, locator="until the unit sets its own")


def _mm(value: float, doubt: float) -> PrintedNumber:
    low, high = value - 2 * doubt, value + 2 * doubt
    return PrintedNumber(
        words=f"{value:.1f} mm ({low:.1f} to {high:.1f})",
        value=value,
        unit="mm",
        low=low,
        high=high,
        level_prob=0.95,
        standard_uncertainty=doubt,
    )


def _bare(words: str, value: float, unit: str = "mm") -> PrintedNumber:
    return PrintedNumber(words=words, value=value, unit=unit)


GLANCE = Glance(
    level="level 3, at or about the MCP joint",
    level_prob=printed_share(0.82),
    missing_length=_mm(54.3, 0.9),
    plan_a="LEFT second toe, cut through the shaft of the second metatarsal",
    fallback="osteoplastic thumb with a flap from the forearm, in two stages",
    stops=(
        Sentence(text="The pulse on the back of the LEFT foot was not examined."),
        Sentence(text="Smoking must stop before free tissue is moved.", basis=COMMON),
    ),
)
FINDINGS = (
    FindingRow(group="Patient", name="dominant hand", found="right"),
    FindingRow(group="Patient", name="smoking", found="current, 10 cigarettes a day"),
    FindingRow(group="Injured thumb", name="CMC joint", found="present, mobile, 0° to 45°"),
    FindingRow(group="Injured thumb", name="first web", found="mild contracture, 40°, 32 mm"),
    FindingRow(group="Injured thumb", name="skin of the stump", found="sound"),
    FindingRow(group="LEFT foot", name="second toe", found="sound"),
    FindingRow(group="LEFT foot", name="pulse behind the inner ankle", found="strong"),
)
NOT_EXAMINED = (
    NotExaminedRow(
        group="LEFT foot", names=("pulse on the back of the foot", "Doppler of the web")
    ),
    NotExaminedRow(group="RIGHT foot", names=("every toe", "both pulses")),
)
FILMS = (
    FilmSection(
        name="right_hand.dcm",
        side="RIGHT hand",
        view="posteroanterior",
        calibration="metal ball of 25.0 mm seen on the film",
        mm_per_pixel=_bare("0.101 mm/px ± 0.001", 0.1012, "mm/px"),
        picture=Picture(
            name="right_hand.svg",
            alt="Film of the RIGHT thumb stump with the axis of the first metacarpal drawn.",
            caption="RIGHT hand, the stump. Solid: axis of the bone. Dotted circle: the ball.",
        ),
    ),
    FilmSection(
        name="left_hand.dcm",
        side="LEFT hand",
        view="posteroanterior",
        calibration="header, no ball on the film",
        mm_per_pixel=PrintedNumber(
            words="0.103 mm/px ± 0.003",
            value=0.1031,
            unit="mm/px",
            standard_uncertainty=0.003,
            basis=Basis(provenance=Provenance.RECALLED, locator="usual height of bone over film"),
        ),
        remarks=said("The header does not say how far the source stood from the detector."),
        picture=Unknown(reason="the picture was left out on request"),
    ),
    FilmSection(
        name="left_foot.dcm",
        side="LEFT foot",
        view="dorsoplantar",
        calibration="ruler of 100 mm laid beside the foot",
        mm_per_pixel=_bare("0.104 mm/px ± 0.001", 0.1043, "mm/px"),
        picture=Picture(
            name="left_foot.svg",
            alt="Film of the LEFT foot with the cut through the second metatarsal drawn.",
            caption="LEFT foot, second ray. Dash and dot: the cut, in its band. Dashes: joints.",
        ),
    ),
)
LENGTHS = (
    LengthRow(
        ray="RIGHT thumb, stump",
        name="first metacarpal",
        length=_mm(44.1, 0.5),
        film="right_hand.dcm",
    ),
    LengthRow(
        ray="LEFT thumb", name="first metacarpal", length=_mm(44.9, 0.6), film="left_hand.dcm"
    ),
    LengthRow(
        ray="LEFT thumb", name="proximal phalanx", length=_mm(31.2, 0.5), film="left_hand.dcm"
    ),
    LengthRow(ray="LEFT thumb", name="distal phalanx", length=_mm(22.3, 0.5), film="left_hand.dcm"),
    LengthRow(
        ray="LEFT second toe",
        name="middle phalanx",
        length=Unknown(reason="its head is not marked", needed=("the head of the middle phalanx",)),
        film="left_foot.dcm",
    ),
    LengthRow(
        ray="LEFT second toe", name="proximal phalanx", length=_mm(26.0, 0.5), film="left_foot.dcm"
    ),
)
BUDGETS = (
    Budget(
        result="missing length",
        value=_mm(54.3, 0.9),
        rows=(
            BudgetRow(
                contribution="scale of left_hand.dcm",
                standard_uncertainty=_bare("0.012", 0.012, "-"),
                sensitivity=_bare("98.4 mm", 98.4),
                effect_mm=_bare("1.18 mm", 1.18),
                kind="B",
                basis=Sentence(text="height of the bones over the detector", basis=ASSUMED),
            ),
            BudgetRow(
                contribution="placing of points",
                standard_uncertainty=_bare("0.31 mm", 0.31),
                sensitivity=_bare("−1.41", -1.41, "-"),
                effect_mm=_bare("−0.44 mm", -0.44),
                kind="A",
                degrees_of_freedom=9.0,
                basis=Sentence(text="five rounds by two observers"),
            ),
        ),
    ),
)
CUTS = (
    ToeCut(
        donor="LEFT second toe",
        cut=_mm(12.4, 0.9),
        measured_from="proximal to the line of the MTP joint",
        bone="second metatarsal",
        place="shaft, in its outer third",
        seen_at=PixelPlace(film="left_foot.dcm", column_px=611.5, row_px=1204.25),
        joints=(
            Sentence(text="The MTP joint stands where the MCP joint was.", basis=READ),
            Sentence(text="The PIP joint stands 3.1 mm short of where the IP joint was."),
        ),
        width_match=_bare("0.71: the toe's bone is 2.9 mm narrower than the stump's", 0.71, "-"),
        remarks=(
            Sentence(text="A second toe claws if its joints are not pinned.", basis=RECALLED),
        ),
    ),
    ToeCut(
        donor="RIGHT second toe",
        cut=Unknown(reason="no film of the RIGHT foot was given", needed=("a film of that foot",)),
        measured_from="from the line of the MTP joint",
        bone="not known",
        place="not known",
        seen_at=Unknown(reason="no film of the RIGHT foot was given"),
        joints=(),
        width_match=Unknown(reason="no film of the RIGHT foot was given"),
    ),
)
SCALE = (
    ScaleColumn(
        title="RIGHT stump",
        bones=(
            ScaleBone(name="first metacarpal", label="metacarpal", length_mm=44.1),
            ScaleBone(name="stretch", label="missing", length_mm=54.3, missing=True),
        ),
    ),
    ScaleColumn(
        title="LEFT thumb",
        bones=(
            ScaleBone(name="first metacarpal", label="metacarpal", length_mm=44.9),
            ScaleBone(name="proximal phalanx", label="proximal phalanx", length_mm=31.2),
            ScaleBone(name="distal phalanx", label="distal phalanx", length_mm=22.3),
        ),
    ),
    ScaleColumn(
        title="LEFT second toe, cut end on the stump",
        offset_mm=-14.0,
        bones=(
            ScaleBone(name="second metatarsal", label="metatarsal", length_mm=70.5),
            ScaleBone(name="proximal phalanx", label="proximal phalanx", length_mm=26.0),
            ScaleBone(name="middle phalanx", label="middle", length_mm=10.0),
            ScaleBone(name="distal phalanx", label="distal", length_mm=8.5),
        ),
        cut_mm=44.1,
        cut_low_mm=42.3,
        cut_high_mm=45.9,
    ),
)
LEVELS = LevelSection(
    shares=tuple(
        LevelShare(level=level, prob=printed_share(share))
        for level, share in (
            ("level 1, terminal phalanx", 0.0),
            ("level 2, neck of the proximal phalanx", 0.15),
            ("level 3, at or about the MCP joint", 0.82),
            ("level 4, base of the metacarpal, CMC joint kept", 0.03),
            ("level 5, through or proximal to the CMC joint", 0.0),
        )
    ),
    reasons=said("The metacarpal is kept in 98 % of its length."),
    schemes=(
        SchemeLevel(
            scheme="a scheme of four zones",
            grade="zone 3",
            reason="the proximal phalanx is lost",
            basis=RECALLED,
        ),
    ),
)
OPTIONS = (
    OptionRow(
        technique="second toe",
        state=OptionState.UNKNOWN,
        reasons=(Sentence(text="Every rule but one is met.", basis=READ),),
        warnings=(Sentence(text="Smokers lose toes more often.", basis=RECALLED),),
        settled_by=("the pulse on the back of the LEFT foot",),
    ),
    OptionRow(
        technique="great toe",
        state=OptionState.CLOSED,
        reasons=said("The patient will not have the great toe taken."),
    ),
    OptionRow(
        technique="osteoplastic thumb",
        state=OptionState.OPEN,
        reasons=(Sentence(text="A CMC joint that moves is kept.", basis=COMMON),),
    ),
)
CRITERIA = CriteriaTable(
    goals=("feeling", "length", "looks", "stability", "growth", "spare the donor site"),
    rows=(
        CriteriaRow(
            technique="second toe",
            grades=tuple(
                Grade(words=words, basis=RECALLED)
                for words in ("good", "good", "fair", "good", "good", "fair")
            ),
        ),
        CriteriaRow(
            technique="osteoplastic thumb",
            grades=(
                Grade(words="fair", basis=READ),
                Grade(words="good", basis=COMMON),
                Grade(words="poor", basis=RECALLED),
                Grade(words="good", basis=COMMON),
                Grade(words="none", basis=COMMON),
                Grade(words="unknown"),
            ),
        ),
    ),
)

EXAMPLE = with_sources(
    PlanPaper(
        case_id="EX-7",
        pseudonym="Heron",
        age="34 years",
        side="RIGHT hand",
        level="level 3, at or about the MCP joint",
        issued_on=date(2031, 5, 6),
        program="thumbwright 0.1.0",
        decides_nothing=(
            "This paper sets out what was found, what follows from it and what is not known. It "
            "decides nothing: the surgeon decides, with the patient."
        ),
        glance=GLANCE,
        findings=FINDINGS,
        not_examined=NOT_EXAMINED,
        films=FILMS,
        lengths=LENGTHS,
        budgets=BUDGETS,
        cuts=CUTS,
        scale=SCALE,
        levels=LEVELS,
        options=OPTIONS,
        criteria=CRITERIA,
        plan_a=(Sentence(text="Move the LEFT second toe, cut 12.4 mm proximal to its MTP joint."),),
        plan_b=(Sentence(text="Osteoplastic thumb, if no vessel can be joined.", basis=COMMON),),
        open_questions=(
            OpenQuestion(
                question="whether the LEFT second toe can be had",
                because="its artery was not examined",
                settled_by=("the pulse on the back of the LEFT foot", "Doppler of the first web"),
            ),
        ),
        cautions=said("All figures here are invented.", "Check the side on the patient."),
        inputs=(InputHash(name="right_hand.dcm", sha256="0123456789abcdef" * 4),),
        versions=(Version(name="program", version="thumbwright 0.1.0"),),
    ),
    BIBLIOGRAPHY,
)

FILM_WIDTH, FILM_HEIGHT = 700, 1000


def _film(seed: int) -> NDArray[np.uint8]:
    """Return a grey picture with a soft shadow, four bones in a row, a ball and some noise."""
    rows, columns = np.mgrid[0:FILM_HEIGHT, 0:FILM_WIDTH].astype(float)
    grey = 60.0 * np.exp(-(((columns - 350) / 130) ** 4)) * (rows > 60)
    for top, bottom, waist in ((690, 990, 26), (430, 680, 22), (290, 420, 18), (150, 280, 16)):
        along = np.clip((rows - top) / (bottom - top), 0, 1)
        half = waist * (1 + 1.6 * (2 * along - 1) ** 4)
        inside = (rows > top) & (rows < bottom) & (abs(columns - 350) < half)
        grey += inside * (70 + 60 * (abs(columns - 350) / half) ** 2)
    grey += 110.0 * ((columns - 560) ** 2 + (rows - 300) ** 2 < 60**2)
    noise = np.random.default_rng(seed).normal(0, 5, grey.shape)
    shown: NDArray[np.uint8] = np.clip(gaussian_filter(grey, 2.0) + noise + 18, 0, 255).astype(
        np.uint8
    )
    return shown


def _drawing(side: str, seed: int) -> bytes:
    marks = (
        LineMark(start=(350, 985), end=(350, 695), role=Role.BONE_AXIS, label="metatarsal 70.5 mm"),
        LineMark(
            start=(350, 675), end=(350, 435), role=Role.BONE_AXIS, label="proximal phalanx 26.0 mm"
        ),
        LineMark(start=(290, 685), end=(410, 685), role=Role.JOINT_LINE, label="MTP joint"),
        LineMark(start=(300, 425), end=(400, 425), role=Role.JOINT_LINE, label="PIP joint"),
        LineMark(
            start=(270, 805),
            end=(430, 795),
            role=Role.CUT_LINE,
            label="cut, 12.4 mm proximal to the MTP joint",
            doubt_px=18,
        ),
        CircleMark(centre=(560, 300), radius_px=60, label="ball 25.0 mm"),
        PointMark(at=(350, 152), label="tip"),
        ScaleBar(length_mm=20, mm_per_px=0.104),
    )
    window = window_around(
        [(270, 985), (430, 150), (620, 300)], film_width=FILM_WIDTH, film_height=FILM_HEIGHT
    )
    return film_drawing(window, marks, side=side, jpeg=film_jpeg(_film(seed), window)).encode()


@pytest.fixture(scope="session")
def example() -> PlanPaper:
    """Return the invented plan."""
    return EXAMPLE


@pytest.fixture(scope="session")
def pictures() -> dict[str, bytes]:
    """Return the pictures of the invented plan."""
    return {
        "right_hand.svg": _drawing("RIGHT hand", 1),
        "left_foot.svg": _drawing("LEFT foot", 2),
    }
