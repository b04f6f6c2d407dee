"""Tags for faults: the sentence of one in the words of the desk, with a link to its own field."""

from __future__ import annotations

from django import template
from django.template.context import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString

from gristwright.basics import Problem
from gristwright.workbench import faults

register = template.Library()


@register.filter
def sentence(problem: Problem) -> str:
    """A problem as a person reads it."""
    return faults.sentence(problem)


@register.filter
def place(problem: Problem) -> str:
    """Where a problem stands, as a person reads it."""
    return faults.words_of(problem)


@register.simple_tag(takes_context=True)
def fault(context: Context, problem: Problem) -> SafeString:
    """A problem whose place leads to the field in which it is mended."""
    link = faults.link(problem, context.get("enquiry"))
    if not link:
        return format_html("{}", faults.sentence(problem))
    return format_html('<a href="{}">{}</a>: {}', link, faults.words_of(problem), faults.what_of(problem))
