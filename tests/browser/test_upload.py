"""Pictures are sent one after another; where the connection drops, what was chosen is kept and none comes twice."""

import pytest
from PIL import Image

from registry import actions
from registry.models import Photo
from tests.path import Scene, now
from tests.pictures import jpeg, saved

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SLOW = 100_000  # bytes a second


def file(name: str, data: bytes = jpeg(600, 400)) -> dict[str, object]:
    return {"name": name, "mimeType": "image/jpeg", "buffer": data}


def large() -> bytes:
    """A picture of some hundred thousand bytes, which takes a while to send."""
    return saved(Image.effect_noise((900, 600), 90).convert("RGB"), quality=90)


def photos_of_a_draft(open_page, **how):
    scene = Scene()
    draft = actions.start_draft(by=scene.author, at=now(), release=scene.release)
    page = open_page(f"/drafts/{draft.public_id}/photos", member=scene.author, **how)
    return page, draft


def network(page, **told):
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    calm = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
    session.send("Network.emulateNetworkConditions", calm | told)
    return session


def wait_until_partly_sent(page):
    bar = page.locator("progress")
    for _ in range(200):
        if 5 < bar.evaluate("it => it.value") < 100:
            return
        page.wait_for_timeout(25)
    pytest.fail("The picture was not seen on its way.")


def test_a_dropped_connection_is_waited_for_and_the_upload_goes_on(open_page):
    page, draft = photos_of_a_draft(open_page)
    page.get_by_label("Photographs").set_input_files([file("roof.jpg", large()), file("base.jpg")])
    network(page, uploadThroughput=SLOW)
    page.get_by_role("button", name="Send the photographs").click()
    page.get_by_text("Sending 1 of 2: roof.jpg").wait_for()
    wait_until_partly_sent(page)
    assert page.get_by_role("button", name="Try now").is_hidden()
    page.context.set_offline(True)
    page.get_by_text("roof.jpg is kept here").wait_for()
    assert page.get_by_text(" percent of it is sent").is_hidden()
    assert page.locator(".tray li").count() == 2, "what was chosen is still there"
    assert page.get_by_role("button", name="Try now").is_visible()
    assert not Photo.objects.exists()
    network(page)
    page.context.set_offline(False)
    page.get_by_role("heading", name="Photograph 2").wait_for()
    assert draft.photos.count() == 2
    assert page.locator(".tray li").count() == 0


def test_a_picture_whose_answer_was_lost_is_found_again_and_not_doubled(open_page):
    page, draft = photos_of_a_draft(open_page)
    lost = []

    def lose_the_first_answer(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)
        return route.abort()

    page.route("**/photos/upload", lose_the_first_answer)
    page.get_by_label("Photographs").set_input_files([file("roof.jpg")])
    page.get_by_role("button", name="Send the photographs").click()
    page.get_by_text("The connection dropped").wait_for()
    assert (lost, draft.photos.count()) == ([200], 1)
    page.get_by_role("button", name="Try now").click()
    page.get_by_role("heading", name="Photograph 1").wait_for()
    assert draft.photos.count() == 1


def test_a_refused_file_is_named_and_the_others_arrive(open_page):
    page, draft = photos_of_a_draft(open_page)
    wrong = {"name": "notes.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"}
    page.get_by_label("Photographs").set_input_files([wrong, file("roof.jpg")])
    page.get_by_role("button", name="Send the photographs").click()
    page.get_by_text("1 of 2 arrived").wait_for()
    assert "notes.jpg:" in page.locator(".tray [role=status]").inner_text()
    page.get_by_role("button", name="Go on with those that arrived").click()
    page.get_by_role("heading", name="Photograph 1").wait_for()
    assert draft.photos.count() == 1


def test_pictures_are_dropped_and_left_out_before_they_are_sent(open_page):
    page, draft = photos_of_a_draft(open_page)
    page.evaluate(
        """() => {
          const dropped = new DataTransfer();
          ["a.jpg", "b.jpg"].forEach((name) => dropped.items.add(new File(["x" + name], name, { type: "image/jpeg" })));
          const form = document.querySelector("form[data-upload]");
          form.dispatchEvent(new DragEvent("drop", { dataTransfer: dropped, bubbles: true, cancelable: true }));
        }"""
    )
    assert page.locator(".tray li").count() == 2
    page.get_by_role("button", name="Leave out a.jpg").press("Enter")
    assert page.locator(".tray li").all_inner_texts()[0].startswith("b.jpg")
    assert not draft.photos.exists()


def test_a_phone_offers_its_camera_and_a_desk_does_not(open_page):
    page, _ = photos_of_a_draft(open_page, has_touch=True, is_mobile=True)
    assert page.get_by_label("Or take a picture now").get_attribute("capture") == "environment"
    assert page.get_by_label("Or take a picture now").is_visible()
    assert not photos_of_a_draft(open_page)[0].get_by_label("Or take a picture now").is_visible()


def test_a_form_whose_upload_is_stopped_by_hand_may_be_sent_again(open_page):
    author = Scene().author
    page = open_page("/quick", member=author)
    page.get_by_label("Picture").set_input_files([file("roof.jpg")])
    page.get_by_label("What strikes you, in one sentence").fill("The crest looks wider.")
    page.route("**/quick", lambda route: None)  # it never arrives
    keep = page.get_by_role("button", name="Keep it as a draft")
    with page.expect_request(lambda request: request.method == "POST"):
        assert keep.evaluate("it => { it.click(); return it.textContent; }") == "Sending …"
    page.context.new_cdp_session(page).send("Page.stopLoading")
    keep.wait_for()
    assert page.locator("[aria-busy]").count() == 0
    page.unroute("**/quick")
    keep.click()
    page.wait_for_url("**/drafts/*/photos")
    assert Photo.objects.get(submission__author=author).submission.content["note"] == "The crest looks wider."
