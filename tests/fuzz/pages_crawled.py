"""The forms of the desk as a browser finds them: every page that links lead to, with every form that stands on it."""

from __future__ import annotations

import re
from collections import deque
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin, urlsplit

from django.test import Client
from django.urls import Resolver404, resolve

MOST_PAGES = 80
# In every form that is sent.
TAKEN = re.compile(r"\.(pdf|html|json|csv|zip|toml)$")
ALWAYS = {"csrfmiddlewaretoken"}
NO_TEXT = ("submit", "button", "reset", "image")


@dataclass
class Control:
    """A field of a form, or a button that sends it."""

    name: str
    kind: str
    value: str
    choices: tuple[str, ...] = ()
    sent: bool = True


@dataclass
class Form:
    """A form of a page: where it is sent, how, and its fields as the page filled them in."""

    action: str
    method: str
    controls: list[Control] = field(default_factory=list)
    key: str = ""


class _Reader(HTMLParser):
    """Collects links and forms of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.links = page, list[str]()
        self.forms: dict[str, Form] = {}
        self.elsewhere: list[tuple[str, str]] = []
        self.now = ""
        self.area: Control | None = None
        self.select: Control | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """One tag."""
        said = {name: text or "" for name, text in attrs}
        if tag == "a" and said.get("href"):
            self.links.append(urljoin(self.page, said["href"]))
        elif tag == "form":
            self.now = said.get("id") or f"form {len(self.forms)}"
            here = self.forms.setdefault(self.now, Form("", ""))
            here.action, here.method = (
                urljoin(self.page, said.get("action") or self.page),
                said.get("method", "get").lower(),
            )
        elif tag in ("input", "button", "select", "textarea"):
            self._control(tag, said)
        elif tag == "option" and self.select is not None:
            value = said.get("value", "")
            self.select.choices += (value,)
            if "selected" in said or len(self.select.choices) == 1:
                self.select.value = value

    def _control(self, tag: str, said: dict[str, str]) -> None:
        name = said.get("name", "")
        owner = said.get("form") or self.now
        if owner and said.get("formaction"):
            self.elsewhere.append((owner, urljoin(self.page, said["formaction"])))
        if not name or not owner:
            return
        kind = {"input": said.get("type", "text"), "button": "submit"}.get(tag, tag)
        sent = kind not in NO_TEXT and not (kind in ("checkbox", "radio") and "checked" not in said)
        value = said.get("value", "on" if kind == "checkbox" else "")
        made = Control(name, kind, value, sent=sent)
        self.forms.setdefault(owner, Form("", "")).controls.append(made)
        self.select = made if tag == "select" else None
        self.area = made if tag == "textarea" else None

    def handle_endtag(self, tag: str) -> None:
        """The end of a form, a list of choices, or a text."""
        if tag == "form":
            self.now = ""
        elif tag == "select":
            self.select = None
        elif tag == "textarea":
            self.area = None

    def handle_data(self, data: str) -> None:
        """What stands in a text field."""
        if self.area is not None:
            self.area.value += data


def name_of(path: str) -> str:
    """What the desk calls an address; nothing for one that it does not have."""
    try:
        return resolve(urlsplit(path).path).url_name or ""
    except Resolver404:
        return ""


def crawled(client: Client, begin: list[str]) -> tuple[list[str], dict[str, Form]]:
    """Addresses that answer and the forms found there by key, in the order they were met.

    Those to begin at are all opened; of what their links lead to one of each name, and of what is taken away each kind.
    """
    waiting, seen, always = deque(begin), set[str](), set(begin)
    pages: list[str] = []
    forms: dict[str, Form] = {}
    while waiting and len(pages) < MOST_PAGES:
        path = waiting.popleft()
        name = name_of(path) and name_of(path) + "".join(TAKEN.findall(path))
        if not name or (name in seen and path not in always):
            continue
        seen.add(name)
        always.discard(path)
        answer = client.get(path, follow=True)
        pages.append(path)
        if answer.status_code != 200 or not answer.get("Content-Type", "").startswith("text/html"):
            continue
        here = answer.redirect_chain[-1][0] if answer.redirect_chain else path
        links, found = read_page(here, answer)
        waiting.extend(urlsplit(link).path for link in links)
        for form in found:
            form.key = _key(here, form)
            forms.setdefault(form.key, form)
    return pages, forms


def read_page(path: str, answer: Any) -> tuple[list[str], list[Form]]:
    """Links and forms of a page."""
    reader = _Reader(path)
    reader.feed(answer.content.decode())
    whole = [form for form in reader.forms.values() if form.method]
    # A button may send the fields of its form to another address.
    also = [Form(action, "post", reader.forms[owner].controls) for owner, action in reader.elsewhere]
    return reader.links, [*whole, *also]


def _key(path: str, form: Form) -> str:
    """Where it leads and its fields: two forms that differ only in the row or the page they are of count once."""
    sent = name_of(form.action) or form.action
    names = sorted({re.sub(r"\d+", "#", control.name) for control in form.controls} - ALWAYS)
    return f"{sent} ({', '.join(names)[:80]})" if names else sent
