"""What the requester owns and what they still look for. Nobody else's is ever there."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.utils import OpenApiTypes, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.methods.cabinet_sheet import write_cabinet
from registry.models import CabinetItem, Hunt
from registry.queries.cabinet import cabinet_rows
from registry.queries.hunt import hunt_of, hunt_page

from .. import selection
from ..conditional import require_match
from ..parameters import out_of_range, whole
from ..parsers import PATCH_PARSERS, TableParser
from ..problems import Problem
from ..renderers import CSVRenderer
from ..serializers import cabinet as shape
from .base import ApiView
from .rows import ListView, RecordView


class OwnCabinet:
    serializer_class = shape.CabinetItemOutput
    is_private = True
    read_scopes = write_scopes = ("cabinet",)
    request: Request

    def rows(self) -> Any:
        related = ("release__merged_into", "variant__merged_into", "pack_version", "example")
        return CabinetItem.objects.filter(member=self.request.user).select_related(*related)


class Cabinet(OwnCabinet, ListView):
    """What you own, seen by you alone."""

    inputs = {"POST": shape.CabinetItemInput}
    record_name = "cabinet-item"

    def post(self, request: Request) -> Response:
        """Note that you own one, or several alike. Without a variant: not checked yet which one it is."""
        item = actions.put_item(**self.deed, **self.asked())
        answer = self.created(item)
        answer["ETag"] = self.tag(item)
        return answer


class CabinetItemRecord(OwnCabinet, RecordView):
    parser_classes = PATCH_PARSERS
    inputs = {"PATCH": shape.CabinetItemChange}
    match_methods = ("PATCH", "DELETE")

    def patch(self, request: Request, public_id: str) -> Response:
        """Change what you noted."""
        item, now = self.matched(public_id), timezone.now()
        actions.change_item(
            item=item, by=self.member, at=now, expected_revision=item.revision, **self.asked()
        )
        return self.show(self.rows().get(pk=item.pk))

    def delete(self, request: Request, public_id: str) -> Response:
        """Take it out."""
        item, now = self.matched(public_id), timezone.now()
        actions.take_item_out(item=item, by=self.member, at=now, expected_revision=item.revision)
        return Response(status=204)

    def matched(self, public_id: str) -> CabinetItem:
        item: CabinetItem = self.row(public_id, lock=True)
        require_match(self.request, self.tag(item), item.revision)
        return item


SHEET: Any = {"text/csv": OpenApiTypes.STR}


class CabinetTable(ApiView):
    """All of it as a table."""

    renderer_classes = [CSVRenderer]
    is_private = True
    read_scopes = ("cabinet",)

    @extend_schema(responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, request: Request) -> HttpResponse:
        """What you own, one row for each entry, as /v1/cabinet/import takes it back.

        A cell that a spreadsheet would run as a formula has an apostrophe before it.
        """
        return HttpResponse(write_cabinet(cabinet_rows(self.member)), content_type="text/csv; charset=utf-8")


class CabinetImport(ApiView):
    """A file of what you own."""

    serializer_class = shape.CabinetImportOutput
    parser_classes = [TableParser]
    inputs = {"POST": SHEET}
    is_private = True
    write_scopes = ("cabinet",)
    write_parameters = {"POST": ("dry_run",)}

    def post(self, request: Request) -> Response:
        """Put in every row of a file, or none where a row has a fault: `faults` of the problem names each.

        Columns: `release` and `condition`, and `id`, `variant`, `pack_version`, `count`, `to_swap`, `wear`, `note`. A
        row with an `id` of yours changes that entry; any other is new, unless an equal one stands there. At most 5,000
        rows.
        """
        asked = request.query_params.get("dry_run", "false")
        if asked not in ("true", "false"):
            raise out_of_range("dry_run", asked, "Say true or false.")
        sent: Any = request.data or {"data": b""}  # no body at all reaches no parser
        return self.show(actions.import_cabinet(**self.deed, data=sent["data"], dry_run=asked == "true"))


class OwnHunt(ApiView):
    serializer_class = shape.HuntOutput
    parser_classes = PATCH_PARSERS
    inputs = {"PATCH": shape.HuntChange}
    match_methods = ("PATCH",)
    parameters = ("fields",)
    is_private = True
    read_scopes = write_scopes = ("cabinet",)

    def get(self, request: Request) -> Response:
        """How deep you collect: what /v1/hunt/missing counts."""
        return self.show(hunt_of(self.member))

    def patch(self, request: Request) -> Response:
        """Choose what counts as missing; what you leave out stays."""
        hunt: Hunt = hunt_of(self.member)
        require_match(request, self.tag(hunt), hunt.revision)
        actions.set_hunt(**self.deed, expected_revision=hunt.revision, **self.asked())
        return self.show(hunt_of(self.member))


class OwnMissing(ListView):
    """What you still lack, at the depth you collect."""

    serializer_class = shape.HuntRowOutput
    is_private = True
    creates = False
    read_scopes = ("cabinet",)

    def get(self, request: Request, **kwargs: Any) -> Response:
        """Release by release, those of the newest assortments first; each with what is missing and how to tell it."""
        wanted = selection.parse(request.query_params.get("fields"), self.get_serializer_class()())
        limit = whole(request.query_params, "limit", 1, 200, 50)
        try:
            page = hunt_page(hunt_of(self.member), request.query_params.get("cursor", ""), limit=limit)
        except ValueError as fault:
            raise Problem("cursor-mismatch", str(fault)) from None
        following = None
        if page.after:
            query = request.query_params.copy()
            query["cursor"] = page.after
            following = f"{request.build_absolute_uri(request.path)}?{query.urlencode()}"
        headers = {"Link": f'<{following}>; rel="next"'} if following else {}
        rows = selection.select(self.told_all(page.rows), wanted)
        return Response({"results": rows, "next": following}, headers=headers)
