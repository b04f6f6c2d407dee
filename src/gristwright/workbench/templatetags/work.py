"""Tags for the way through an enquiry: its pages in the order of work, and the steps that come next."""

from __future__ import annotations

from collections.abc import Sequence

from django import template

from gristwright.basics import Problem
from gristwright.store.models import EnquiryRow
from gristwright.workbench import order_of_work

register = template.Library()


@register.simple_tag
def way_through(enquiry: EnquiryRow) -> list[order_of_work.PageOfWork]:
    """Every page of an enquiry with what is missing on it."""
    return order_of_work.order_of_work(enquiry)


@register.simple_tag
def steps_for(problems: Sequence[Problem], enquiry: EnquiryRow | str) -> list[order_of_work.PageOfWork]:
    """The next steps, where something of an enquiry has only not been filled in yet."""
    if not isinstance(enquiry, EnquiryRow) or not any(map(order_of_work.waits, problems)):
        return []
    return order_of_work.next_steps(enquiry, problems)


@register.filter
def to_mend(problems: Sequence[Problem], steps: Sequence[order_of_work.PageOfWork]) -> list[Problem]:
    """The problems that the next steps do not name."""
    return [problem for problem in problems if not (steps and order_of_work.waits(problem))]
