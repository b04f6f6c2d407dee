"""Ages by the calendar: an anniversary, not 365 days times a number."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from itertools import pairwise


def add_months(day: dt.date, months: int) -> dt.date:
    """The same day so many months later; a day that month does not have becomes the first of the next.

    29 February plus a year is 1 March, so an age is never reached a day early.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    try:
        return day.replace(year=year, month=month + 1)
    except ValueError:
        year, month = divmod(day.year * 12 + day.month + months, 12)
        return dt.date(year, month + 1, 1)


def joined(spans: Iterable[tuple[dt.date, dt.date]]) -> list[tuple[dt.date, dt.date]]:
    """Spans in order of time, those that touch or overlap made one."""
    whole: list[tuple[dt.date, dt.date]] = []
    for start, end in sorted(spans):
        if whole and start <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(end, whole[-1][1]))
        else:
            whole.append((start, end))
    return whole


def reached_on(spans: Iterable[tuple[dt.date, dt.date]], months: int) -> dt.date | None:
    """The day on which time in the spans makes so many months; None when there is no span.

    Days between two spans do not count: they push the anniversary back by as many days.
    """
    whole = joined(spans)
    if not whole:
        return None
    due = add_months(whole[0][0], months)
    for (_, end), (start, _) in pairwise(whole):
        if end >= due:
            break
        due += start - end
    return due


def is_aged(spans: Iterable[tuple[dt.date, dt.date]], months: int) -> bool:
    """Whether the spans together make at least so many months."""
    whole = joined(spans)
    due = reached_on(whole, months)
    return due is not None and whole[-1][1] >= due
