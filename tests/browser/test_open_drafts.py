"""Others say what differs in the picture of an opened draft."""

import pytest

from registry.models import Remark
from tests.browser.conftest import PHONE
from tests.opened import an_opened_draft
from tests.path import Scene

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_what_differs_is_said_on_a_phone_by_keyboard_alone(open_page):
    scene = Scene()
    draft = an_opened_draft(scene, scene.author)
    page = open_page(f"/open/{draft.public_id}", member=scene.reviewers[0], size=PHONE)
    page.get_by_text("Say what you see").press("Enter")
    page.get_by_role("application", name="Mark on the picture").press("ArrowRight")
    page.get_by_label("What do you see there?").select_option("Roof crest: gull")
    page.get_by_role("button", name="Say it").press("Enter")
    page.get_by_text("Roof crest: gull").first.wait_for()
    remark = Remark.objects.get()
    assert (remark.x, remark.y, remark.w, remark.h) == (4100, 4000, 2000, 2000)
