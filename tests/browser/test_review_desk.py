"""The review desk by keyboard: keys vote, never while somebody types; pictures are enlarged and moved in step."""

import pytest
from playwright.sync_api import expect

from registry.models import Example, Vote
from tests.browser.conftest import PHONE
from tests.path import Scene, claim_on
from tests.shown import sent

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def scene() -> Scene:
    return Scene()


def title(page) -> str:
    return page.locator("#look-title").inner_text()


def press(page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def test_a_detail_is_voted_on_and_the_next_put_aside_by_keys_without_loading_the_page(open_page, scene):
    scene.report(scene.anchor, scene.red, scene.black)
    page = open_page("/review", member=scene.reviewers[0])
    page.evaluate("window.same = true")
    first = title(page)
    press(page, "?")
    assert page.get_by_text("put aside, next one", exact=True).is_visible()
    press(page, "n", "l", "y")
    assert page.get_by_label("Yes, it is so").is_checked()
    assert page.get_by_label("on my own example, loose").is_checked()
    press(page, "k")
    page.get_by_text("is kept.").wait_for()
    second = title(page)
    assert second != first
    expect(page.locator("#look-title")).to_be_focused()  # by then the keys lead on from here
    press(page, "a")
    expect(page.locator("#look-title")).not_to_have_text(second)
    expect(page.locator("#look-title")).to_be_focused()
    assert page.evaluate("window.same") is True
    vote = Vote.objects.get()
    assert (vote.verdict, vote.basis) == ("confirms", "own_loose")


def test_no_key_acts_while_somebody_types_or_holds_control_or_has_turned_them_off(open_page, scene):
    scene.report(scene.anchor)
    page = open_page("/review", member=scene.reviewers[0])
    note = page.get_by_label("Note")
    note.focus()
    page.keyboard.type("yes, kept as my own")
    assert note.input_value() == "yes, kept as my own"
    page.get_by_label("If not: what do you see?").focus()
    press(page, "y", "k")
    page.locator("#look-title").focus()
    press(page, "Control+y", "Alt+y")
    assert page.locator("input[name=verdict]:checked").count() == 0
    press(page, "?")
    page.get_by_label("Keys work on this page").uncheck()
    page.locator("#look-title").focus()
    press(page, "y")
    page.reload()
    press(page, "y", "?")
    assert page.locator("input[name=verdict]:checked").count() == 0
    assert not page.locator("#keys").get_attribute("open")
    assert not Vote.objects.exists()


def test_without_scripts_no_keys_are_promised_and_the_next_one_comes_as_a_page(open_page, scene):
    scene.report(scene.anchor, scene.red)
    page = open_page("/review", member=scene.reviewers[0], java_script_enabled=False)
    assert not page.get_by_text("Keys", exact=True).is_visible()
    first = title(page)
    page.get_by_role("link", name="Put aside, next one").click()
    assert title(page) != first
    page.get_by_label("I cannot tell").check()
    page.get_by_role("button", name="Keep my vote").click()
    page.get_by_text("is kept.").wait_for()
    assert title(page) == first
    assert Vote.objects.get().verdict == "cannot_tell"


@pytest.mark.parametrize("size", [PHONE, (1280, 900)], ids=["phone", "desk"])
@pytest.mark.usefixtures("no_pair_kept")
def test_the_pictures_of_a_pair_are_enlarged_and_moved_in_step(open_page, scene, size):
    base, _ = sent(scene, "lg24_a_1_pack_left", scene.black)
    variant, _ = sent(scene, "lg24_b_1_pack_left", scene.chrome, base=base)
    claim = claim_on(variant, scene.wheels)
    page = open_page(f"/claims/{claim.public_id}/vote", size=size, member=scene.reviewers[0])
    page.get_by_role("link", name="Lay it over the one it differs from").click()
    page.locator(".pair.laid").wait_for()
    panes = page.locator(".pair .pane, .pair .lens")
    assert panes.count() == 3
    first = page.locator(".pair .lens").first
    first.focus()
    press(page, "+", "+")
    told = panes.evaluate_all("all => all.map((one) => one.firstElementChild.clientWidth / one.clientWidth)")
    assert told == pytest.approx([4, 4, 4], abs=0.05)
    first.evaluate("one => { one.scrollLeft = one.scrollWidth; one.scrollTop = 0; }")
    page.wait_for_function(
        """() => [...document.querySelectorAll(".pair .pane, .pair .lens")]
          .every((one) => one.scrollLeft + one.clientWidth > one.scrollWidth - 3)"""
    )
    press(page, "-", "-")
    assert first.evaluate("one => one.scrollWidth <= one.clientWidth + 1")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_my_example_agrees_on_all_but_one_in_one_step_from_the_desk(open_page, scene):
    variant = scene.report(scene.anchor, scene.red, scene.black)
    page = open_page("/review", member=scene.reviewers[0], size=PHONE)
    press(page, "m")
    page.get_by_role("heading", name="My example agrees on everything I can see").wait_for()
    crest = page.get_by_role("group", name="Roof crest: anchor")
    crest.get_by_label("mine differs").check()
    page.get_by_label("how do you hold it?").select_option("loose")
    page.get_by_role("button", name="Keep these votes").press("Enter")
    page.get_by_text("Kept: 3 votes on").wait_for()
    assert title(page) == "Nothing waits for you"
    votes = Vote.objects.filter(claim__variant=variant, example=Example.objects.get())
    assert sorted(votes.values_list("claim__trait__key", "verdict")) == [
        ("crest", "contradicts"),
        ("stripe", "confirms"),
        ("wheels", "confirms"),
    ]
