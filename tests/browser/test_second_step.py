"""T23 in a browser: a reviewer adds a passkey or an authenticator app, signs in by two steps and may vote again."""

import re
import time

import pytest
from allauth.account.models import EmailAddress

from registry.models import Vote
from tests.path import Scene, claim_on
from tests.web.test_T23_second_step import PASSWORD, six_digits

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LOCAL = {"protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True,
         "isUserVerified": True, "automaticPresenceSimulation": True}  # fmt: skip


@pytest.fixture
def scene(settings) -> Scene:
    settings.CASTLORE_SECOND_STEP = True
    return Scene()


@pytest.fixture
def reviewer(scene):
    member = scene.reviewers[0]
    member.set_password(PASSWORD)
    member.save()
    EmailAddress.objects.create(user=member, email=member.email, verified=True, primary=True)
    return member


def code_of(secret: str) -> str:
    """The six digits of now; near the end of their half minute, those of the next."""
    left = 30 - time.time() % 30
    if left < 10:
        time.sleep(left)
    return six_digits(secret)


def sign_in(page, member) -> None:
    page.get_by_label("E-mail address").fill(member.email)
    page.get_by_label("Password").fill(PASSWORD)
    page.locator("main").get_by_role("button", name="Sign in").click()


def vote(page) -> None:
    page.get_by_label("Yes, it is so").check()
    page.get_by_role("button", name="Keep my vote").click()


def confirm_password(page) -> None:
    if page.get_by_label("Password").count():
        page.get_by_label("Password").fill(PASSWORD)
        page.locator("main form").get_by_role("button").first.click()


def sign_out(page) -> None:
    page.context.clear_cookies()


def test_T23_an_authenticator_app_is_set_up_asked_for_and_then_votes_count(open_page, scene, reviewer):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    address = f"/claims/{claim.public_id}/vote"
    page = open_page(f"/accounts/login/?next={address}")
    site = page.url.split("/accounts/")[0]
    sign_in(page, reviewer)
    vote(page)
    page.get_by_text("Reviewers and moderators sign in by two steps").wait_for()
    assert not Vote.objects.exists()
    page.goto(f"{site}/accounts/2fa/")
    page.get_by_role("link", name="Set up an app").click()
    confirm_password(page)
    secret = re.search(r"<code>([A-Z2-7]+)</code>", page.content())[1]
    page.locator("input[name=code]").fill(code_of(secret))
    page.locator("main form").get_by_role("button").first.click()
    page.wait_for_url(re.compile("/accounts/2fa/recovery-codes|/accounts/2fa/$"))
    sign_out(page)
    page.goto(f"{site}/accounts/login/?next={address}")
    sign_in(page, reviewer)
    page.get_by_role("heading", name="One more step").wait_for()
    page.locator("input[name=code]").fill(code_of(secret))
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url(f"{site}{address}")
    vote(page)
    page.get_by_text("is kept.").wait_for()
    assert Vote.objects.get().counts


def test_T23_a_passkey_is_added_and_opens_the_account_with_the_password(open_page, scene, reviewer):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    address = f"/claims/{claim.public_id}/vote"
    page = open_page("/accounts/login/?next=/accounts/2fa/")
    site = page.url.split("/accounts/")[0]
    wire = page.context.new_cdp_session(page)
    wire.send("WebAuthn.enable")
    wire.send("WebAuthn.addVirtualAuthenticator", {"options": LOCAL})
    sign_in(page, reviewer)
    page.get_by_role("link", name="Add a passkey").click()
    confirm_password(page)
    page.wait_for_url(re.compile("/accounts/2fa/webauthn/add/"))
    page.locator("input[name=name]").fill("Harbour phone")
    page.locator("main form").get_by_role("button").first.click()
    page.wait_for_url(re.compile("/accounts/2fa/(webauthn/$|recovery-codes|$)"))
    sign_out(page)
    page.goto(f"{site}/accounts/login/?next={address}")
    sign_in(page, reviewer)
    page.wait_for_url(re.compile("/accounts/2fa/authenticate/"))  # with its script
    page.get_by_role("button", name="Use my passkey").click()
    page.wait_for_url(f"{site}{address}")
    vote(page)
    page.get_by_text("is kept.").wait_for()
    assert Vote.objects.get().counts


def test_a_passkey_that_does_not_come_is_told(open_page, reviewer):
    page = open_page("/accounts/login/?next=/accounts/2fa/webauthn/add/")
    page.add_init_script("navigator.credentials.create = () => Promise.reject(new Error('put aside'))")
    sign_in(page, reviewer)
    confirm_password(page)
    page.wait_for_url(re.compile("/accounts/2fa/webauthn/add/"))
    assert page.get_by_role("alert").count() == 0
    page.get_by_role("button", name="Add it").click()
    page.get_by_role("alert").get_by_text("No passkey came").wait_for()
