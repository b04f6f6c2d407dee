"""The page of what cannot be shown: the way out of an address whose page could not be made. See docs/desk.md."""

from __future__ import annotations

import logging
import re
import uuid
from sys import exc_info

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST
from django.views.defaults import server_error

from gristwright.reference.typeface import spelled
from gristwright.store.models import EnquiryRow
from gristwright.store.trouble import trouble
from gristwright.workbench import damaged, kept_rows, no_room
from gristwright.workbench.export import download
from gristwright.workbench.turns import in_turn

UNTIDY, OURS = 422, 500
OF_ENQUIRY = re.compile(r"^/enquiries/([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})/")


def could_not_be_shown(request: HttpRequest) -> HttpResponse:
    """In place of a page that could not be made: what of its enquiry is damaged, or that the fault is ours."""
    told = trouble(exc_info()[1])
    if told:
        return no_room.page(request, told)
    user = getattr(request, "user", None)
    found = OF_ENQUIRY.match(request.path) if user and user.is_authenticated else None
    try:
        return _page(request, uuid.UUID(found[1])) if found else server_error(request)
    except Exception:  # this page is the last resort: whatever becomes of it, an answer must be sent
        logging.getLogger("django.request").exception("The page of what cannot be shown could not be made.")
        return server_error(request)


def show_damaged(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """What of an enquiry cannot be read, with what can be done about each part and about the whole."""
    return _page(request, key, opened=True)


def _page(request: HttpRequest, key: uuid.UUID, opened: bool = False, said: str = "") -> HttpResponse:
    title = spelled(kept_rows.title_of(key))
    parts = damaged.damaged(key) if title or EnquiryRow.objects.filter(pk=key).exists() else []
    context = {"key": key, "title": title or "Enquiry without a title", "parts": parts, "opened": opened, "said": said}
    status = UNTIDY if parts or said else 200 if opened else OURS
    return render(request, "desk/damaged.html", context, status=status)


@require_POST
@in_turn
def take_out(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """A damaged part taken out."""
    told = damaged.take_out(key, request.POST.get("part", ""), request.POST.get("row", ""))
    messages.success(request, told or "That part is not there any more, or can be read. Nothing was done.")
    return redirect("damaged", key)


def give_kept(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Everything that is kept of an enquiry, as it is kept."""
    return download("as-kept.zip", kept_rows.as_kept(key), "application/zip")


@require_POST
@in_turn
def delete_kept(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """The enquiry deleted with everything that hangs on it, unread; only while a part of it is damaged."""
    if not damaged.damaged(key):
        return _page(request, key, said="Nothing of it is damaged. Put it into the bin under Files, copy.")
    if request.POST.get("sure") != "yes":
        return _page(request, key, said="Say that it is to be deleted for good.")
    kept_rows.delete(EnquiryRow, key)
    messages.success(request, "The enquiry was deleted.")
    return redirect("enquiries")
