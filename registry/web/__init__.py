"""The pages. A view checks its input, calls one action or one query, and answers; everything works without scripts."""
