"""Examples, photos and the regions marked on them."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.actions.colours import fit_chart, keep_chart
from registry.actions.wording import past_month
from registry.models import Chart, Example, Mark, Role
from registry.queries import colours
from registry.queries.likenesses import with_likenesses
from registry.queries.possession import with_codes_seen

from .. import filters
from ..conditional import require_match
from ..idempotency import is_answered
from ..parameters import out_of_range
from ..parsers import PATCH_PARSERS, PictureFormParser, PictureParser
from ..problems import Problem
from ..serializers import colours as charts
from ..serializers import evidence
from ..visibility import reader, visible_photos
from .claims import refuse_gone
from .rows import ListView, RecordView, RowView

LISTED = ("examples", "views")
GREY_CARD = {"kind": "grey_card", "corners": [[86.4, 89.1], [99, 89.1], [99, 93.9], [86.4, 93.9]]}
PARENTS = ("submission", "dispute", "sighting")
SAID = ("submission", "dispute", "sighting", "examples", "views", "caption", "licence", "is_edited")


def first_of_month(said: dict[str, Any]) -> dict[str, Any]:
    month = said.pop("found_month", None)
    return said | ({"found_month": past_month("found_month", month, timezone.now())} if month else {})


class Examples(ListView):
    """Physical items. Where one was found is kept coarse on purpose."""

    serializer_class = evidence.ExampleOutput
    filterset_class = filters.ExampleFilters
    inputs = {"POST": evidence.ExampleInput}
    record_name = "example"

    def rows(self) -> Any:
        return Example.objects.select_related("release__merged_into", "owner")

    def post(self, request: Request) -> Response:
        """Tell of one physical item, yours or not."""
        return self.created(actions.add_example(**self.deed, **first_of_month(self.asked())))


class ExampleRecord(RecordView):
    serializer_class = evidence.ExampleOutput

    def rows(self) -> Any:
        return Example.objects.select_related("release__merged_into", "owner")


def photos(request: Request) -> Any:
    related = ("owner", "submission", "dispute", "sighting")
    shown = visible_photos(request).select_related(*related).prefetch_related("examples", "charts__by")
    return with_codes_seen(with_likenesses(shown, reader(request)))


class Photos(ListView):
    """Photos of sent reports, disputes and sightings, and your own."""

    serializer_class = evidence.PhotoOutput
    filterset_class = filters.PhotoFilters
    parser_classes = [PictureFormParser, PictureParser]
    inputs = {"POST": evidence.PhotoFormInput}
    write_parameters = {"POST": SAID}
    record_name = "photo"

    taken: actions.TakenIn | None = None

    def rows(self) -> Any:
        return photos(self.request).filter(taken_down_at=None)

    def prepare(self, request: Request) -> None:
        """The picture is decoded and its files are stored before the transaction that enters its row.

        A repeated POST, whose answer is kept, is spared it.
        """
        data, said = self.picture(), self.description()
        to: Any = {name: said[name] for name in PARENTS if said.get(name) is not None}
        if len(to) == 1 and not is_answered(request):
            self.taken = actions.take_in(**self.deed, data=data, **to)

    def post(self, request: Request) -> Response:
        """Attach a picture to one report, dispute or sighting: as the part `data` of a form, or as the whole body.

        JPEG, PNG or WebP by content, at most 12 MB and 40 megapixels (WebP 20). Drawn afresh, all metadata dropped.
        """
        photo = actions.attach_photo(**self.deed, data=self.taken or self.picture(), **self.description())
        return self.created(self.rows().get(pk=photo.pk))

    def picture(self) -> bytes:
        sent: Any = self.request.data
        data = sent.get("data")
        if data is None or isinstance(data, str):
            raise Problem("validation-failed", "data: send the picture.", errors=[NO_PICTURE])
        return data if isinstance(data, bytes) else bytes(data.read())

    def description(self) -> dict[str, Any]:
        """What is said of the picture, in the form or in the address."""
        said: dict[str, Any] = {**spoken(self.request.query_params), **spoken(self.request.data)}
        reader = evidence.PhotoInput(data=said, context={"request": self.request})
        reader.is_valid(raise_exception=True)
        return dict(reader.validated_data)


def spoken(source: Any) -> dict[str, Any]:
    """All but the picture; where several values may be meant, repeated or with commas between."""
    told = {name: source.getlist(name) for name in source if name != "data"}
    return {
        name: [part for value in values for part in str(value).split(",")] if name in LISTED else values[-1]
        for name, values in told.items()
    }


NO_PICTURE = {"pointer": "/data", "code": "required", "detail": "Send the picture."}


class PhotoRecord(RecordView):
    serializer_class = evidence.PhotoOutput
    parser_classes = PATCH_PARSERS
    inputs = {"PATCH": evidence.PhotoDescription}
    match_methods = ("PATCH",)
    roles = {"DELETE": Role.MODERATOR}
    write_parameters = {"DELETE": ("reason", "legal")}
    may_be_gone = True
    may_be_withheld = True

    def rows(self) -> Any:
        return photos(self.request)

    def row(self, public_id: str, lock: bool = False) -> Any:
        photo = super().row(public_id, lock)
        if photo.taken_down_at:
            raise Problem("withheld-by-law" if photo.withheld_by_law else "taken-down")
        return photo

    def patch(self, request: Request, public_id: str) -> Response:
        """Say anew which examples your photo shows, from which side, under which caption."""
        photo = self.row(public_id, lock=True)
        require_match(request, self.tag(photo))
        actions.describe_photo(photo=photo, **self.deed, **self.asked())
        return self.show(self.rows().get(pk=photo.pk))

    def delete(self, request: Request, public_id: str) -> Response:
        """Take a photo down; for moderators. Marks on it prove nothing any more.

        On a legal demand (`legal`), every photo of the same picture goes with it.
        """
        reason, legal = (
            request.query_params.get("reason", ""),
            request.query_params.get("legal", "false"),
        )
        if legal not in ("true", "false"):
            raise out_of_range("legal", legal, "Say true or false.")
        actions.take_down_photo(photo=self.row(public_id), **self.deed, reason=reason, legal=legal == "true")
        return Response(status=204)


class PhotoRestore(RowView):
    serializer_class = evidence.PhotoOutput
    parser_classes = [PictureFormParser]
    inputs = {"POST": evidence.PhotoRestoreInput}
    roles = {"POST": Role.MODERATOR}
    taken: actions.TakenIn | None = None

    def rows(self) -> Any:
        return photos(self.request)

    def prepare(self, request: Request) -> None:
        """The picture is decoded before the transaction."""
        data = self.asked().get("data")
        if data is not None and not is_answered(request):
            photo = self.row(self.kwargs["public_id"])
            self.taken = actions.take_in_again(photo=photo, by=self.member, data=data.read())

    def post(self, request: Request, public_id: str) -> Response:
        """Show a photo again that was taken down, such as after a counter-notice; for moderators.

        No copy was kept: send the very file that it was first attached with, unless another photo shows the same.
        """
        reason = self.asked()["reason"]
        actions.restore_photo(photo=self.row(public_id), **self.deed, reason=reason, data=self.taken)
        return self.show(self.row(public_id))


class PhotoCode(RowView):
    serializer_class = evidence.PhotoOutput
    inputs = {"PUT": evidence.CodeSeenInput}
    write_scopes = ("review",)

    def rows(self) -> Any:
        return photos(self.request)

    def put(self, request: Request, public_id: str) -> Response:
        """Say that you read the report's code on paper in the picture; for reviewers. It changes no standing."""
        photo = self.row(public_id)
        actions.see_code(photo=photo, **self.deed, **self.asked())
        return self.show(self.rows().get(pk=photo.pk))


class PhotoChart(RowView):
    """What the colours of one photo are measured by."""

    serializer_class = charts.ChartOutput
    inputs = {"PUT": charts.ChartInput}
    fitted: Chart

    def rows(self) -> Any:
        return photos(self.request)

    def prepare(self, request: Request) -> None:
        """Pixels are read and fitted before the transaction."""
        photo = self.row(self.kwargs["public_id"])
        self.fitted = fit_chart(photo=photo, **self.deed, **self.asked())

    def get(self, request: Request, public_id: str) -> Response:
        """The chart that counts."""
        chart = self.row(public_id).chart_shown
        if chart is None:
            raise Problem("not-found", "No chart or grey card is known in this photo.")
        return self.show(chart)

    @extend_schema(examples=[OpenApiExample("A grey card", value=GREY_CARD, request_only=True)])
    def put(self, request: Request, public_id: str) -> Response:
        """Point out the chart or grey card; the marks are measured anew by it. Earlier ones are kept as history.

        For who added the photo, reviewers and moderators. Refused where the corners enclose no such thing: a 24-patch
        chart proves itself by its colours.
        """
        return self.show(keep_chart(self.fitted, self.member))


class Coloured:
    """Views of marks: each with what was measured of its colour."""

    def told(self, row: Any) -> Any:
        colours.tell([(row, row.claim)])
        return super().told(row)

    def told_all(self, page: Any) -> Any:
        colours.tell((row, row.claim) for row in page)
        return super().told_all(page)


def marks(request: Request) -> Any:
    related = ("photo", "example", "claim__trait", "by")
    return Mark.objects.filter(photo__in=visible_photos(request)).select_related(*related)


class MarkList(Coloured, ListView):
    serializer_class = evidence.MarkOutput
    creates = False

    def rows(self) -> Any:
        return marks(self.request).filter(removed_at=None, photo__taken_down_at=None)


class Marks(MarkList):
    """Regions of photos that show claims, without those taken back."""

    filterset_class = filters.MarkFilters
    inputs = {"POST": evidence.MarkInput}
    creates = True
    record_name = "mark"

    def post(self, request: Request) -> Response:
        """Mark where on a photo an example shows a claim."""
        said = self.asked()
        refuse_gone(said["claim"])
        said["xywh"] = actions.parse_fragment(said["xywh"])
        return self.created(actions.mark_region(**self.deed, **said))


class PhotoMarks(MarkList):
    """The regions marked on one photo."""

    def rows(self) -> Any:
        return super().rows().filter(photo=self.pick(photos(self.request), self.kwargs["public_id"]))


class MarkRecord(Coloured, RecordView):
    serializer_class = evidence.MarkOutput
    write_parameters = {"DELETE": ("reason",)}

    def rows(self) -> Any:
        return marks(self.request).filter(removed_at=None)

    def delete(self, request: Request, public_id: str) -> Response:
        """Take a mark back that shows the wrong thing: who made it, or a moderator."""
        reason = request.query_params.get("reason", "")
        actions.remove_mark(mark=self.row(public_id), **self.deed, reason=reason)
        return Response(status=204)
