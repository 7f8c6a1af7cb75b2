"""Speed beside general-purpose libraries, on the same inputs with the same answers: `python -m benchmarks.NAME`."""
