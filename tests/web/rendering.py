"""Rendering a template from a page object, strictly: a name that the page does not have is an error."""

from __future__ import annotations

from html.parser import HTMLParser

from django.template import Context, Engine

MISSING = "<<missing %s>>"
ENGINE = Engine(
    app_dirs=True,
    string_if_invalid=MISSING,
    libraries={"trade": "offtool.web.templatetags.trade", "static": "django.templatetags.static"},
)

VOID = {"area", "br", "col", "hr", "img", "input", "link", "meta", "path", "rect", "circle"}


def render_page(template: str, page: object, **more: object) -> str:
    """The page as HTML; fails where the template asks for what the page object does not have."""
    given = {"page": page, "messages": [], "csrf_token": "token", **more}
    html = ENGINE.get_template(f"offtool/{template}").render(Context(given))
    assert "<<missing" not in html, html[html.index("<<missing") :][:80]
    return html


class Outline(HTMLParser):
    """What a page is made of, as far as a person without eyes, or a strict policy, needs it."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.headings: list[int] = []
        self.ids: list[str] = []
        self.labelled: set[str] = set()
        self.fields: list[dict[str, str | None]] = []
        self.links: list[str] = []
        self.drawings: list[dict[str, str | None]] = []
        self.inline: list[str] = []
        self.open: list[str] = []
        self.unbalanced: list[str] = []
        self.text = ""
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag in {"h1", "h2", "h3", "h4"}:
            self.headings.append(int(tag[1]))
        if given.get("id"):
            self.ids.append(str(given["id"]))
        if tag == "label" and given.get("for"):
            self.labelled.add(str(given["for"]))
        if tag in {"input", "select", "textarea"} and given.get("type") != "hidden":
            self.fields.append(given)
        if tag == "a":
            self.links.append(given.get("href") or "")
        if tag == "svg":
            self.drawings.append(given)
        if (
            (tag == "script" and "src" not in given)
            or tag == "style"
            or "style" in given
            or any(name.startswith("on") for name in given)
        ):
            self.inline.append(self.get_starttag_text() or tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Only drawings close their tags so."""

    def handle_endtag(self, tag: str) -> None:
        if tag in VOID:
            return
        if not self.open or self.open[-1] != tag:
            self.unbalanced.append(tag)
        else:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        self.text += data


def faults(html: str) -> list[str]:
    """What a check for accessibility and for the content policy finds wrong in a page."""
    page = Outline(html)
    found = [f"unbalanced {tag}" for tag in page.unbalanced + page.open]
    if page.headings.count(1) != 1 or page.headings[:1] != [1]:
        found.append(f"headings {page.headings}: one first heading, at the top")
    for before, after in zip(page.headings, page.headings[1:], strict=False):
        if after > before + 1:
            found.append(f"heading {after} follows heading {before}")
    found += [f"id {name} twice" for name in {one for one in page.ids if page.ids.count(one) > 1}]
    for field in page.fields:
        if field.get("id") not in page.labelled and not field.get("aria-label"):
            found.append(f"no label for {field.get('name')}")
        described = str(field.get("aria-describedby") or "").split()
        found += [
            f"{field.get('name')} is described by {one}, which is not there"
            for one in described
            if one not in page.ids
        ]
    found += [f"a drawing without words: {one}" for one in page.drawings if not one.get("aria-label")]
    found += [f"against the content policy: {one}" for one in page.inline]
    found += [
        f"link to {link}: not on the page"
        for link in page.links
        if link[:1] == "#" and link[1:] not in page.ids
    ]
    found += ["a link without address" for link in page.links if not link]
    return found
