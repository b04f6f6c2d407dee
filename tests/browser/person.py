"""Somebody at a desk that runs as a program of its own, without a browser."""

from __future__ import annotations

import http.cookiejar
import re
import socket
import urllib.error
import urllib.parse
import urllib.request
import uuid
from http.cookiejar import CookieJar

TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')
PASSWORD = "barley-and-water-7"
LOTS = b"lot,material,moisture [%]\nPD-1,pale_distilling_malt,4.6\n"
UNTIDY = 422
# Fifty who save at once wait for one another.
MOST_S = 600


class Person:
    """Somebody at the desk: cookies, forms, and what the last page said."""

    def __init__(self, address: str, jar: CookieJar | None = None) -> None:
        self.address, self.page, self.at, self.here = address, "", address, ""
        self.jar = jar if jar is not None else http.cookiejar.CookieJar()
        cookies = urllib.request.HTTPCookieProcessor(self.jar)
        self.opener = urllib.request.build_opener(cookies, urllib.request.ProxyHandler({}))

    def begin(self) -> str:
        """Make the desk one's own, start with the example, and say where (`here`) its enquiry is."""
        self.get("/")
        self.send("/begin/", username="A.Example", password1=PASSWORD, password2=PASSWORD)
        self.send("/enquiries/start/", way="example")
        self.here = urllib.parse.urlsplit(self.at).path
        return self.here

    def another(self) -> Person:
        """The same person at another window, on the same page."""
        other = Person(self.address, self.jar)
        other.page, other.at, other.here = self.page, self.at, self.here
        return other

    def get(self, path: str) -> str:
        return self._ask(path)

    def send(self, path: str, **said: str) -> str:
        body = urllib.parse.urlencode({"csrfmiddlewaretoken": self._token(), **said})
        return self._ask(path, body.encode())

    def send_file(self, path: str, name: str, content: bytes) -> str:
        mark = uuid.uuid4().hex
        body = self._file_begins(mark, name) + content + f"\r\n--{mark}--\r\n".encode()
        return self._ask(path, body, f"multipart/form-data; boundary={mark}")

    def begin_to_send_file(self, path: str) -> None:
        """Send a file and stop half way, as a cut does."""
        mark = uuid.uuid4().hex
        body = self._file_begins(mark, "half.csv") + LOTS
        where = urllib.parse.urlsplit(self.address)
        cookies = "; ".join(f"{cookie.name}={cookie.value}" for cookie in self.jar)
        head = f"POST {path} HTTP/1.1\r\nHost: {where.netloc}\r\nCookie: {cookies}\r\n"
        head += f"Content-Length: {len(body) + 9_999}\r\n"
        head += f"Content-Type: multipart/form-data; boundary={mark}\r\n\r\n"
        with socket.create_connection((str(where.hostname), int(where.port or 0))) as line:
            line.sendall(head.encode() + body)

    def _token(self) -> str:
        token = TOKEN.search(self.page)
        assert token
        return token[1]

    def _file_begins(self, mark: str, name: str) -> bytes:
        fields = (('name="csrfmiddlewaretoken"', self._token()), (f'name="file"; filename="{name}"', ""))
        return "\r\n".join(
            f"--{mark}\r\nContent-Disposition: form-data; {field}\r\n\r\n{value}" for field, value in fields
        ).encode()

    def _ask(self, path: str, body: bytes | None = None, kind: str = "application/x-www-form-urlencoded") -> str:
        """The page that answers; one that says what is wrong is a page like others."""
        asked = urllib.request.Request(urllib.parse.urljoin(self.address, path), body)
        if body is not None:
            asked.add_header("Content-Type", kind)
        try:
            answer = self.opener.open(asked, timeout=MOST_S)
        except urllib.error.HTTPError as untidy:
            if untidy.code != UNTIDY:
                raise
            answer = untidy
        with answer:
            self.page, self.at = answer.read().decode(), answer.url
        return self.page
