"""A long list page by page, as every page of the desk shows one that can grow. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import QueryDict

ON_A_PAGE = 50


@dataclass(frozen=True)
class Leaf:
    """One page of a list, and the addresses of the pages beside it: what else the address asks for stays."""

    page: Page[Any]
    name: str
    asked: QueryDict

    def __iter__(self) -> Iterator[Any]:
        return iter(self.page)

    def __bool__(self) -> bool:
        return bool(self.page.paginator.count)

    @property
    def count(self) -> int:
        """How many the whole list has."""
        return self.page.paginator.count

    @property
    def first(self) -> int:
        """The number of the first one of this page."""
        return self.page.start_index()

    @property
    def before(self) -> str:
        """The address of the page before this one; nothing on the first."""
        return self._address(self.page.number - 1) if self.page.has_previous() else ""

    @property
    def after(self) -> str:
        """The address of the page behind this one; nothing on the last."""
        return self._address(self.page.number + 1) if self.page.has_next() else ""

    def _address(self, number: int) -> str:
        asked = self.asked.copy()
        asked[self.name] = str(number)
        return f"?{asked.urlencode()}"


def leaf(rows: Any, asked: QueryDict, name: str = "page") -> Leaf:
    """The page of a list or query that an address asks for under a name; one that is not there is the nearest.

    The first page is read with one row more: where there is none, the query need not be counted as well.
    """
    if isinstance(rows, QuerySet) and asked.get(name, "1") == "1":
        first = list(rows[: ON_A_PAGE + 1])
        whole = Paginator(first if len(first) <= ON_A_PAGE else rows, ON_A_PAGE)
        return Leaf(Page(first[:ON_A_PAGE], 1, whole), name, asked)
    return Leaf(Paginator(rows, ON_A_PAGE).get_page(asked.get(name)), name, asked)


def page_of(place: int) -> int:
    """The page on which the one at a place stands, counted from 0."""
    return place // ON_A_PAGE + 1
