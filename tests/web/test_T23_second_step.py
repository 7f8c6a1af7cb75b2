"""T23, T24: a password alone decides nothing, and whoever gains or loses a role signs in anew."""

import hashlib
import hmac
import re
import struct
import time
from base64 import b32decode

import pytest
from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session
from django.test import Client

from registry import actions
from registry.errors import NotPermitted, RoleRequired, SecondStepNeeded
from registry.models import Vote
from tests.api.caller import Caller
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db
SECRET = "JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP"
PASSWORD = "low tide, long boots"


def six_digits(secret: str, at: float | None = None) -> str:
    """Source: RFC 6238 (TOTP) over RFC 4226 (HOTP), written anew here."""
    counter = struct.pack(">Q", int(time.time() if at is None else at) // 30)
    told = hmac.new(b32decode(secret), counter, hashlib.sha1).digest()
    start = told[-1] & 15
    return f"{(struct.unpack('>I', told[start : start + 4])[0] & 0x7FFFFFFF) % 1_000_000:06}"


def test_the_six_digits_are_those_of_the_standard():
    """Source: RFC 6238, Appendix B, SHA-1, 59 s and 1111111109 s; the last six of its eight digits."""
    secret = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"  # "12345678901234567890"
    assert (six_digits(secret, 59), six_digits(secret, 1_111_111_109)) == ("287082", "081804")


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def strict(settings):
    settings.CASTLORE_SECOND_STEP = True


def signed_up(member):
    member.set_password(PASSWORD)
    member.save()
    EmailAddress.objects.create(user=member, email=member.email, verified=True, primary=True)
    return member


def sign_in(member, browser=None):
    browser = browser or Client()
    answer = browser.post("/accounts/login/", {"login": member.email, "password": PASSWORD})
    return browser, answer


def test_T23_a_reviewer_with_a_password_alone_cannot_vote(scene, strict, as_member):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    reviewer = scene.reviewers[0]
    said = {"verdict": "confirms", "basis": "photo"}
    answer = Caller(reviewer).put(f"/v1/claims/{claim.public_id}/vote", said)
    assert answer.status_code == 403
    assert answer.json()["type"].endswith("/problems/second-step-needed")
    hint = "You can vote once you have"
    assert hint in as_member(reviewer).get(f"/claims/{claim.public_id}/vote").text
    assert hint not in as_member(MemberFactory()).get(f"/claims/{claim.public_id}/vote").text
    page = as_member(reviewer).post(f"/claims/{claim.public_id}/vote", said)
    assert "authenticator app" in page.text
    RecoveryCodes.activate(reviewer)
    with pytest.raises(SecondStepNeeded):
        actions.cast_vote(claim=claim, by=reviewer, at=now(), **said)
    assert not Vote.objects.exists()
    TOTP.activate(reviewer, SECRET)
    assert hint not in as_member(reviewer).get(f"/claims/{claim.public_id}/vote").text
    assert Caller(reviewer).put(f"/v1/claims/{claim.public_id}/vote", said).status_code in (200, 201)


def test_T23_a_member_without_a_role_needs_no_second_step(scene, strict):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    vote = actions.cast_vote(claim=claim, by=MemberFactory(), verdict="confirms", basis="photo", at=now())
    assert not vote.counts


def test_T23_a_moderator_with_a_password_alone_moderates_nothing(scene, strict):
    member, moderator = MemberFactory(), scene.moderator
    with pytest.raises(SecondStepNeeded):
        actions.suspend(member=member, by=moderator, at=now(), reason="Spam.")
    with pytest.raises(RoleRequired):
        actions.suspend(member=moderator, by=member, at=now(), reason="Spam.")
    TOTP.activate(moderator, SECRET)
    actions.suspend(member=member, by=moderator, at=now(), reason="Spam.")
    member.refresh_from_db()
    assert not member.is_active


def test_T23_no_other_deed_of_a_role_is_done_by_a_password_alone(scene, strict, as_member):
    base = scene.report(scene.anchor)
    scene.show(base)
    mark = claim_on(base, scene.crest).marks.first()
    with pytest.raises(NotPermitted):
        actions.remove_mark(mark=mark, by=scene.moderator, at=now(), reason="No.")
    desk = as_member(scene.moderator).get("/moderation")
    assert desk.status_code == 403
    assert "authenticator app" in desk.text
    assert "It counts once you have" in as_member(scene.moderator).get("/account").text
    answer = Caller(scene.moderator).post("/v1/makers", {"name": "Otterholm"})
    assert answer.json()["type"].endswith("/problems/second-step-needed")
    TOTP.activate(scene.moderator, SECRET)
    assert as_member(scene.moderator).get("/moderation").status_code == 200


def test_T23_staff_look_only_by_two_steps_and_never_at_sessions(strict, as_member):
    staff = MemberFactory(is_staff=True, is_superuser=True)
    assert as_member(staff).get("/admin/").status_code == 302
    TOTP.activate(staff, SECRET)
    page = as_member(staff).get("/admin/")
    assert page.status_code == 200
    assert "/admin/mfa/" not in page.text
    assert "/admin/usersessions/" not in page.text


def test_T23_an_authenticator_app_is_set_up_and_then_asked_for(settings):
    member = signed_up(MemberFactory())
    browser, _ = sign_in(member)
    asked = browser.get("/accounts/2fa/totp/activate/").headers["Location"]
    page = browser.post(asked, {"password": PASSWORD}, follow=True)
    secret = re.search(r"<code>([A-Z2-7]+)</code>", page.text)[1]
    wrong = browser.post("/accounts/2fa/totp/activate/", {"code": "000000"})
    assert not Authenticator.objects.filter(type=Authenticator.Type.TOTP).exists()
    assert secret in wrong.text, "what was shown stays, so that it need not be read again"
    assert browser.post("/accounts/2fa/totp/activate/", {"code": six_digits(secret)}).status_code == 302
    kept = Authenticator.objects.get(user=member, type=Authenticator.Type.TOTP)
    assert secret not in str(kept.data)

    browser, answer = sign_in(member)
    assert answer.headers["Location"].startswith("/accounts/2fa/authenticate/")
    assert browser.get("/account").status_code == 302, "the password alone opens nothing"
    assert "passkey" not in browser.get("/accounts/2fa/authenticate/").text, "there is none to use"
    assert browser.post("/accounts/2fa/authenticate/", {"code": "123456"}).status_code == 200
    assert browser.get("/account").status_code == 302
    code = six_digits(secret)
    assert browser.post("/accounts/2fa/authenticate/", {"code": code}).status_code == 302
    assert browser.get("/account").status_code == 200
    other, _ = sign_in(member)
    assert other.post("/accounts/2fa/authenticate/", {"code": code}).status_code == 200, "each opens once"
    assert other.get("/account").status_code == 302


def test_T23_a_changed_site_secret_opens_nothing(settings):
    member = signed_up(MemberFactory())
    TOTP.activate(member, SECRET)
    settings.SECRET_KEY = "another secret than before"
    browser, _ = sign_in(member)
    answer = browser.post("/accounts/2fa/authenticate/", {"code": six_digits(SECRET)})
    assert answer.status_code == 200
    assert browser.get("/account").status_code == 302


def test_T23_guessing_passwords_is_slowed_down_and_the_owner_can_still_recover(mailoutbox):
    member = signed_up(MemberFactory())
    statuses = [
        Client().post("/accounts/login/", {"login": member.email, "password": f"guess {n}"}).status_code
        for n in range(12)
    ]
    assert 429 in statuses or sign_in(member)[1].status_code != 302
    answer = Client().post("/accounts/password/reset/", {"email": member.email})
    assert answer.status_code == 302
    assert [mail.to for mail in mailoutbox] == [[member.email]]


def test_one_sees_where_one_is_signed_in_and_signs_the_others_out():
    member = signed_up(MemberFactory())
    here, _ = sign_in(member)
    there, _ = sign_in(member, Client(headers={"user-agent": "Harbour Browser 3"}))
    page = here.get("/accounts/sessions/")
    assert "Harbour Browser 3" in page.text
    here.post("/accounts/sessions/")
    assert (here.get("/account").status_code, there.get("/account").status_code) == (200, 302)


@pytest.mark.parametrize("deed", ["grant", "revoke", "suspend"])
def test_T24_a_changed_role_ends_every_session(scene, deed):
    member = signed_up(MemberFactory())
    if deed == "revoke":
        actions.grant_role(member=member, role="reviewer", by=None, at=now())
    browser, _ = sign_in(member)
    assert browser.get("/account").status_code == 200
    match deed:
        case "grant":
            actions.grant_role(member=member, role="reviewer", by=None, at=now())
        case "revoke":
            actions.revoke_role(member=member, role="reviewer", by=scene.moderator, at=now(), reason="Away.")
        case "suspend":
            actions.suspend(member=member, by=scene.moderator, at=now(), reason="Spam.")
    assert browser.get("/account").status_code == 302
    assert not UserSession.objects.filter(user=member).exists()
    assert not Session.objects.exists()


def test_one_browser_is_signed_out_and_no_other_and_never_anothers():
    member = signed_up(MemberFactory())
    (here, _), (there, _) = sign_in(member), sign_in(member)
    stranger, _ = sign_in(signed_up(MemberFactory()))
    lost = UserSession.objects.get(session_key=there.session.session_key)
    assert stranger.post(f"/account/sessions/{lost.pk}/end").status_code == 404
    assert there.get("/account").status_code == 200
    assert f"/account/sessions/{lost.pk}/end" in here.get("/accounts/sessions/").text
    told = here.post(f"/account/sessions/{lost.pk}/end", follow=True)
    assert "That browser is signed out." in told.text
    assert there.get("/account").status_code == 302
    assert here.get("/account").status_code == 200
