"""One photograph over the other in a real browser: it lies where the homography says, and the keyboard works it."""

import pytest

from tests.browser.conftest import PHONE
from tests.path import Scene, claim_on
from tests.shown import sent

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("no_pair_kept"),
]

# The box round the laid picture, by the homography and by the browser, in percent of the stage.
BOXES = """() => {
  const h = document.querySelector("[data-pair]").dataset.homography.split(" ").map(Number);
  const at = (x, y) => {
    const w = h[6] * x + h[7] * y + h[8];
    return [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w];
  };
  const corners = [at(0, 0), at(100, 0), at(100, 100), at(0, 100)];
  const xs = corners.map((one) => one[0]), ys = corners.map((one) => one[1]);
  const stage = document.querySelector(".stage").getBoundingClientRect();
  const laid = document.querySelector(".wipe img").getBoundingClientRect();
  return [
    [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)],
    [(laid.left - stage.left) / stage.width * 100, (laid.right - stage.left) / stage.width * 100,
     (laid.top - stage.top) / stage.height * 100, (laid.bottom - stage.top) / stage.height * 100],
  ];
}"""


def test_it_lies_where_the_homography_says_and_keys_switch_and_enlarge(open_page):
    scene = Scene()
    base, a = sent(scene, "lg24_a_1_pack_left", scene.black)
    variant, b = sent(scene, "lg24_b_1_pack_left", scene.chrome, base=base)
    page = open_page(f"/compare?a={a.public_id}&b={b.public_id}", size=PHONE, reduced_motion="reduce")
    page.locator(".pair.laid").wait_for()
    slider, pane = page.get_by_label("Second to the right of"), page.locator(".pane")
    told, drawn = page.evaluate(BOXES)
    assert drawn == pytest.approx(told, abs=0.3)
    pane.focus()
    page.keyboard.press("b")
    assert slider.input_value() == "100"
    assert page.get_by_text("The first is shown.").count() == 1
    page.keyboard.press("b")
    assert slider.input_value() == "0"
    page.keyboard.press("+")
    page.wait_for_function("document.querySelector('.stage').clientWidth > 1.9 * innerWidth * 0.8")
    told, drawn = page.evaluate(BOXES)
    assert drawn == pytest.approx(told, abs=0.3)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    # On the desk it is laid over on request, in place.
    desk = open_page(f"/claims/{claim_on(variant, scene.wheels).public_id}/vote", member=scene.reviewers[0])
    desk.locator(".pair.laid").wait_for()
    assert desk.locator(".pair .pane").count() == 1
