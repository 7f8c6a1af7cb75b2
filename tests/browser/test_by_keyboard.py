"""By keyboard alone: the whole path, and on a photograph's page a chart's corners and a measured length."""

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from playwright.sync_api import Locator

from registry.actions.index import index
from registry.models import CabinetItem, Chart, Dispute, Measurement, Variant, Vote
from tests.browser.conftest import PHONE, PICTURE
from tests.factories import ReviewerFactory
from tests.path import Scene, claim_on
from tests.shelf import Shelf

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def press(page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def follow(page, it: Locator) -> None:
    """Come to it by Tab, and to where it leads by Enter."""
    reach(page, it)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def reach(page, it: Locator) -> None:
    it.wait_for()
    for _ in range(200):
        if it.evaluate("one => one === document.activeElement"):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"Tab does not reach {it}")


def choose(page, radio: Locator) -> None:
    """Come to its group by Tab and to itself by arrows, and take it."""
    reach(page, radio.locator("xpath=ancestor::fieldset[1]").get_by_role("radio").first)
    for _ in range(20):
        if radio.evaluate("one => one === document.activeElement"):
            return page.keyboard.press("Space")
        page.keyboard.press("ArrowDown")
    pytest.fail(f"Arrows do not reach {radio}")


def fill(page, label: str, words: str) -> None:
    """Type into a field, or choose in a list what begins so."""
    reach(page, page.get_by_label(label))
    page.keyboard.type(words)


def test_one_is_looked_for_told_apart_reported_and_kept_without_a_mouse(open_page):
    scene = Scene()
    base = scene.verify(scene.report(scene.anchor, scene.black))
    scene.change(base, scene.gull)
    index(scene.release)
    page = open_page("/", member=scene.author, size=PHONE)
    fill(page, "Find a casting, release, detail or bar code", scene.release.name.split()[0])
    with page.expect_navigation():
        page.keyboard.press("Enter")
    follow(page, page.get_by_role("main").get_by_role("link", name=scene.release.name).first)
    follow(page, page.get_by_role("main").get_by_role("link", name="Which one is it?"))

    crest = page.get_by_role("group", name="Look next at: Roof crest")
    choose(page, crest.get_by_label("anchor"))
    page.get_by_text("What you said").wait_for()
    follow(page, page.get_by_role("link", name="See this variant"))
    follow(page, page.get_by_role("link", name="Mine differs from it"))
    follow(page, page.get_by_role("button", name="Begin", exact=True))
    fill(page, "Wheels on mine", "chrome")
    reach(page, page.locator("summary").filter(has_text="Names for it"))
    press(page, "Enter")
    fill(page, "Short name", "Chrome wheels")
    follow(page, page.get_by_role("button", name="Keep and go on"))
    follow(page, page.get_by_role("link", name="It is another: "))
    follow(page, page.get_by_role("button", name="Note it"))
    reach(page, page.get_by_label("Photographs"))
    with page.expect_file_chooser() as chooser:
        page.keyboard.press("Space")
    chooser.value.set_files([{"name": "side.jpg", "mimeType": "image/jpeg", "buffer": PICTURE}])
    follow(page, page.get_by_role("button", name="Send the photographs"))
    follow(page, page.get_by_role("link", name="Go on to the marks"))
    reach(page, page.get_by_role("application", name="Mark on the picture"))
    press(page, "ArrowRight", "Alt+ArrowUp", "Shift+ArrowRight")
    follow(page, page.get_by_role("button", name="Keep the mark"))
    follow(page, page.get_by_role("link", name="Go on to the sightings"))
    follow(page, page.get_by_role("link", name="Go on to the last look"))
    follow(page, page.get_by_role("button", name="Send the report"))
    page.get_by_role("heading", name="Chrome wheels", level=1).wait_for()
    variant = Variant.objects.get(title="Chrome wheels")
    mark = claim_on(variant, scene.wheels).marks.get()
    assert (mark.x, mark.y, mark.w, mark.h) == (4100, 3500, 2100, 2000)

    follow(page, page.get_by_role("button", name="I own one, loose"))
    page.get_by_text("In your cabinet:").wait_for()
    assert CabinetItem.objects.get(member=scene.author).variant == variant
    follow(page, page.get_by_role("main").get_by_role("link", name=scene.release.name).first)
    reach(page, page.locator("summary", has_text="More"))
    press(page, "Enter")
    follow(page, page.get_by_role("link", name="Comparison sheet"))
    page.get_by_text("To print it, use your browser").wait_for()


def test_a_detail_is_voted_on_disputed_and_corrected_without_a_mouse(open_page):
    scene = Scene()
    base = scene.verify(scene.report(scene.anchor, scene.black))
    report = scene.report(scene.chrome, base=base)
    page = open_page("/review", member=scene.reviewers[0])
    choose(page, page.get_by_label("Yes, it is so"))
    reach(page, page.get_by_role("button", name="Keep my vote"))
    press(page, "Enter")
    page.get_by_text("is kept.").wait_for()
    assert Vote.objects.get(claim__variant=report, by=scene.reviewers[0]).verdict == "confirms"

    page = open_page(f"/variants/{base.public_id}", member=scene.author)
    crest = page.locator("section", has=page.get_by_role("heading", name="Roof crest: anchor"))
    follow(page, crest.get_by_role("link", name="It is wrong"))
    fill(page, "What do you see instead?", "gull")
    fill(page, "How can you tell?", "In daylight it has wings.")
    follow(page, page.get_by_role("button", name="Open the dispute"))
    page.get_by_role("heading", name="Roof crest: anchor, or gull?").wait_for()
    dispute, example = Dispute.objects.get(), scene.example()
    scene.mark(dispute.rival, scene.photo(example), example)
    scene.vote(dispute.rival, voters=2)

    page = open_page(f"/disputes/{dispute.public_id}", member=scene.reviewers[2])
    choose(page, page.get_by_label("gull, as proposed"))
    follow(page, page.get_by_role("button", name="Keep my vote"))
    page.get_by_text("corrected", exact=True).wait_for()
    assert claim_on(base, scene.crest).pk == dispute.rival_id


def test_arrows_go_through_the_choices_of_a_pocket_sheet_and_enter_takes_one(open_page):
    shelf = Shelf()
    page = open_page(f"/pocket/{shelf.release.public_id}", size=PHONE)
    first = page.locator(".asking > .looking")
    asked = first.locator("legend").inner_text()
    reach(page, first.get_by_role("radio").first)
    press(page, "ArrowDown", "ArrowDown")
    assert first.locator("legend").inner_text() == asked, "nothing is answered yet"
    press(page, "Enter")
    page.locator(".asking > details", has_text=asked.removeprefix("Look next at: ")).first.wait_for()
    assert first.locator("legend").inner_text() != asked
    assert first.evaluate("one => one === document.activeElement"), "keys go on at the next detail"


def test_a_chart_is_placed_and_a_length_measured_by_keyboard(open_page):
    scene = Scene()
    scene.release.casting.wheelbase_um = 36_000
    scene.release.casting.save()
    photo = scene.photo(scene.example(owner=scene.author), width=1200, height=800)
    photo.submission.variant = scene.report(scene.anchor)
    photo.submission.save()
    default_storage.save(photo.stored_as(), ContentFile(PICTURE))

    page = open_page(f"/photos/{photo.public_id}", size=PHONE, member=ReviewerFactory())
    plates = page.locator("figure.photo .plate")
    assert plates.first.evaluate("one => getComputedStyle(one).touchAction") == "auto", (
        "a finger can scroll it"
    )
    page.get_by_text("Point out a colour chart or grey card").press("Enter")
    for number, keys in enumerate((["Alt+ArrowLeft"], ["ArrowRight"], ["Alt+ArrowDown"], ["ArrowDown"]), 1):
        page.get_by_role("slider", name=f"Corner {number} of the chart").focus()
        press(page, *keys)
    page.get_by_label("grey card").press("Space")
    page.get_by_role("button", name="Keep the chart and measure").press("Enter")
    page.get_by_text("Measured by the grey card in the picture").wait_for()
    corners = sorted(map(tuple, Chart.objects.get().corners))
    assert corners == [(3800, 4000), (4000, 6020), (6000, 6200), (6020, 4000)]

    page.get_by_role("link", name="Measure on this photograph").press("Enter")
    page.get_by_role("application", name="Points on the picture").focus()
    press(page, "1", *["Alt+ArrowLeft"] * 4, "2", *["Alt+ArrowRight"] * 4)
    press(page, "3", "Alt+ArrowLeft", "4", "Alt+ArrowRight")
    page.get_by_role("button", name="Keep it on the record").press("Enter")
    page.get_by_text("9.0 ±").wait_for()
    assert Measurement.objects.get().length_um == 9_000
