"""What the cue was fitted to: numbers, and how they were made.

`python -m benchmarks.finish` fits them again from fixtures/panels/shine_fit_*.jpg, whose roughness is known because the
panels were rendered; a test does so too and compares. The roughness is that of the renderer's microfacet surface
(GGX, its square is the distribution's width), 0 a mirror, 1 chalk.
"""

COEFFICIENTS = (1.2525, -0.2844, 0.1558, 0.0157)
"""Of 1 and the logarithms of steepness, half width and contrast; they add up to the square root of the roughness."""
HALF_WIDTH = 0.175
"""Of the interval, in square roots of roughness: 90 % of the pictures left out of the fit fell inside it."""
LEAST_CONTRAST = 0.15
"""Below it the region shows no highlight: panels without a lamp stay below."""
