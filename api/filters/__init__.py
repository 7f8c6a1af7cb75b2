"""Filters of the lists: one class per noun. Each column that is filtered by has an index."""

from .catalogue import (
    AssortmentFilters,
    CastingFilters,
    LineFilters,
    MakerFilters,
    PackFilters,
    ReleaseFilters,
    StateFilters,
    TraitFilters,
)
from .record import (
    ClaimFilters,
    DisputeFilters,
    ExampleFilters,
    GlossFilters,
    MarkFilters,
    MeasurementFilters,
    OpenedFilters,
    PhotoFilters,
    SightingFilters,
    StatementFilters,
    SubmissionFilters,
    VariantFilters,
)

__all__ = [
    "AssortmentFilters",
    "CastingFilters",
    "ClaimFilters",
    "DisputeFilters",
    "ExampleFilters",
    "LineFilters",
    "MakerFilters",
    "MarkFilters",
    "GlossFilters",
    "MeasurementFilters",
    "OpenedFilters",
    "PackFilters",
    "PhotoFilters",
    "ReleaseFilters",
    "SightingFilters",
    "StateFilters",
    "StatementFilters",
    "SubmissionFilters",
    "TraitFilters",
    "VariantFilters",
]
