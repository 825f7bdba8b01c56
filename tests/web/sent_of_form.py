"""What a browser would send of a form that nobody typed in."""

from __future__ import annotations

from html.parser import HTMLParser


def sent_of_form(html: str) -> dict[str, str]:
    """The fields of the first form of a page as it stands."""
    sent = _Sent()
    sent.feed(html)
    return sent.values


class _Sent(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self.select, self.text, self.forms = "", "", 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.forms += tag == "form"
        if self.forms != 1:
            return
        if tag == "select":
            self.select = given["name"]
        elif tag == "option" and "selected" in given:
            self.values[self.select] = given["value"]
        elif tag == "input":
            self.values[given["name"]] = given.get("value", "")
        self.text = given.get("name", "") if tag == "textarea" else ""

    def handle_data(self, data: str) -> None:
        if self.text:
            self.values[self.text] = data.removeprefix("\n")
        self.text = ""
