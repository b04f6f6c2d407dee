"""A brewer's forecast: what the page of answers says in place of a search, and the files of the bill being tried."""

from __future__ import annotations

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from gristwright import casework
from gristwright.basics import Refused
from gristwright.documents.beer_forecast import BeerForecastView, beer_forecast_pages, beer_forecast_view
from gristwright.documents.render import view_json
from gristwright.store.frozen import inputs_text
from gristwright.store.library import lot_records
from gristwright.store.mapping import tried_record
from gristwright.store.models import EnquiryRow
from gristwright.workbench.brewing import kettle, sheet_of
from gristwright.workbench.export import download
from gristwright.workbench.jobs import inputs_of
from gristwright.workbench.trying import MEMBERS, kept_try
from gristwright.workbench.views.enquiries import UNTIDY, get_whole


def tried_name(enquiry: EnquiryRow) -> str:
    """The shares being tried, in words; nothing while they are no bill."""
    try:
        return kept_try(enquiry).bill.name
    except Refused:
        return ""


def give_forecast(request: HttpRequest, key: uuid.UUID, kind: str) -> HttpResponse:
    """The forecast of the bill being tried as a file, worked out anew."""
    enquiry = get_whole(key)
    if not enquiry.brews:
        return redirect("answers", key)
    try:
        view = _forecast(enquiry)
    except Refused as refused:
        told = tuple(refused.problems)
        context = {"enquiry": enquiry, "page": "answers", "problems": told, "tried": tried_name(enquiry)}
        return render(request, "desk/forecast.html", context, status=UNTIDY)
    name = f"{view.issued.iso}-forecast.{kind}"
    if kind == "json":
        return download(name, view_json(view), "application/json")
    return download(name, beer_forecast_pages(view)[0], "application/pdf")


def _forecast(enquiry: EnquiryRow) -> BeerForecastView:
    asked, given = tried_record(enquiry), lot_records(enquiry)
    today = kettle(asked, given).today
    made = casework.brew(sheet_of(asked, kept_try(enquiry).bill), given, members=MEMBERS)
    inputs = inputs_of(enquiry, inputs_text(asked, given))
    return beer_forecast_view(asked, made, today, timezone.localdate(), inputs, MEMBERS)
