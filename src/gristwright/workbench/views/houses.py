"""The house of an enquiry as it was changed under another one, taken over."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from gristwright.store.versions import differences, later_plant, point_at
from gristwright.workbench.turns import in_turn
from gristwright.workbench.views.enquiries import get_enquiry


@require_POST
@in_turn
def take_newest(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Let the enquiry stand on the newest version of its house."""
    enquiry = get_enquiry(key)
    later = later_plant(enquiry)
    if later is not None and request.POST.get("version", str(later.number)) != str(later.number):
        messages.warning(request, "The house was changed once more meanwhile. It stands here as it is now; look again.")
    elif later is not None:
        before = enquiry.plant.document if enquiry.plant else {}
        count = len(list(differences(before, later.document)))
        point_at(enquiry, later)
        messages.success(
            request, f"The house as it is now was taken over, {count} field{'s' * (count != 1)} of it new."
        )
    return redirect("house", key)
