"""What a measured colour is called: the nearest of the centroids of the ISCC-NBS system, by CIEDE2000.

Source: Kelly K. L. and Judd D. B. (1976), Color: Universal Language and Dictionary of Names, NBS Special Publication
440 (a work of the United States government, in the public domain); centroids in sRGB as in the list of the NBS/ISCC
centroids that circulates with it, of which only those are kept that lie in the Munsell block of their own name. The
system itself names a colour by its block; the nearest centroid is an approximation of that, said to be so on pages.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from registry.sentences import Sentence

from .difference import ciede2000
from .spaces import Floats, decode, lab_of_linear


def colour_name(lab: ArrayLike) -> str:
    """The name of the nearest centroid. Shapes: one colour (3,), CIELAB (D50).

    >>> colour_name([20.0, 3.0, -24.0])
    'deep purplish blue'
    """
    names, labs = centroids()
    name = names[int(ciede2000(lab, labs).argmin())]
    if name in HUES:
        return HUES[name]
    how = next(how for how in HOW if name.startswith(f"{how} "))
    return Sentence(HOW[how].one, hue=HUES[name.removeprefix(f"{how} ")])


@cache
def centroids() -> tuple[tuple[str, ...], Floats]:
    """Names, and the CIELAB (D50) of each. Shapes: n names, (n, 3)."""
    rows = [line.split(" ", 1) for line in _CENTROIDS.strip().splitlines()]
    srgb = np.array([list(bytes.fromhex(code)) for code, _ in rows]) / 255
    return tuple(name for _, name in rows), lab_of_linear(decode(srgb))


# The longer ones first: "dark grayish red" is a dark grayish red.
HOW = {
    "very dark": Sentence("very dark %(hue)s"),
    "very deep": Sentence("very deep %(hue)s"),
    "very light": Sentence("very light %(hue)s"),
    "very pale": Sentence("very pale %(hue)s"),
    "dark grayish": Sentence("dark grayish %(hue)s"),
    "light grayish": Sentence("light grayish %(hue)s"),
    "blackish": Sentence("blackish %(hue)s"),
    "brilliant": Sentence("brilliant %(hue)s"),
    "dark": Sentence("dark %(hue)s"),
    "deep": Sentence("deep %(hue)s"),
    "grayish": Sentence("grayish %(hue)s"),
    "light": Sentence("light %(hue)s"),
    "medium": Sentence("medium %(hue)s"),
    "moderate": Sentence("moderate %(hue)s"),
    "pale": Sentence("pale %(hue)s"),
    "strong": Sentence("strong %(hue)s"),
    "vivid": Sentence("vivid %(hue)s"),
}
HUES = {
    str(hue): hue
    for hue in (
        Sentence("black"),
        Sentence("blue"),
        Sentence("bluish black"),
        Sentence("bluish gray"),
        Sentence("bluish green"),
        Sentence("brown"),
        Sentence("brownish black"),
        Sentence("brownish gray"),
        Sentence("brownish orange"),
        Sentence("brownish pink"),
        Sentence("gray"),
        Sentence("green"),
        Sentence("greenish black"),
        Sentence("greenish blue"),
        Sentence("greenish gray"),
        Sentence("greenish white"),
        Sentence("greenish yellow"),
        Sentence("olive"),
        Sentence("olive black"),
        Sentence("olive brown"),
        Sentence("olive gray"),
        Sentence("olive green"),
        Sentence("orange"),
        Sentence("orange yellow"),
        Sentence("pink"),
        Sentence("pinkish gray"),
        Sentence("pinkish white"),
        Sentence("purple"),
        Sentence("purplish blue"),
        Sentence("purplish gray"),
        Sentence("purplish pink"),
        Sentence("purplish red"),
        Sentence("purplish white"),
        Sentence("red"),
        Sentence("reddish black"),
        Sentence("reddish brown"),
        Sentence("reddish gray"),
        Sentence("reddish orange"),
        Sentence("reddish purple"),
        Sentence("violet"),
        Sentence("white"),
        Sentence("yellow"),
        Sentence("yellow green"),
        Sentence("yellowish brown"),
        Sentence("yellowish gray"),
        Sentence("yellowish green"),
        Sentence("yellowish pink"),
        Sentence("yellowish white"),
    )
}

_CENTROIDS = """
ea9399 strong pink
e4717a deep pink
f9ccca light pink
dea5a4 moderate pink
c08081 dark pink
ead8d7 pale pink
c4aead grayish pink
eae3e1 pinkish white
c1b6b3 pinkish gray
be0032 vivid red
bc3f4a strong red
841b2d deep red
5c0923 very deep red
ab4e52 moderate red
722f37 dark red
ad8884 light grayish red
905d5d grayish red
543d3f dark grayish red
2e1d21 blackish red
8f817f reddish gray
5c504f dark reddish gray
282022 reddish black
f99379 strong yellowish pink
c48379 dark yellowish pink
ecd5c5 pale yellowish pink
c7ada3 grayish yellowish pink
c2ac99 brownish pink
e25822 vivid reddish orange
d9603b strong reddish orange
aa381e deep reddish orange
cb6d51 moderate reddish orange
9e4732 dark reddish orange
b4745e grayish reddish orange
882d17 strong reddish brown
56070c deep reddish brown
a87c6d light reddish brown
79443b moderate reddish brown
977f73 light grayish reddish brown
674c47 grayish reddish brown
43302e dark grayish reddish brown
ed872d strong orange
be6516 deep orange
fab57f light orange
d99058 moderate orange
ae6938 brownish orange
80461b strong brown
a67b5b light brown
6f4e37 moderate brown
422518 dark brown
958070 light grayish brown
635147 grayish brown
3e322c dark grayish brown
8e8279 light brownish gray
28201c brownish black
eaa221 strong orange yellow
c98500 deep orange yellow
fbc97f light orange yellow
e3a857 moderate orange yellow
be8a3d dark orange yellow
fad6a5 pale orange yellow
996515 strong yellowish brown
c19a6b light yellowish brown
826644 moderate yellowish brown
4b3621 dark yellowish brown
7e6d5a grayish yellowish brown
483c32 dark grayish yellowish brown
f3c300 vivid yellow
fada5e brilliant yellow
d4af37 strong yellow
af8d13 deep yellow
f8de7e light yellow
c9ae5d moderate yellow
ab9144 dark yellow
f3e5ab pale yellow
c2b280 grayish yellow
a18f60 dark grayish yellow
f0ead6 yellowish white
bfb8a5 yellowish gray
967117 light olive brown
6c541e moderate olive brown
3b3121 dark olive brown
dcd300 vivid greenish yellow
e9e450 brilliant greenish yellow
beb72e strong greenish yellow
9b9400 deep greenish yellow
eae679 light greenish yellow
b9b459 moderate greenish yellow
98943e dark greenish yellow
ebe8a4 pale greenish yellow
b9b57d grayish greenish yellow
867e36 light olive
665d1e moderate olive
8c8767 light grayish olive
5b5842 grayish olive
363527 dark grayish olive
8a8776 light olive gray
57554c olive gray
25241d olive black
8db600 vivid yellow green
bdda57 brilliant yellow green
7e9f2e strong yellow green
c9dc89 light yellow green
8a9a5b moderate yellow green
dadfb7 pale yellow green
8f9779 grayish yellow green
4a5d23 moderate olive green
2b3d26 dark olive green
515744 grayish olive green
31362b dark grayish olive green
83d37d brilliant yellowish green
44944a strong yellowish green
00622d deep yellowish green
b6e5af very light yellowish green
93c592 light yellowish green
679267 moderate yellowish green
355e3b dark yellowish green
173620 very dark yellowish green
3eb489 brilliant green
8ed1b2 very light green
6aab8e light green
3b7861 moderate green
1b4d3e dark green
1c352d very dark green
c7e6d7 very pale green
8da399 pale green
5e716a grayish green
3a4b47 dark grayish green
1a2421 blackish green
dfede8 greenish white
b2beb5 light greenish gray
7d8984 greenish gray
4e5755 dark greenish gray
1e2321 greenish black
00a693 brilliant bluish green
96ded1 very light bluish green
66ada4 light bluish green
317873 moderate bluish green
004b49 dark bluish green
002a29 very dark bluish green
239eba brilliant greenish blue
9cd1dc very light greenish blue
66aabc light greenish blue
367588 moderate greenish blue
004958 dark greenish blue
002e3b very dark greenish blue
4997d0 brilliant blue
0067a5 strong blue
a1caf1 very light blue
70a3cc light blue
436b95 moderate blue
00304e dark blue
bcd4e6 very pale blue
91a3b0 pale blue
536878 grayish blue
36454f dark grayish blue
202830 blackish blue
b4bcc0 light bluish gray
81878b bluish gray
51585e dark bluish gray
202428 bluish black
30267a vivid purplish blue
545aa7 strong purplish blue
272458 deep purplish blue
b3bce2 very light purplish blue
8791bf light purplish blue
4e5180 moderate purplish blue
252440 dark purplish blue
c0c8e1 very pale purplish blue
8c92ac pale purplish blue
4c516d grayish purplish blue
9065ca vivid violet
7e73b8 brilliant violet
604e97 strong violet
32174d deep violet
dcd0ff very light violet
8c82b6 light violet
604e81 moderate violet
2f2140 dark violet
c4c3dd very pale violet
9690ab pale violet
554c69 grayish violet
9a4eae vivid purple
d399e6 brilliant purple
602f6b deep purple
401a4c very deep purple
d5badb very light purple
b695c0 light purple
86608e moderate purple
563c5c dark purple
301934 very dark purple
d6cadd very pale purple
aa98a9 pale purple
796878 grayish purple
50404d dark grayish purple
291e29 blackish purple
e8e3e5 purplish white
bfb9bd light purplish gray
8b8589 purplish gray
5d555b dark purplish gray
870074 vivid reddish purple
9e4f88 strong reddish purple
702963 deep reddish purple
b784a7 light reddish purple
915c83 moderate reddish purple
5d3954 dark reddish purple
341731 very dark reddish purple
aa8a9e pale reddish purple
836479 grayish reddish purple
de6fa1 deep purplish pink
efbbcc light purplish pink
d597ae moderate purplish pink
c17e91 dark purplish pink
e8ccd7 pale purplish pink
c3a6b1 grayish purplish pink
78184a deep purplish red
54133b very deep purplish red
a8516e moderate purplish red
673147 dark purplish red
38152c very dark purplish red
af868e light grayish purplish red
915f6d grayish purplish red
f2f3f4 white
b9b8b5 light gray
848482 medium gray
555555 dark gray
222222 black
"""
