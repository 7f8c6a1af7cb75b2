"""An account: an address that nobody sees, a password, and a name of one's own."""

import re

import pytest
from allauth.account.models import EmailAddress
from django.core.cache import cache

from registry.models import JournalEntry, Member
from tests.factories import MemberFactory

pytestmark = pytest.mark.django_db
CODE = r"^([A-Z0-9]{3,}-?[A-Z0-9]*)$"
TYPED = {"email": "mudlark@example.test", "display_name": "Mudlark", "password1": "low tide, long boots"}


def test_signing_up_asks_for_the_code_from_the_mail_and_writes_the_journal(client, mailoutbox):
    assert client.get("/accounts/signup/").status_code == 200
    answer = client.post("/accounts/signup/", TYPED)
    assert answer.headers["Location"] == "/accounts/confirm-email/"
    member = Member.objects.get()
    assert (member.display_name, member.email) == ("Mudlark", "mudlark@example.test")
    line = JournalEntry.objects.get(verb="member.joined")
    assert line.about_id == member.public_id
    assert "mudlark@" not in str(line.detail)
    code = re.search(CODE, mailoutbox[0].body, re.MULTILINE)[1]
    page = client.get("/accounts/confirm-email/")
    assert page.text.count("mudlark@example.test") == 1
    assert "Send me another code" in page.text
    client.post("/accounts/confirm-email/", {"code": code})
    assert EmailAddress.objects.get(user=member).verified
    assert "Mudlark" in client.get("/").text


def test_a_mail_that_does_not_come_is_sent_again_with_another_code(client, mailoutbox):
    client.post("/accounts/signup/", TYPED)
    again = {"action": "resend"}
    early = client.post("/accounts/confirm-email/", again)
    assert early.status_code == 429
    assert "Wait a few minutes" in early.text
    assert len(mailoutbox) == 1
    cache.clear()  # three minutes later
    client.post("/accounts/confirm-email/", again)
    first, second = (re.search(CODE, mail.body, re.MULTILINE)[1] for mail in mailoutbox)
    assert first != second
    client.post("/accounts/confirm-email/", {"code": second})
    assert EmailAddress.objects.get().verified


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("  MUDLARK ", "is taken"),
        ("Mud\u202elark", "U+202E"),
        ("Mud\u200blark", "U+200B"),
        ("Мudlаrk", "looks like a name that is taken"),
        ("Mudiark", "looks like a name that is taken"),
        ("   ", "required"),
        ("M" * 41, "40 characters at most"),
    ],
)
def test_T07_a_name_that_cannot_be_is_refused_at_its_field(client, name, words):
    MemberFactory(display_name="Mudlark")
    answer = client.post("/accounts/signup/", {**TYPED, "display_name": name})
    assert answer.status_code == 422
    assert words in answer.text
    assert 'id="id_display_name_error"' in answer.text
    assert Member.objects.count() == 1


def test_an_address_that_has_an_account_is_not_given_away(client, mailoutbox):
    MemberFactory(email=TYPED["email"])
    EmailAddress.objects.create(user=Member.objects.get(), email=TYPED["email"], verified=True, primary=True)
    answer = client.post("/accounts/signup/", TYPED)
    assert answer.headers["Location"] == "/accounts/confirm-email/"
    assert Member.objects.count() == 1
    assert mailoutbox[0].to == [TYPED["email"]]


def test_signing_in_and_out(client):
    member = MemberFactory()
    member.set_password("low tide, long boots")
    member.save()
    EmailAddress.objects.create(user=member, email=member.email, verified=True, primary=True)
    answer = client.post(
        "/accounts/login/", {"login": member.email, "password": "low tide, long boots"}, follow=True
    )
    assert answer.request["PATH_INFO"] == "/"
    assert member.display_name in answer.text
    assert client.get("/accounts/logout/").status_code == 200
    client.post("/accounts/logout/")
    assert member.display_name not in client.get("/").text


def test_a_suspended_account_cannot_sign_in(client):
    member = MemberFactory(is_active=False)
    client.force_login(member)
    assert "Sign in" in client.get("/").text


@pytest.mark.parametrize(
    "path", ["login/", "signup/", "password/reset/", "password/reset/done/", "inactive/"]
)
def test_every_page_about_accounts_has_our_frame(client, path):
    answer = client.get(f"/accounts/{path}")
    assert answer.status_code == 200
    assert 'class="masthead"' in answer.text
    assert "ledger.css" in answer.text


@pytest.mark.parametrize("path", ["email/", "password/change/", "logout/"])
def test_every_page_about_my_account_has_our_frame(client, path):
    client.force_login(MemberFactory())
    answer = client.get(f"/accounts/{path}")
    assert answer.status_code == 200
    assert 'class="masthead"' in answer.text
