"""Identify without a network: its twin in the browser answers as the server does, and a sheet kept once opens."""

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from registry.models import Mark
from registry.queries.identify import Question, Scope, answer
from tests.browser.conftest import PHONE
from tests.factories import MarkFactory, PhotoFactory
from tests.methods.identify_vectors import assert_same, written
from tests.path import now
from tests.pictures import jpeg
from tests.shelf import Shelf

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RUN = """async ([path, vectors]) => {
  const { identify } = await import(path);
  return vectors.map((each) => identify(each.table, each.observations, each.options));
}"""


KEPT_PICTURES = """async () => {
  const kept = await (await caches.open("pocket")).keys();
  return kept.filter(({url}) => url.endsWith(".jpg")).length;
}"""


def test_the_twin_answers_the_same_in_the_browser(open_page):
    vectors = written()
    answers = open_page("/").evaluate(RUN, ["/static/registry/identify.js", vectors])
    for vector, told in zip(vectors, answers, strict=True):
        assert_same(told, vector["answer"], vector["what"])


def ranking_on(page):
    page.wait_for_selector("#pocket[data-ready=yes]")
    return page.locator("#pocket .ranking a").all_inner_texts(), page.locator(".share").all_inner_texts()


def ranking_told(shelf, **seen):
    told = answer(Question(Scope("release", shelf.release.public_id), shelf.said(**seen), keep=6))
    shares = [each["probability"] for each in told["ranking"]] + [told["not_listed"]["probability"]]
    words = ["less than 1 %" if 0 < share < 100 else f"{share / 100:.0f} %" for share in shares]
    return [each["title"] for each in told["ranking"]], [each.replace(" %", "\u00a0%") for each in words]


def test_a_pocket_sheet_opened_once_identifies_without_a_network(open_page):
    shelf = Shelf()
    shelf.count(First=4, Dated_base=2)
    photo = PhotoFactory(submission__sent_at=now())
    default_storage.save(photo.stored_as("800"), ContentFile(jpeg(800, 533)))
    mark = MarkFactory(photo=photo, claim=shelf.states["wheels", "silver"].claims.first())
    page = open_page(f"/pocket/{shelf.release.public_id}", size=PHONE)
    page.get_by_text("Kept on this device").wait_for()
    page.context.set_offline(True)
    page.reload()
    shown = page.locator("label.pick", has_text="silver").locator("img.crop")
    shown.scroll_into_view_if_needed()
    page.wait_for_function("document.querySelector('img.crop').naturalWidth === 144")
    assert shown.get_attribute("src").endswith(f"/{mark.public_id}.jpg")
    assert ranking_on(page) == ranking_told(shelf)
    page.get_by_label("silver").check()
    assert ranking_on(page) == ranking_told(shelf, wheels="silver")
    page.get_by_label("blue").check()
    assert ranking_on(page)[0][0] == "Blue crest"
    assert "Roof crest, blue on this one: speaks for it." in page.locator(".answer").inner_html()
    assert page.locator("legend", has_text="Base text").count() == 1
    page.get_by_label("loose, in hand").uncheck()
    assert page.locator("legend", has_text="Base text").count() == 0
    page.context.set_offline(False)
    shelf.add("Fifth", wheels="white")
    Mark.objects.update(removed_at=now())
    page.reload()
    assert "Fifth" in ranking_on(page)[0]
    page.get_by_text("Kept on this device").wait_for()
    assert page.evaluate(KEPT_PICTURES) == 0


def test_in_german_a_detail_keeps_its_capital_inside_a_sentence(open_page):
    page = open_page(f"/pocket/{Shelf().release.public_id}", size=PHONE, locale="de-DE")
    page.get_by_label("lose, in der Hand").uncheck()
    assert "„Base text“" in page.locator("#pocket").inner_text()


def test_on_a_phone_each_answer_moves_the_ranking_and_the_address(open_page):
    shelf = Shelf()
    page = open_page(f"/releases/{shelf.release.public_id}/identify", size=PHONE)
    heights = page.locator("label.pick").evaluate_all(
        "all => all.filter((one) => one.checkVisibility()).map((one) => one.getBoundingClientRect().height)"
    )
    assert heights
    assert min(heights) >= 44
    page.get_by_label("silver").check()
    page.wait_for_url("**held=loose**")
    page.get_by_label("blue").check()
    page.get_by_text("If it is Blue crest").wait_for()
    assert shelf.states["crest", "blue"].public_id in page.url
    assert page.locator(".ranking a").first.inner_text() == "Blue crest"
    page.go_back()
    page.get_by_text("If it is Blue crest").wait_for(state="detached")


@pytest.mark.parametrize("inside", [(687, 1017), (711, 950)], ids=["A4", "Letter"])
def test_a_sheet_prints_its_key_and_nothing_to_press_within_the_margins(open_page, inside):
    """210 x 297 mm and 215.9 x 279.4 mm, less 14 mm on each side, at 96 to the inch."""
    page = open_page(f"/pocket/{Shelf().release.public_id}", size=inside)
    ranking_on(page)
    page.emulate_media(media="print")
    assert page.evaluate("document.documentElement.scrollWidth") <= inside[0]
    assert page.get_by_text("1. Front wheels: gold, go to").first.is_visible()
    assert not page.locator("#pocket").is_visible()
    assert page.locator("button:visible").count() == 0
