"""The path as people walk it: draw a mark, send the report, vote, dispute, vote on what is proposed."""

import pytest

from registry.models import Claim, Dispute, Variant, Vote
from tests.browser.conftest import PHONE
from tests.path import Scene, claim_on
from tests.pictures import jpeg

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def scene() -> Scene:
    return Scene()


def begin(open_page, scene: Scene, base: Variant, **how):
    """A report on one that differs from the base, up to its photograph."""
    page = open_page(f"/variants/{base.public_id}", member=scene.reviewers[0], **how)
    page.get_by_role("link", name="Mine differs from it").click()
    page.get_by_role("button", name="Begin", exact=True).click()
    page.get_by_label("Roof crest on mine").select_option("gull")
    page.get_by_text("Names for it, and whether").click()
    page.get_by_label("Short name").fill("Gull crest")
    page.get_by_role("button", name="Keep and go on").click()
    page.get_by_label("Month found").fill("2026-03")
    page.get_by_role("button", name="Note it").click()
    picture = {"name": "roof.jpg", "mimeType": "image/jpeg", "buffer": jpeg(1200, 800)}
    page.get_by_label("Photographs").set_input_files([picture])
    page.get_by_role("button", name="Send the photographs").click()
    page.get_by_role("heading", name="Photograph 1").wait_for()
    page.get_by_role("link", name="Go on to the marks").click()
    return page


def finish(page) -> Variant:
    page.get_by_role("link", name="Go on to the sightings").click()
    page.get_by_role("link", name="Go on to the last look").click()
    page.get_by_role("button", name="Send the report").click()
    page.get_by_role("heading", name="Gull crest", level=1).wait_for()
    return Variant.objects.get(title="Gull crest")


def test_a_mark_drawn_with_the_mouse_is_sent_with_the_report(open_page, scene):
    page = begin(open_page, scene, scene.baseline())
    plate = page.get_by_role("application", name="Mark on the picture")
    plate.scroll_into_view_if_needed()
    box = plate.bounding_box()
    page.mouse.move(box["x"] + box["width"] * 0.25, box["y"] + box["height"] * 0.5)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.75, steps=4)
    page.mouse.up()
    drawn = page.locator(".drawing")
    assert float(drawn.get_attribute("width")) == pytest.approx(25, abs=0.5)
    page.get_by_role("button", name="Keep the mark").click()
    mark = claim_on(finish(page), scene.crest).marks.get()
    assert (mark.x, mark.y, mark.w, mark.h) == pytest.approx((2500, 5000, 2500, 2500), abs=60)


def test_a_mark_is_drawn_with_a_finger_and_the_page_stays_where_it_is(open_page, scene):
    page = begin(open_page, scene, scene.baseline(), size=PHONE, has_touch=True, is_mobile=True)
    plate = page.get_by_role("application", name="Mark on the picture")
    plate.scroll_into_view_if_needed()
    box, scrolled = plate.bounding_box(), page.evaluate("scrollY")
    wire = page.context.new_cdp_session(page)
    path = [
        ("touchStart", 0.25, 0.5),
        ("touchMove", 0.4, 0.6),
        ("touchMove", 0.5, 0.75),
        ("touchEnd", None, None),
    ]
    for kind, across, down in path:
        at = [] if across is None else [
            {"x": box["x"] + box["width"] * across, "y": box["y"] + box["height"] * down}
        ]  # fmt: skip
        wire.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})
    assert page.evaluate("scrollY") == scrolled
    page.get_by_role("button", name="Keep the mark").tap()
    mark = claim_on(finish(page), scene.crest).marks.get()
    assert (mark.x, mark.y, mark.w, mark.h) == pytest.approx((2500, 5000, 2500, 2500), abs=60)


def test_a_mark_can_be_made_by_keyboard_alone_on_a_phone(open_page, scene):
    page = begin(open_page, scene, scene.baseline(), size=PHONE)
    page.get_by_role("application", name="Mark on the picture").focus()
    for key in ("ArrowRight", "ArrowLeft", "Alt+ArrowUp", "Shift+ArrowRight", "Alt+Shift+ArrowDown"):
        page.keyboard.press(key)
    numbers = [page.get_by_label(label).input_value() for label in ("Left %", "Top %", "Width %", "Height %")]
    assert numbers == ["40", "35", "21", "25"]
    page.keyboard.press("Escape")
    assert page.get_by_label("Left %").input_value() == ""
    page.keyboard.press("ArrowRight")
    page.get_by_role("button", name="Keep the mark").press("Enter")
    mark = claim_on(finish(page), scene.crest).marks.get()
    assert (mark.x, mark.y, mark.w, mark.h) == (4100, 4000, 2000, 2000)


def test_without_scripts_the_numbers_are_typed(open_page, scene):
    page = begin(open_page, scene, scene.baseline(), java_script_enabled=False)
    for label, number in (("Left %", "10"), ("Top %", "20"), ("Width %", "30"), ("Height %", "40")):
        page.get_by_label(label).fill(number)
    page.get_by_role("button", name="Keep the mark").click()
    mark = claim_on(finish(page), scene.crest).marks.get()
    assert (mark.x, mark.y, mark.w, mark.h) == (1000, 2000, 3000, 4000)


def test_a_vote_brings_the_next_detail_without_loading_the_page(open_page, scene):
    variant = scene.report(scene.anchor, scene.red)
    page = open_page("/review", member=scene.reviewers[0])
    page.evaluate("window.same = true")
    first = page.locator("#look-title").inner_text()
    page.get_by_label("Yes, it is so").check()
    page.get_by_role("button", name="Keep my vote").click()
    page.get_by_text("is kept.").wait_for()
    assert page.evaluate("window.same") is True
    assert page.locator("#look-title").inner_text() != first
    assert page.evaluate("document.activeElement.id") == "look-title"
    page.get_by_label("I cannot tell").check()
    page.get_by_role("button", name="Keep my vote").click()
    page.get_by_role("heading", name="Nothing waits for you").wait_for()
    verdicts = Vote.objects.filter(by=scene.reviewers[0], claim__variant=variant).values_list(
        "verdict", flat=True
    )
    assert sorted(verdicts) == ["cannot_tell", "confirms"]


def test_a_refused_vote_says_why_where_it_stands(open_page, scene):
    scene.report(scene.anchor)
    page = open_page("/review", member=scene.reviewers[0])
    page.get_by_label("on my own example, loose").check()
    page.get_by_label("If not: what do you see?").select_option("gull")
    page.get_by_label("Yes, it is so").check()
    page.get_by_role("button", name="Keep my vote").click()
    page.get_by_text("Name the state seen only when you contradict").wait_for()
    assert page.get_by_label("on my own example, loose").is_checked()
    assert not Vote.objects.exists()


def test_a_detail_is_disputed_and_the_next_reviewer_votes_for_what_is_proposed(open_page, scene):
    base = scene.baseline()
    page = open_page(f"/variants/{base.public_id}", member=scene.reviewers[4])
    crest = page.locator("section", has=page.get_by_role("heading", name="Roof crest: anchor"))
    crest.get_by_role("link", name="It is wrong").click()
    page.get_by_label("What do you see instead?").select_option("gull")
    page.get_by_label("How can you tell?").fill("In daylight it has wings.")
    page.get_by_role("button", name="Open the dispute").click()
    page.get_by_role("heading", name="Roof crest: anchor, or gull?").wait_for()
    dispute = Dispute.objects.get()

    page = open_page(f"/variants/{base.public_id}", member=scene.reviewers[5])
    page.get_by_role("link", name="In dispute: see both sides and vote").click()
    page.get_by_label("gull, as proposed").check()
    page.get_by_role("button", name="Keep my vote").click()
    page.get_by_text("Your vote is kept.").wait_for()
    assert page.get_by_text("it contests the detail as listed").is_visible()
    vote = Vote.objects.get(by=scene.reviewers[5], claim=dispute.rival)
    assert vote.verdict == "confirms"
    assert Claim.objects.get(pk=dispute.claim_id).standing == "disputed"


def test_votes_for_what_is_proposed_correct_the_detail_and_both_pages_say_so(open_page, scene):
    base = scene.baseline()
    page = open_page(f"/claims/{claim_on(base, scene.crest).public_id}/dispute", member=scene.author)
    page.get_by_label("What do you see instead?").select_option("gull")
    page.get_by_label("How can you tell?").fill("In daylight it has wings.")
    page.get_by_role("button", name="Open the dispute").click()
    page.get_by_role("heading", name="Roof crest: anchor, or gull?").wait_for()
    dispute, example = Dispute.objects.get(), scene.example()
    scene.mark(dispute.rival, scene.photo(example), example)
    scene.vote(dispute.rival, voters=2)

    page = open_page(page.url.removeprefix(site_of(page)), member=scene.reviewers[2])
    page.get_by_label("gull, as proposed").check()
    page.get_by_role("button", name="Keep my vote").click()
    page.get_by_text("corrected", exact=True).wait_for()
    assert page.get_by_role("button", name="Keep my vote").count() == 0
    page.get_by_role("main").get_by_role("link", name=base.title).last.click()
    assert page.get_by_role("heading", name="Roof crest: gull").is_visible()
    assert page.get_by_role("heading", name="Roof crest: anchor").count() == 0
    assert claim_on(base, scene.crest).pk == dispute.rival_id


def site_of(page) -> str:
    return page.url.split("/disputes/")[0]
