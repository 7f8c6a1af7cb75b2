"""A slip on any form is told what would be right, and what was typed is still there."""

import pkgutil
from importlib import import_module

import pytest
from django import forms

from registry.web import forms as package
from registry.web.accounts import SignupForm
from registry.web.forms.base import Form
from tests.path import Scene

pytestmark = pytest.mark.django_db
DJANGOS_OWN = ("This field is required", "Enter a ", "Ensure this value", "Select a valid choice")


def test_what_was_typed_is_kept_and_the_remedy_named(as_member):
    scene = Scene()
    typed = {"seen_on": "last Tuesday", "country": "Nowhere", "n": "a few", "condition": ""}
    answer = as_member(scene.author).post(
        f"/cabinet/put/{scene.release.public_id}", {"count": "a few", **typed}
    )
    assert answer.status_code == 422
    assert "Write a whole number, such as 3." in answer.text
    assert "This is needed: fill it in or choose one." in answer.text
    assert 'value="a few"' in answer.text
    answer = as_member(scene.author).post(f"/releases/{scene.release.public_id}/sighting", typed)
    assert answer.status_code == 422
    assert "Write the day as year, month and day: 2026-03-14." in answer.text
    assert "Shorten it: 2 characters at most, and these are 7." in answer.text
    assert 'value="last Tuesday"' in answer.text
    assert not any(words in answer.text for words in DJANGOS_OWN)


def test_an_address_without_its_at_is_told_so(client):
    answer = client.post("/accounts/signup/", {"email": "keel", "display_name": "Keel", "password1": "x"})
    assert "Write the whole address, with the @ in it." in answer.text
    assert 'value="Keel"' in answer.text


def test_signing_in_names_the_remedy_too(client):
    answer = client.post("/accounts/login/", {"login": "keel", "password": ""})
    assert "This is needed: fill it in or choose one." in answer.text
    assert not any(words in answer.text for words in DJANGOS_OWN)


def test_every_form_of_the_site_names_the_remedy():
    modules = [
        import_module(f"{package.__name__}.{one.name}") for one in pkgutil.iter_modules(package.__path__)
    ]
    ours = {SignupForm, *(one for module in modules for one in vars(module).values() if is_form(one))}
    assert len(ours) > 50
    assert [one for one in ours if not issubclass(one, Form)] == []


def is_form(one):
    return isinstance(one, type) and issubclass(one, forms.BaseForm) and one is not forms.Form
