"""On a photograph's page by keyboard alone: a chart's corners are placed, and a length is measured and kept."""

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from registry.models import Chart, Measurement
from tests.browser.conftest import PHONE, PICTURE
from tests.factories import ReviewerFactory
from tests.path import Scene

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def press(page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


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
