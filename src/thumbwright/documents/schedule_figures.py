"""Three drawings of time: a treatment over weeks, the day in lanes, the lists of a department.

Kinds of bar differ by their pattern and their words, not by colour alone, and each drawing has
its words beside it for those who cannot see it.
"""

from datetime import date, datetime, timedelta
from math import ceil

from thumbwright.core.scheduling.day import DayForecast, StepForecast
from thumbwright.core.scheduling.day_plan import Lane
from thumbwright.core.scheduling.department import DepartmentPlan
from thumbwright.core.scheduling.schedule import Booking, Schedule
from thumbwright.core.scheduling.treatment import StepKind
from thumbwright.core.scheduling.waiting import ListDay
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.svg import INK, PAPER, QUIET, number, svg, tag, text_lines, wrapped

_WIDTH = 1000.0
_SIZE = 18.0
"""Letters: 9 point where the drawing is printed 174 mm wide. [units]"""
_SMALL = 15.0
_ROW = 36.0
_STRONG, _SOFT = "#33526b", "#d5e0e8"
_HATCH = tag(
    "defs",
    tag(
        "pattern",
        tag("rect", width=8.0, height=8.0, fill=PAPER)
        + tag("path", d="M0 8L8 0", stroke=INK, stroke_width=1.4),
        id="hatch",
        width=8.0,
        height=8.0,
        patternUnits="userSpaceOnUse",
    ),
)
_DAY = timedelta(days=1)


def treatment_words(booked: Schedule) -> tuple[str, ...]:
    """Return a booking as one sentence for each step and each reserve."""
    zone = booked.request.clinic.zone
    steps = tuple(
        f"{one.begins:%A %d %B %Y, %H:%M} to {one.ends:{_end_format(one)}}: {one.step.name}"
        f"{', with ' + ', '.join(one.booked_with) if one.booked_with else ''}."
        for one in booked.bookings
    )
    reserves = tuple(
        f"{one.begins:%A %d %B %Y, %H:%M} to {one.ends:%d %B %Y, %H:%M}: a microsurgeon, a theatre "
        "and the instruments are held for a return to theatre."
        for one in booked.reserves
    )
    return (*steps, *reserves, f"All times are local time of {zone}.")


def treatment_picture(booked: Schedule) -> Picture:
    """Say what the drawing of a treatment shows."""
    first, last = booked.bookings[0].begins, booked.bookings[-1].ends
    return Picture(
        name="own drawing, treatment.svg",
        alt=f"Steps of the treatment over time. {' '.join(treatment_words(booked))}",
        caption=(
            f"The treatment from {first:%d %B %Y} to {last:%d %B %Y}. Filled: operation; hatched: "
            "reserve held for a return to theatre; outlined: stay and appointments."
        ),
    )


def treatment_drawing(booked: Schedule, *, title: str) -> str:
    """Draw each step of a treatment in its row, over weeks."""
    first = booked.bookings[0].begins.date()
    last = booked.bookings[-1].ends.date() + _DAY
    left, right = 470.0, _WIDTH - 20
    weeks = max(1, ceil((last - first).days / 7))
    per_day = (right - left) / (weeks * 7)
    top = 2.6 * _SIZE
    bottom = top + (len(booked.bookings) + len(booked.reserves)) * _ROW
    body = [_HATCH, _week_lines(first, weeks, (left, per_day), (top, bottom))]
    y = top
    for one in booked.bookings:
        words = f"{one.begins:%d %b %H:%M}  {one.step.name}"
        x = left + _days_between(first, one.begins) * per_day
        wide = max(7.0, _days_between(first, one.ends) * per_day - (x - left))
        body.append(_row_words(words, y, left))
        body.append(_bar(x, y, wide, fill=_fill(one)))
        y += _ROW
        for held in booked.reserves:
            if held.for_step == one.step.key:
                x = left + _days_between(first, held.begins) * per_day
                wide = 3 * per_day
                body.append(_row_words(f"{held.begins:%d %b %H:%M}  reserve, 72 hours", y, left))
                body.append(_bar(x, y, max(7.0, wide), fill="url(#hatch)"))
                y += _ROW
    return svg(_WIDTH, bottom + 10, body, title=title)


def day_words(day: DayForecast) -> tuple[str, ...]:
    """Return the day as sentences: its end, its steps, its cuffs."""
    ends = day.ends
    teams = "two teams side by side" if day.teams == 2 else "one team"
    head = (
        f"With {teams}: over after {ends.median_minutes / 60:.1f} hours, in nine of ten cases "
        f"within {ends.ninety_minutes / 60:.1f} hours ({day.draws} draws, seed {day.seed})."
    )
    steps = tuple(
        f"{one.step.name[:1].upper()}{one.step.name[1:]} ({one.step.lane.value}): from "
        f"{_clock(one.begins_minutes)} to {_clock(one.ends_minutes)} after the start; decides the "
        f"end with a probability of {one.critical_prob:.0%}."
        for one in day.steps
    )
    return (head, *steps, *(one.words for one in day.stretches), day.plan.times.text)


def day_picture(day: DayForecast) -> Picture:
    """Say what the drawing of the day shows."""
    return Picture(
        name="own drawing, day.svg",
        alt=f"The day of the operation in lanes. {' '.join(day_words(day))}",
        caption=(
            "The day, median times. Filled: decides the end in half of the cases or more. Thin "
            "line behind a bar: nine of ten cases. Hatched: cuffs, and the time without blood. "
            + day.plan.times.text
        ),
    )


def day_drawing(day: DayForecast, *, title: str) -> str:
    """Draw the steps of the day in lanes under each other, hours from left to right."""
    left, right, top = 440.0, _WIDTH - 20, 2.6 * _SIZE
    hours = ceil(max(one.ends_late_minutes for one in day.steps) / 60)
    per_minute = (right - left) / (hours * 60)
    rows: list[tuple[str, StepForecast | None]] = []
    for lane in Lane:
        members = [one for one in day.steps if one.step.lane is lane]
        if members:
            rows.append((lane.value.upper(), None))
            rows += [("", one) for one in members]
    bottom = top + (len(rows) + len(day.stretches) + 1) * _ROW
    body = [_HATCH, _hour_lines(hours, (left, per_minute), (top, bottom))]
    y = top
    for heading, one in rows:
        if one is None:
            body.append(_row_words(heading, y, left, bold=True))
        else:
            body.append(_row_words(one.step.name, y, left))
            body.append(_step_bar(one, left, per_minute, y))
        y += _ROW
    body.append(_row_words("MUST NOT GROW LONG", y, left, bold=True))
    for stretch in day.stretches:
        y += _ROW
        words = f"{stretch.stretch.name}, limit {stretch.stretch.limit_minutes:.0f} min"
        x = left + stretch.begins_minutes * per_minute
        body.append(_row_words(words, y, left))
        body.append(_bar(x, y, stretch.length.median_minutes * per_minute, fill="url(#hatch)"))
        late = x + stretch.length.ninety_minutes * per_minute
        body.append(_line(f"M{number(x)} {number(y + 29)}H{number(late)}", INK, 3))
    return svg(_WIDTH, bottom + 10, body, title=title)


def department_words(plan: DepartmentPlan) -> tuple[str, ...]:
    """Return the lists as sentences, and who has none."""
    lists = tuple(
        f"{one.day:%A %d %B %Y}, {one.name}: "
        + "; ".join(
            f"{each.waiting.key}, {each.waiting.operation} ({each.waiting.reason.value}), waits "
            f"{each.waits_days} days"
            for each in plan.on(one)
        )
        + "."
        for one in plan.lists
        if plan.on(one)
    )
    none = [each.waiting.key for each in plan.placed if each.on is None]
    rest = f"No list within the weeks looked at: {', '.join(none)}." if none else ""
    proof = f"The plan is within {plan.gap_share:.1%} of the best that can be."
    return (*lists, *((rest,) if rest else ()), proof)


def department_picture(plan: DepartmentPlan) -> Picture:
    """Say what the drawing of the lists shows."""
    return Picture(
        name="own drawing, lists.svg",
        alt=f"Lists of the department. {' '.join(department_words(plan))}",
        caption=(
            "Each row one list, its outline the hours it has; each bar the mean time of one "
            "operation. Filled: vessels are joined and a reserve is held."
        ),
    )


def department_drawing(plan: DepartmentPlan, *, title: str) -> str:
    """Draw each list that has somebody, with its operations one behind the other."""
    used = [one for one in plan.lists if plan.on(one)]
    left, right, top = 270.0, _WIDTH - 20, 1.6 * _SIZE
    widest = max((one.room_minutes for one in used), default=60.0)
    scale = (right - left) / widest
    body = []
    for place, one in enumerate(used):
        y = top + place * _ROW
        body.append(_row_words(f"{one.day:%a %d %b %Y}  {one.name}", y, left))
        body.append(_bar(left, y, one.room_minutes * scale, fill=PAPER))
        body += _operations(plan, one, left, scale, y)
    return svg(_WIDTH, top + len(used) * _ROW + 10, body, title=title)


def _operations(
    plan: DepartmentPlan, one: ListDay, left: float, scale: float, y: float
) -> list[str]:
    found, x = [], left
    for each in plan.on(one):
        wide = each.waiting.length.mean_minutes * scale
        flap = each.waiting.joins_vessels
        found.append(_bar(x, y, wide, fill=_STRONG if flap else _SOFT))
        words = wrapped(f"{each.waiting.key} {each.waiting.operation}", wide - 8, 13, most_lines=1)
        words = [each.waiting.key] if words[0].endswith("…") else words
        fill = PAPER if flap else INK
        found.append(text_lines(words, x + 4, y + 20, 13, fill=fill))
        x += wide + 36 * scale
    return found


def _end_format(one: Booking) -> str:
    same = one.begins.date() == one.ends.date()
    return "%H:%M" if same else "%d %B %Y, %H:%M"


def _fill(one: Booking) -> str:
    if one.step.kind is StepKind.OPERATION:
        return _STRONG
    return _SOFT if one.step.kind is StepKind.OBSERVATION else PAPER


def _days_between(first: date, moment: datetime) -> float:
    whole = (moment.date() - first).days
    return whole + (moment.hour * 60 + moment.minute) / 1440


def _row_words(words: str, y: float, room: float, *, bold: bool = False) -> str:
    lines = wrapped(words, room - 12, _SMALL, most_lines=1)
    weight = {"font_weight": "bold"} if bold else {}
    return text_lines(lines, 0, y + 20, _SMALL, fill=INK, **weight)


def _bar(x: float, y: float, wide: float, *, fill: str) -> str:
    return tag(
        "rect", x=x, y=y + 4, width=wide, height=22.0, fill=fill, stroke=INK, stroke_width=1.4
    )


def _step_bar(one: StepForecast, left: float, per_minute: float, y: float) -> str:
    x, ends = left + one.begins_minutes * per_minute, left + one.ends_minutes * per_minute
    late = left + one.ends_late_minutes * per_minute
    whisker = _line(f"M{number(ends)} {number(y + 15)}H{number(late)}", INK, 1.6)
    fill = _STRONG if one.critical_prob >= 0.5 else _SOFT
    return whisker + _bar(x, y, max(3.0, ends - x), fill=fill)


def _week_lines(
    first: date, weeks: int, across: tuple[float, float], down: tuple[float, float]
) -> str:
    (left, per_day), (top, bottom) = across, down
    every = max(1, ceil(weeks / 10))
    return "".join(
        _line(f"M{number(x)} {number(top - 6)}V{number(bottom)}", QUIET, 0.8)
        + text_lines([f"{first + week * 7 * _DAY:%d %b}"], x + 2, top - 12, _SMALL, fill=QUIET)
        for week in range(0, weeks + (weeks % every == 0), every)
        for x in (left + week * 7 * per_day,)
        if x < _WIDTH - 60
    )


def _hour_lines(hours: int, across: tuple[float, float], down: tuple[float, float]) -> str:
    (left, per_minute), (top, bottom) = across, down
    return "".join(
        _line(f"M{number(x)} {number(top - 6)}V{number(bottom)}", QUIET, 0.8)
        + text_lines([f"{hour} h"], x + 2, top - 12, _SMALL, fill=QUIET)
        for hour in range(hours)
        for x in (left + hour * 60 * per_minute,)
    )


def _line(path: str, colour: str, width: float) -> str:
    return tag("path", d=path, fill="none", stroke=colour, stroke_width=width)


def _clock(minutes: float) -> str:
    return f"{int(minutes) // 60}:{int(minutes) % 60:02d}"
