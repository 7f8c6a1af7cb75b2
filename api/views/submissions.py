"""Submissions: a member's own reports, as drafts and once sent."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Submission

from .. import filters
from ..conditional import require_match
from ..parsers import PATCH_PARSERS
from ..serializers.evidence import ShotCodeOutput, SubmissionInput, SubmissionOutput
from ..serializers.shared import Nothing
from .rows import ListView, RecordView, RowView

WRITABLE = ("casting", "release", "variant", "differs_from", "content")


class OwnSubmissions:
    """Whoever asks, only their own reports are there."""

    serializer_class = SubmissionOutput
    is_private = True
    read_scopes = ("read", "contribute")
    write_scopes = ("contribute",)
    request: Request

    def rows(self) -> Any:
        related = ("casting__merged_into", "release__merged_into", "variant__merged_into", "differs_from")
        return Submission.objects.filter(author=self.request.user).select_related(*related)


class Submissions(OwnSubmissions, ListView):
    """Your own reports, drafts and sent ones."""

    filterset_class = filters.SubmissionFilters
    inputs = {"POST": SubmissionInput}
    record_name = "submission"

    def post(self, request: Request) -> Response:
        """Begin a report. It stays a draft that only you see until it is sent."""
        draft = actions.start_draft(**self.deed, **self.asked())
        answer = self.created(self.rows().get(pk=draft.pk))
        answer["ETag"] = self.tag(self.rows().get(pk=draft.pk))
        return answer


class SubmissionRecord(OwnSubmissions, RecordView):
    parser_classes = PATCH_PARSERS
    inputs = {"PATCH": SubmissionInput}
    match_methods = ("PATCH",)

    def patch(self, request: Request, public_id: str) -> Response:
        """Change a draft, as RFC 7396 has it: members sent replace, null removes, the rest stays."""
        draft = self.row(public_id, lock=True)
        require_match(request, self.tag(draft), draft.revision)
        whole = {name: self.told(draft)[name] for name in WRITABLE}
        patched = merge_patch(whole, request.data)
        reader = SubmissionInput(data=patched, context={"request": request})
        reader.is_valid(raise_exception=True)
        named = request.data if isinstance(request.data, dict) else {}
        changes = {name: reader.validated_data.get(name) for name in named}
        actions.edit_draft(submission=draft, **self.deed, expected_revision=draft.revision, **changes)
        return self.show(self.rows().get(pk=draft.pk))


class SubmissionStep(OwnSubmissions, RowView):
    inputs = {"POST": Nothing}
    step: Any = None

    def post(self, request: Request, public_id: str) -> Response:
        self.asked()
        draft = self.row(public_id)
        type(self).step(submission=draft, **self.deed)
        return self.show(self.rows().get(pk=draft.pk))


class SubmissionSend(SubmissionStep):
    """Send it: the variant it tells of becomes public and provisional, with revision 1."""

    step = staticmethod(actions.send_submission)


class SubmissionWithdraw(SubmissionStep):
    """Give the draft up. What was sent stays; a wrong claim is disputed instead."""

    step = staticmethod(actions.withdraw_draft)


class SubmissionOpen(SubmissionStep):
    """Show the draft's pictures to all, and ask by its note what differs there: a quick note. It is no evidence."""

    step = staticmethod(actions.open_draft)


class SubmissionPhoto(OwnSubmissions, RowView):
    def delete(self, request: Request, public_id: str, photo_id: str) -> Response:
        """Take a wrong picture out of your draft, with the marks on it. What was sent stays."""
        photo = self.pick(self.row(public_id).photos.select_related("submission"), photo_id)
        actions.discard_photo(photo=photo, **self.deed)
        return Response(status=204)


class SubmissionCode(OwnSubmissions, RowView):
    serializer_class = ShotCodeOutput  # type: ignore[assignment]
    inputs = {"POST": Nothing}

    def post(self, request: Request, public_id: str) -> Response:
        """The report's code, to be written on paper beside an item of yours; another one once it is 14 days old."""
        self.asked()
        return self.show(actions.give_code(submission=self.row(public_id), **self.deed))


def merge_patch(target: Any, patch: Any) -> Any:
    """RFC 7396, section 2."""
    if not isinstance(patch, dict):
        return patch
    merged = dict(target) if isinstance(target, dict) else {}
    for name, value in patch.items():
        if value is None:
            merged.pop(name, None)
        else:
            merged[name] = merge_patch(merged.get(name), value)
    return merged
