"""How long identify takes: `python -m benchmarks.identify`, with requirements-oracle.txt for the comparison."""
