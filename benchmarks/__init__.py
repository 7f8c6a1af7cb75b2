"""Measurements, run by hand: each folder is one, `python -m benchmarks.NAME`. Figures are kept in README.md."""
