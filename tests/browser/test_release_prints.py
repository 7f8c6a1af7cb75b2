"""The table of a release on paper and on a phone: nothing is cut off, and its head and first column stay in sight."""

import re

import pytest

from registry import actions
from tests.browser.conftest import PHONE
from tests.path import Scene, now

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MARGINS = 2 * 53
"""Pixels of 1/96 inch: 14 mm on either side."""
BROADEN = """() => document.querySelectorAll(".side-by-side tr").forEach((row) => {
  const cells = [...row.children].slice(1)
  for (let n = 0; n < 3; n += 1) cells.forEach((cell) => row.append(cell.cloneNode(true)))
})"""


def released(variants=3):
    scene = Scene()
    base = scene.report(scene.anchor, scene.red, scene.black)
    scene.show(base)
    for n in range(variants):
        tint = actions.add_state(
            by=scene.moderator, at=now(), trait=scene.wheels, key=f"tint_{n}", name=f"tint {n}"
        )
        scene.show(scene.report(tint, scene.gull, scene.blue, base=base))
    return scene.release


@pytest.mark.parametrize(("format", "width", "box"), [("A4", 794, (595, 842)), ("Letter", 816, (612, 792))])
def test_twelve_columns_fit_a_sheet(open_page, format, width, box):
    page = open_page(f"/releases/{released().public_id}")
    page.evaluate(BROADEN)
    page.emulate_media(media="print")
    page.set_viewport_size({"width": width - MARGINS, "height": 1000})
    assert page.locator(".side-by-side thead th").count() == 13
    ends = page.eval_on_selector_all("main *", "all => all.map((one) => one.getBoundingClientRect().right)")
    assert max(ends) <= width - MARGINS
    printed = page.pdf(format=format)
    sheets = re.findall(rb"/MediaBox *\[0 0 ([0-9.]+) ([0-9.]+)", printed)
    assert sheets
    assert all((float(wide), float(tall)) == pytest.approx(box, abs=1.5) for wide, tall in sheets)


def test_on_a_phone_head_and_first_column_stay_while_it_scrolls(open_page):
    page = open_page(f"/releases/{released(8).public_id}", size=PHONE)
    page.evaluate(BROADEN)
    table = page.locator(".side-by-side")
    table.evaluate("one => one.scrollTo(600, 500)")
    frame = table.bounding_box()
    corner = page.locator(".side-by-side thead th").first.bounding_box()
    name = page.locator(".side-by-side tbody th").nth(6).bounding_box()
    assert abs(corner["y"] - frame["y"]) < 3
    assert abs(name["x"] - frame["x"]) < 3
    assert corner["width"] < frame["width"] / 2
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE[0]
