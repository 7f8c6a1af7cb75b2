"""Scarcity is not price: no page, no answer of the API and no stored column speaks of what a thing is worth."""

import json
import re
from pathlib import Path

from django.apps import apps

ROOT = Path(__file__).resolve().parents[1]
PRICE = re.compile(
    r"\b(price[sd]?|pricing|pricey|valuations?|appraisal|appraise[sd]?|worth(?! a look)|currency|currencies|money)\b"
    r"|[€£¥]|\b(EUR|USD|GBP)\b",
    re.IGNORECASE,
)
SAYS_THAT_THERE_ARE_NONE = "No prices here, only what was made."


def test_the_search_finds_a_price_where_there_is_one():
    for text in ("asking price: 12", "It is worth 20.", "a valuation", "€ 5", "12 EUR"):
        assert PRICE.search(text)
    assert not PRICE.search("noteworthy: this occurrence at the quay, europe")


def test_no_page_and_no_form_speaks_of_a_price():
    sources = [*ROOT.glob("registry/templates/**/*.*"), *ROOT.glob("registry/web/**/*.py")]
    assert len(sources) > 80
    told = {
        path.relative_to(ROOT).as_posix(): PRICE.findall(
            path.read_text().replace(SAYS_THAT_THERE_ARE_NONE, "")
        )
        for path in sources
    }
    assert {path: found for path, found in told.items() if found} == {}


def test_no_answer_of_the_api_speaks_of_a_price():
    document = (ROOT / "api" / "openapi.json").read_text()
    assert json.loads(document)["paths"]
    assert PRICE.findall(document) == []


def test_no_column_holds_a_price():
    columns = [
        f"{model.__name__}.{field.name} {field.help_text}"
        for model in apps.get_app_config("registry").get_models()
        for field in model._meta.get_fields()
        if hasattr(field, "help_text")
    ]
    assert len(columns) > 100
    assert [column for column in columns if PRICE.search(column.replace("_", " "))] == []
