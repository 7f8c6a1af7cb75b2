"""The admin pages show and change nothing, to staff alone, and keep private what is private."""

import pytest
from django.contrib import admin
from django.test import Client

from registry import actions
from registry.admin import LEFT_OUT, ReadOnly
from registry.models import (
    CabinetItem,
    Chart,
    CodeSeen,
    Hunt,
    JournalEntry,
    JournalSecret,
    Likeness,
    Member,
    PhotoHash,
    Remark,
    ShotCode,
    Token,
    Watch,
)
from tests.factories import MemberFactory, ReleaseFactory, VariantFactory
from tests.path import now
from tests.web.everything import world

pytestmark = pytest.mark.django_db


@pytest.fixture
def staff() -> Client:
    client = Client()
    client.force_login(MemberFactory(is_staff=True, email="warden@example.test"))
    return client


def test_only_staff_get_in_and_they_sign_in_as_everybody_does(client):
    answer = client.get("/admin/")
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/admin/login/")
    assert client.get(answer.headers["Location"]).headers["Location"].startswith("/accounts/login/")
    client.force_login(MemberFactory())
    assert client.get("/admin/registry/member/").status_code in (302, 403)


def test_every_table_is_shown_with_its_rows_and_no_way_to_change_them(staff):
    world()
    for model, shown in admin.site._registry.items():
        assert isinstance(shown, ReadOnly), model
        address = f"/admin/registry/{model._meta.model_name}/"
        listed = staff.get(address)
        assert listed.status_code == 200, model
        assert staff.get(f"{address}add/").status_code == 403
        row = shown.get_queryset(listed.wsgi_request).first()
        if row is None:
            continue
        page = staff.get(f"{address}{row.pk}/change/")
        assert page.status_code == 200, model
        assert staff.post(f"{address}{row.pk}/change/", {"name": "changed"}).status_code == 403
        assert staff.post(f"{address}{row.pk}/delete/", {"post": "yes"}).status_code == 403
        assert "@example.test" not in listed.text + page.text, model


def test_cabinets_drafts_and_secrets_are_not_shown(staff):
    scene = world().scene
    private, of_drafts_too = (
        {CabinetItem, Hunt, Watch},
        {Likeness, PhotoHash, ShotCode, CodeSeen, Chart, Remark},
    )
    assert private | of_drafts_too == LEFT_OUT
    assert not LEFT_OUT & admin.site._registry.keys()
    draft = scene.author.submissions.filter(status="draft").first()
    assert staff.get(f"/admin/registry/submission/{draft.pk}/change/").status_code == 302
    token = Token.objects.first()
    assert token.digest not in staff.get(f"/admin/registry/token/{token.pk}/change/").text
    member = Member.objects.exclude(password="").first() or scene.author
    member.set_password("low tide, long boots")
    member.save()
    assert member.password not in staff.get(f"/admin/registry/member/{member.pk}/change/").text


def test_what_was_told_to_the_moderators_is_not_shown_to_staff(staff):
    actions.tell_moderators(about=VariantFactory(), by=MemberFactory(), at=now(), reason="My uncle’s name.")
    secret = JournalSecret.objects.get(value="My uncle’s name.")
    assert "uncle" not in staff.get("/admin/registry/journalsecret/").text
    assert staff.get(f"/admin/registry/journalsecret/{secret.pk}/change/").status_code == 302


def test_nobody_is_told_that_somebody_put_one_in_their_cabinet(staff):
    member, release = MemberFactory(), ReleaseFactory()
    actions.put_item(release=release, condition="loose", by=member, at=now())
    actions.import_cabinet(
        by=member, at=now(), data=f"release,condition\n{release.public_id},boxed\n".encode()
    )
    actions.set_hunt(by=member, at=now(), depth="release")
    assert JournalEntry.objects.filter(by=member).count() == 3
    shown = staff.get("/admin/registry/journalentry/").text
    assert "cabinet." not in shown
    assert "hunt." not in shown
    line = JournalEntry.objects.filter(by=member).first()
    assert staff.get(f"/admin/registry/journalentry/{line.pk}/change/").status_code == 302
