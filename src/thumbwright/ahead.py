"""Joins the pieces that look ahead with each technique of a case and write the report of it."""

import datetime as dt
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from thumbwright.bootstrap import (
    Progress,
    bytes_of,
    demand_place,
    knowledge,
    safe_name,
    take_in,
    versions,
    write_whole,
)
from thumbwright.core.outlook.prices import PriceList
from thumbwright.documents.compose_foresight import compose_foresight
from thumbwright.documents.plan_content import InputHash
from thumbwright.documents.report_content import Report
from thumbwright.documents.report_printing import write_report_json, write_report_pdf
from thumbwright.interchange.price_list import read_prices
from thumbwright.pathway.foresee_case import Foresight, foresee_case
from thumbwright.pathway.plan_case import plan_case


@dataclass(frozen=True, slots=True, kw_only=True)
class LookedAhead:
    """What lies ahead with each technique, and the report written of it."""

    found: Foresight
    report: Report
    pdf: Path
    json: Path


def look_ahead(
    case_file: Path, folder: Path, out: Path, day: dt.date, prices_file: Path | None, tell: Progress
) -> LookedAhead:
    """Look ahead with each technique of one case and write the report.

    Parameters
    ----------
    case_file, folder
        The case, and the folder of its films with their list.
    out
        Folder for the report; made if it is not there.
    day
        Day of the plan.
    prices_file
        The unit's own prices, if it has any.
    tell
        Told what is about to be done.

    Raises
    ------
    PlanError
        One of its children, if anything stops it; then nothing is written.
    """
    demand_place(out)
    prices = PriceList()
    priced: tuple[InputHash, ...] = ()
    known = knowledge()
    if prices_file is not None:
        data = bytes_of(prices_file, "a price list")
        prices = read_prices(data, prices_file.name, [one.key for one in known.techniques])
        priced = (InputHash(name=prices_file.name, sha256=sha256(data).hexdigest()),)
    intake = take_in(case_file, folder, tell)
    plan = plan_case(intake.case, intake.films, intake.notes, known, day, tell)
    found = foresee_case(plan, known, prices, tell)
    tell("writing the report")
    report, drawings = compose_foresight(found, known, (*intake.inputs, *priced), versions())
    stem = safe_name(intake.case.case_id)
    pdf, text = out / f"{stem}-ahead.pdf", out / f"{stem}-ahead.json"
    write_whole(pdf, write_report_pdf(report, drawings))
    write_whole(text, write_report_json(report).encode())
    return LookedAhead(found=found, report=report, pdf=pdf, json=text)
