"""Many people who save at the same moment at one desk, and how many of their changes are kept."""

from __future__ import annotations

import re
import urllib.error
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser
from threading import Barrier

from browser.person import UNTIDY, Person

HEAD = "lot,material,moisture [%],diastatic power [degWK]"
CLASH = 409


class FormReader(HTMLParser):
    """The fields of the form that is sent to one address, as a browser sends them when nobody touches it."""

    def __init__(self, action: str) -> None:
        super().__init__()
        self.action, self.inside, self.own, self.area = action, False, "", ""
        self.fields: list[tuple[str, str]] = []
        self.select, self.options = "", list[tuple[str, bool]]()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Fields and where a form begins."""
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = said.get("action", self.action) == self.action
            self.own = said.get("id", "") if self.inside else self.own
        if not (self.inside and "form" not in said) and said.get("form", "-") != self.own:
            return
        if tag == "input" and said.get("type") not in ("checkbox", "radio", "file") and "name" in said:
            self.fields.append((said["name"], said.get("value", "")))
        elif tag == "input" and said.get("type") in ("checkbox", "radio") and "checked" in said:
            self.fields.append((said["name"], said.get("value", "on")))
        elif tag == "textarea":
            self.area = said["name"]
            self.fields.append((self.area, ""))
        elif tag == "select":
            self.select, self.options = said["name"], []
        elif tag == "option" and self.select:
            self.options.append((said.get("value", ""), "selected" in said))

    def handle_endtag(self, tag: str) -> None:
        """Where a form, a choice or a text ends."""
        if tag == "form":
            self.inside = False
        elif tag == "textarea":
            self.area = ""
        elif tag == "select" and self.select:
            chosen = [value for value, on in self.options if on] or [value for value, _ in self.options[:1]]
            self.fields += [(self.select, value) for value in chosen]
            self.select = ""

    def handle_data(self, data: str) -> None:
        """What stands in a text field."""
        if self.area:
            name, before = self.fields[-1]
            self.fields[-1] = (name, before + data)


def form_of(page: str, action: str) -> dict[str, str]:
    """Its fields; of several of one name the last one."""
    reader = FormReader(action)
    reader.feed(page)
    return {name: value for name, value in reader.fields if name != "csrfmiddlewaretoken"}


def at_once(count: int, do: Callable[[int], int]) -> list[int]:
    """What each of so many got who did it at the same moment: the status of the answer."""
    gate = Barrier(count)

    def one(number: int) -> int:
        gate.wait()
        try:
            return do(number)
        except urllib.error.HTTPError as refused:
            return refused.code

    with ThreadPoolExecutor(count) as hands:
        return list(hands.map(one, range(count)))


def sent(person: Person, path: str, form: dict[str, str]) -> int:
    """The status of what is sent at a window of its own."""
    person.another().send(path, **form)
    return 200


def table(count: int) -> bytes:
    """A certificate file of so many lots, each with its own figure."""
    return "\n".join([HEAD, *(f"L-{n},pale_distilling_malt,4.6,{200 + n}B" for n in range(count))]).encode()


def menders(person: Person, here: str, count: int) -> int:
    """Each mends another cell of one file; how many were kept."""
    person.get(f"{here}certificates/")
    page = person.send_file(f"{here}certificates/send/", "many.csv", table(count))
    file = re.sub(r"^https?://[^/]+", "", person.at)
    form = form_of(page, f"{file}mend/")
    cells = sorted(name for name in form if name.startswith("cell."))
    at_once(count, lambda n: sent(person, f"{file}mend/", {**form, cells[n]: form[cells[n]].rstrip("B")}))
    taken = person.get(f"{file}file/")
    person.get(file)
    return sum(f",{200 + n}\n" in taken + "\n" for n in range(count))


def lots(person: Person, here: str, count: int) -> int:
    """Each changes another lot of the enquiry, those of the file that was mended; how many were kept."""
    person.send(re.sub(r"^https?://[^/]+", "", person.at) + "take/")
    keys = dict.fromkeys(re.findall(r"certificates/lot/([0-9a-f-]{36})/", person.get(f"{here}certificates/")))
    pages = [f"{here}certificates/lot/{key}/edit/" for key in keys][-count:]
    forms = [form_of(person.get(page), page) for page in pages]
    at_once(count, lambda n: sent(person, pages[n], {**forms[n], "supplier": f"Supplier {n}."}))
    listed = person.get(f"{here}lots.csv")
    return sum(f"Supplier {n}." in listed for n in range(count))


def prices(person: Person, here: str, count: int) -> int:
    """Each gives another lot on offer its price on the same page; how many were kept."""
    page = f"{here}offer/"
    form = form_of(person.get(page), page)
    fields = [name for name in form if name.endswith("-price_per_t") and form[name.replace("price_per_t", "id")]][
        -count:
    ]
    at_once(count, lambda n: sent(person, page, {**form, fields[n]: str(700 + n)}))
    now = form_of(person.get(page), page)
    return sum(float(now[field] or 0) == 700 + n for n, field in enumerate(fields))


def one_field(person: Person, here: str, count: int) -> tuple[int, int]:
    """All change the same field from the same page; how many were kept, and how many were told the difference."""
    page = f"{here}question/"
    form = form_of(person.get(page), page)
    codes = at_once(count, lambda n: sent(person, page, {**form, "title": f"Title of hand {n}."}))
    title = form_of(person.get(page), page)["title"]
    return sum(title == f"Title of hand {n}." and codes[n] == 200 for n in range(count)), codes.count(CLASH)


def searches(person: Person, count: int) -> int:
    """All press Find bills of another enquiry at the same moment; how many were not told that one is under way."""
    person.get("/")
    person.send("/enquiries/start/", way="example")
    here = re.sub(r"^https?://[^/]+", "", person.at)
    person.get(f"{here}answers/")

    def press(_: int) -> int:
        page = person.another().send(f"{here}answers/find/", draws="2048", sure="1")
        return UNTIDY if "one is under way already" in page else 200

    begun = at_once(count, press).count(200)
    job = re.search(r'action="([^"]*/jobs/[0-9a-f-]{36}/stop/)"', person.get(f"{here}answers/"))
    assert job
    person.send(job[1])
    return begun
