"""Reads pages the way a test needs: forms with their present values, links, text."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

from starlette.testclient import TestClient

VOID = {"meta", "link", "input", "br", "hr", "img", "path", "circle", "rect"}


@dataclass
class Form:
    """A form: where it goes and what it would send as it stands."""

    action: str
    method: str
    values: dict[str, str] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)


class Page(HTMLParser):
    """Collects forms, links, ids, inline styles and scripts, and checks that tags close in order."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.links: list[str] = []
        self.sources: list[str] = []
        self.ids: list[str] = []
        self.inline: list[str] = []
        self.text: list[str] = []
        self.open: list[str] = []
        self.crossed: list[str] = []
        self._select = ""
        self._script = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what a tag says."""
        a = {k: v or "" for k, v in attrs}
        if tag not in VOID:
            self.open.append(tag)
        if "id" in a:
            self.ids.append(a["id"])
        if tag == "script":
            self._script = "src" not in a
        self.inline += [f"{tag} {k}" for k in a if k == "style" or k.startswith("on")]
        if tag == "a":
            self.links.append(a.get("href", ""))
        for name in ("src", "href"):
            if name in a and tag != "a":
                self.sources.append(a[name])
        if tag == "form":
            self.forms.append(Form(a.get("action", ""), a.get("method", "get")))
        if not self.forms:
            return
        form = self.forms[-1]
        name = a.get("name", "")
        if tag in ("input", "select") and name:
            form.names.add(name)
        if tag == "input" and name and (a.get("type") not in ("radio", "checkbox") or "checked" in a):
            form.values[name] = a.get("value", "")
        if tag == "select":
            self._select = name
            form.values[name] = ""
        if tag == "option" and "selected" in a:
            form.values[self._select] = a.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        """Check the order of closing tags."""
        if tag in VOID:
            return
        if not self.open or self.open[-1] != tag:
            self.crossed.append(tag)
        else:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        """Collect text, and inline script where there should be none."""
        if self._script and data.strip() and self.open and self.open[-1] == "script":
            self.inline.append("script")
        if data.strip():
            self.text.append(data.strip())

    def form(self, action_ends: str) -> Form:
        """The form whose address ends so."""
        return next(f for f in self.forms if f.action.endswith(action_ends))

    def words(self) -> str:
        """All text in one line."""
        return " ".join(" ".join(self.text).split())


def get(client: TestClient, path: str) -> Page:
    """Open a page that must be there."""
    answer = client.get(path)
    assert answer.status_code == 200, (path, answer.status_code)
    return Page(answer.text)


def written_form(client: TestClient, path: str, **changes: str) -> tuple[str, dict[str, str]]:
    """The form of a page with some fields filled in: where to send it, and what."""
    form = get(client, path).form(path.split("?")[0])
    unknown = set(changes) - form.names
    assert not unknown, f"the form has no field {unknown}"
    return form.action, form.values | changes
