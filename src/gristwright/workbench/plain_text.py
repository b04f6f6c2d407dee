"""Pages that nothing kept can steer: what is not seen stands as its code point. See docs/desk.md.

A title of an older desk may hold control characters, or marks that turn the direction of writing.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from gristwright.reference.typeface import steered

# Tags, and what a field holds, go out as they are: a page sent back as it is must change nothing.
TAGS_OR_TEXT = re.compile(r"<textarea\b.*?</textarea>|<[^<>]*>|[^<]+", re.DOTALL)


class PlainText:
    """Answers pages with every such character spelled; what is taken away as a file stays as it is kept."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """The page, spelled."""
        answer = self.get_response(request)
        if _is_page(answer):
            text = answer.content.decode(answer.charset)
            # Nearly every page has nothing to spell, and is not taken apart.
            if _spelled(f" {text}") != f" {text}":
                answer.content = TAGS_OR_TEXT.sub(lambda part: _spelled(part[0]), text)
        return answer


def _spelled(part: str) -> str:
    return part if part.startswith("<") else steered(part.replace("\r\n", "\n"))


def _is_page(answer: HttpResponse) -> bool:
    shown = not answer.streaming and not answer.has_header("Content-Disposition")
    return shown and answer.get("Content-Type", "").startswith("text/html")
