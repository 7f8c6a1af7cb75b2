"""Statements of order, and how the codes of a line are read."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Line, Role, Statement
from registry.queries.statements import code_patterns

from .. import filters
from ..serializers import statements as shape
from ..serializers.shared import Nothing
from .rows import ListView, RecordView, RowView


def statements() -> Any:
    related = ("release__merged_into", "variant__merged_into", "other__merged_into", "code_pattern", "author")
    return Statement.objects.select_related(*related)


class Statements(ListView):
    """What was said of the order of variants, without what was taken back."""

    serializer_class = shape.StatementOutput
    filterset_class = filters.StatementFilters
    inputs = {"POST": shape.StatementInput}
    record_name = "statement"

    def rows(self) -> Any:
        return statements().filter(closed_at=None)

    def post(self, request: Request) -> Response:
        """State an order of two variants, a date bound on one, or the code it carries; with its source."""
        return self.created(actions.make_statement(**self.deed, **self.asked()))


class StatementRecord(RecordView):
    serializer_class = shape.StatementOutput

    def rows(self) -> Any:
        return statements()


class StatementClose(RowView):
    serializer_class = shape.StatementOutput
    inputs = {"POST": Nothing}

    def rows(self) -> Any:
        return statements()

    def post(self, request: Request, public_id: str) -> Response:
        """Take a statement back: who made it, or a moderator."""
        self.asked()
        row = self.row(public_id)
        actions.close_statement(statement=row, **self.deed)
        return self.show(self.rows().get(pk=row.pk))


class LineCodes(ListView):
    """How the production codes on a line's items are read, and what each kind of code dates."""

    serializer_class = shape.CodePatternOutput
    inputs = {"POST": shape.CodePatternInput}
    roles = {"POST": Role.MODERATOR}

    def line(self) -> Line:
        line: Line = self.pick(Line.objects.all(), self.kwargs["public_id"])
        return line

    def rows(self) -> Any:
        return code_patterns(self.line())

    def post(self, request: Request, public_id: str) -> Response:
        """Say how one kind of code is read; for moderators."""
        made = actions.add_code_pattern(**self.deed, line=self.line(), **self.asked())
        return self.show(made, status=201)
