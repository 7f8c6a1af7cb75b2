"""With scripts turned off, from signing in by two steps to a moderator's word.

Reports and votes without scripts are in `test_main_path.py` and `test_review_desk.py`.
"""

import pytest
from allauth.mfa.totp.internal.auth import TOTP

from registry.actions.index import index
from registry.models import CabinetItem, Hunt, Submission
from tests.browser.conftest import PHONE, PICTURE
from tests.browser.test_second_step import code_of, confirm_password, sign_in
from tests.path import Scene
from tests.web.test_T23_second_step import SECRET, signed_up

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def scene(settings) -> Scene:
    """One whose moderator signs in by two steps."""
    scene = Scene()
    scene.gull_crest = scene.change(scene.baseline(), scene.gull)
    index(scene.release)
    settings.CASTLORE_SECOND_STEP = True
    TOTP.activate(signed_up(scene.moderator), SECRET)
    return scene


def follow(page, link: str) -> None:
    page.get_by_role("main").get_by_role("link", name=link).first.click()


def press(page, button: str) -> None:
    page.get_by_role("button", name=button, exact=True).click()


def test_a_moderator_signs_in_by_two_steps_finds_keeps_asks_and_decides(open_page, scene):
    page = open_page("/", size=PHONE, java_script_enabled=False)
    press(page, "Deutsch")
    page.get_by_role("link", name="Anmelden").wait_for()
    press(page, "English")
    page.get_by_role("link", name="Sign in").click()
    sign_in(page, scene.moderator)
    page.get_by_role("heading", name="One more step").wait_for()
    page.get_by_role("button", name="Use my passkey").wait_for(state="hidden")  # it takes a script
    page.get_by_label("Code", exact=True).fill(code_of(SECRET))
    press(page, "Sign in")

    page.get_by_label("Find a casting, release, detail or bar code").fill(scene.release.name)
    press(page, "Find")
    follow(page, scene.release.name)
    follow(page, "Which one is it?")
    page.get_by_label("gull", exact=True).check()
    press(page, "Show what it may be")
    follow(page, "See this variant")
    press(page, "I own one, loose")
    follow(page, "several, or with a note")
    page.get_by_label("Private note").fill("From the quay.")
    press(page, "Put it in")
    owned = CabinetItem.objects.filter(member=scene.moderator, variant=scene.gull_crest)
    assert sorted(owned.values_list("note", flat=True)) == ["", "From the quay."]

    page.get_by_role("link", name="My hunt").click()
    follow(page, "Change what I look for")
    page.get_by_label("each running change", exact=True).check()
    press(page, "Keep it")
    page.get_by_role("heading", name="What is still missing").wait_for()
    assert Hunt.objects.get(member=scene.moderator).depth == "change"

    follow(page, scene.release.name)
    page.locator("summary", has_text="More").click()
    follow(page, "Not sure what differs?")
    page.get_by_label("Picture").set_input_files(
        [{"name": "roof.jpg", "mimeType": "image/jpeg", "buffer": PICTURE}]
    )
    page.get_by_label("What strikes you, in one sentence").fill("The crest looks wider.")
    press(page, "Ask others what differs here")
    page.get_by_text("The crest looks wider.").first.wait_for()
    assert Submission.objects.opened().get().author == scene.moderator

    page.goto(page.url.split("/open")[0] + f"/variants/{scene.gull_crest.public_id}")
    follow(page, "Merge, split or strike")
    better = page.locator("form", has=page.get_by_role("heading", name="Give it a better title"))
    better.get_by_label("Title").fill("Wide gull")
    better.get_by_label("Reason").fill("So it is called.")
    press(page, "Keep the title")
    page.get_by_text("Wide gull").first.wait_for()
    scene.gull_crest.refresh_from_db()
    assert scene.gull_crest.title == "Wide gull"


def test_where_a_passkey_cannot_be_added_the_page_leads_to_the_app(open_page, scene):
    page = open_page("/accounts/login/?next=/accounts/2fa/webauthn/add/", java_script_enabled=False)
    sign_in(page, signed_up(scene.author))
    confirm_password(page)
    page.get_by_role("heading", name="Add a passkey").wait_for()
    page.get_by_role("button", name="Add it").wait_for(state="hidden")
    follow(page, "An authenticator app")
    follow(page, "Set up an app")
    page.get_by_role("button", name="Set it up").wait_for()
