"""Look records up by words."""

from __future__ import annotations

from rest_framework.request import Request
from rest_framework.response import Response

from registry.models import SearchKind
from registry.queries.search import find

from ..parameters import out_of_range, whole
from ..serializers.people import HitsOutput
from .base import ApiView

LONGEST = 100


class Search(ApiView):
    serializer_class = HitsOutput
    parameters = ("q", "kind", "limit")

    def get(self, request: Request) -> Response:
        """The best few records whose names, nicknames or numbers hold every word; where there are none, those
        spelled nearly so: one slip of the hand in a word, two in one of nine letters or more.
        """
        query = request.query_params
        text, kind = query.get("q", ""), query.get("kind")
        if not text.strip() or len(text) > LONGEST or "\x00" in text:
            raise out_of_range("q", text, f"Give 1 to {LONGEST} characters.")
        if kind is not None and kind not in SearchKind.values:
            raise out_of_range("kind", kind, f"Choose one of: {', '.join(SearchKind.values)}.")
        hits = find(text, [kind] if kind else (), whole(query, "limit", 1, 200, 20))
        return self.show({"results": hits, "next": None})
