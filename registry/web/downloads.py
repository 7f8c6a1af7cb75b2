"""Drawings and tables as files to keep."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence

from django.http import HttpResponse
from django.template.loader import render_to_string

from registry.methods.edition import cell

SANDBOX = "sandbox; default-src 'none'"


def svg_file(chart: object, template: str, name: str) -> HttpResponse:
    """A drawing by itself: what it looks like is in its own attributes, for no style sheet goes with it."""
    text = render_to_string(template, {"chart": chart})
    answer = attached("image/svg+xml", f"{name}.svg")
    answer["Content-Security-Policy"] = SANDBOX
    answer.write(f'<?xml version="1.0" encoding="UTF-8"?>\n{text}')
    return answer


def csv_file(header: Sequence[str], rows: Iterable[Sequence[object]], name: str) -> HttpResponse:
    """A table for spreadsheets (RFC 4180), with cells that one would run as a formula defused as in editions."""
    answer = attached("text/csv; charset=utf-8", f"{name}.csv")
    writer = csv.writer(answer, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows([cell("" if value is None else value) for value in row] for row in rows)
    return answer


def attached(content_type: str, name: str) -> HttpResponse:
    return HttpResponse(
        content_type=content_type, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )
