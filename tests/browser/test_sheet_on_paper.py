"""A comparison sheet is one page of paper, however many cards it holds."""

import re

import pytest

from tests.web.everything import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FILL = """(count) => {
    const list = document.querySelector("ol.cards");
    const across = [2, 3, 4].find((columns) => count <= columns ** 2) ?? 5;
    const card = list.children[0];
    card.querySelector(".tell").textContent = "Rear wheels: five-slot black; Print sides: high stripe ".repeat(2);
    while (list.children.length < count) list.append(card.cloneNode(true));
    while (list.children.length > count) list.lastChild.remove();
    list.className = `cards across-${across}`;
    document.querySelector(".sheet-foot small").append(" 5 by Somebody Else, CC BY 4.0;".repeat(6));
}"""


@pytest.mark.parametrize("count", [4, 9, 16, 25])
def test_it_fits_a_page_of_a4_and_of_letter(open_page, count):
    page = open_page(world().pages["sheet"][0])
    page.evaluate(FILL, count)
    pages = {
        paper: len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper))) for paper in ("A4", "Letter")
    }
    assert pages == {"A4": 1, "Letter": 1}
