"""Fill in and send the forms of a page as they stand in its HTML, the way a browser without scripts does."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin

from django.test import Client

NO_VALUE = {"submit", "button", "image", "file"}


@dataclass
class PaperForm:
    """One form: where it goes, what it says before anybody types, its buttons and the names it has room for."""

    method: str
    action: str
    said: dict[str, list[str]] = field(default_factory=dict)
    buttons: list[tuple[str, str]] = field(default_factory=list)
    names: set[str] = field(default_factory=set)

    def say(self, name: str, value: str) -> None:
        self.said.setdefault(name, []).append(value)


class Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[PaperForm] = []
        self.form: PaperForm | None = None
        self.select: tuple[str, list[str], str | None] | None = None
        self.textarea: str | None = None

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        at = dict(attributes)
        if tag == "form":
            self.form = PaperForm((at.get("method") or "get").lower(), at.get("action") or "")
            self.forms.append(self.form)
        if self.form is None:
            return
        name = at.get("name") or ""
        if tag == "button":
            self.form.buttons.append((name, at.get("value") or ""))
        elif tag in ("input", "select", "textarea") and name:
            self.form.names.add(name)
        if tag == "input" and name and at.get("type") not in NO_VALUE:
            if at.get("type") not in ("checkbox", "radio"):
                self.form.say(name, at.get("value") or "")
            elif "checked" in at:
                self.form.say(name, at.get("value") or "on")
        elif tag == "select":
            self.select = (name, [], None)
        elif tag == "option" and self.select:
            value = at.get("value") or ""
            chosen = value if "selected" in at else self.select[2]
            self.select = (self.select[0], [*self.select[1], value], chosen)
        elif tag == "textarea":
            self.textarea = name
            self.form.say(name, "")

    def handle_data(self, data: str) -> None:
        if self.form and self.textarea:
            self.form.said[self.textarea][-1] += data.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.textarea = None
        if tag == "select" and self.select and self.form:
            name, values, chosen = self.select
            if values:
                self.form.say(name, chosen if chosen is not None else values[0])
            self.select = None
        if tag == "form":
            self.form = None


def forms_of(answer: Any) -> list[PaperForm]:
    reader = Reader()
    reader.feed(answer.content.decode())
    return reader.forms


def form_with(answer: Any, *names: str, action: str = "") -> PaperForm:
    """The first form that has room for all of these names, or goes to that address."""
    for form in forms_of(answer):
        room = form.names | {name for name, _ in form.buttons}
        if set(names) <= room and (not action or form.action == action):
            return form
    raise AssertionError(f"no form for {names} {action}")


def send(
    client: Client, page: str, form: PaperForm, button: tuple[str, str] | None = None, **typed: Any
) -> Any:
    """Type, press the button, and follow where it leads."""
    room = form.names | {name for name, _ in form.buttons}
    assert set(typed) <= room, f"the form has no {set(typed) - room}"
    assert button is None or button in form.buttons, f"the form has no button {button}: {form.buttons}"
    data: dict[str, Any] = {**form.said, **typed}
    if button and button[0]:
        data[button[0]] = button[1]
    address = urljoin(page, form.action)
    if form.method == "get":
        return client.get(address, data, follow=True)
    return client.post(address, data, follow=True)
