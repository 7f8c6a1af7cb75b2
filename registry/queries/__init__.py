"""Reads that span models. Nothing here writes."""
