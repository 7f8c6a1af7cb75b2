"""What the order and the shares of one release cost, queries included, in registries of growing size.

    python -m benchmarks.sequence.release              on SQLite, in a temporary folder
    DATABASE_URL=postgres://... python -m benchmarks.sequence.release    in that database, which must be empty

One release of six variants, twelve statements and 60 sightings is looked at again after each of 30 new sightings,
beside 1, 100 and 1,000 others like it. Then one release gets 10,000 sightings: of different members, and of one
account in one afternoon. Both caches are emptied before each look. Drawn from a fixed seed.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

from benchmarks.site import empty_site

SIZES = (1, 100, 1_000)
VARIANTS, STATEMENTS, SIGHTINGS, TIMED, MANY = 6, 12, 60, 30, 10_000
START = datetime(2026, 1, 1, tzinfo=UTC)
TODAY = date(2026, 11, 25)
CHANCE = random.Random(20261125)  # noqa: S311  (a drawn world, no secret)


def main() -> None:
    with empty_site():
        measure()


def measure() -> None:
    from django.db import connection

    world = World()
    for size in SIZES:
        while len(world.releases) < size:
            world.add_release()
        analyse(connection)
        order, shares = world.after_each_new_sighting()
        print(
            f"{connection.vendor}, {size:>5,} releases: after one new sighting the order takes {order:.1f} ms, "
            f"the shares {shares:.1f} ms (medians of {TIMED})",
            flush=True,
        )
    for name, members in (("different members", world.members), ("one account", world.members[:1])):
        release = world.add_release()
        world.see(release, MANY, members, spread=365 if len(members) > 1 else 1)
        analyse(connection)
        order, shares = world.look(release)
        print(
            f"{connection.vendor}, {MANY:,} sightings by {name}: order {order:.0f} ms, shares {shares:.0f} ms"
        )


def analyse(connection: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


class World:
    """Rows written as they are, past the actions: only reading is timed."""

    def __init__(self) -> None:
        from registry.models import Casting, Line, Maker, Member

        maker = Maker.objects.create(name="Otterholm Tinworks")
        self.line = Line.objects.create(maker=maker, name="Quayside 64", scale=64)
        self.casting = Casting.objects.create(maker=maker, name="Brinewagon")
        Member.objects.bulk_create(
            Member(
                email=f"{n}@example.test",
                display_name=f"Member {n}",
                name_key=f"member {n}",
                name_skeleton=f"member {n}",
                joined_at=START,
            )
            for n in range(3_000)
        )
        self.members = list(Member.objects.all())
        self.releases: list[Any] = []

    def add_release(self) -> Any:
        from registry.models import Release, Statement, Variant

        number = len(self.releases)
        release = Release.objects.create(
            casting=self.casting, line=self.line, name=f"Brinewagon {number}", year=2026
        )
        for n in range(VARIANTS):
            Variant.objects.create(release=release, title=f"Tide {n}", sent_at=START, changed_at=START)
        variants = list(release.variants.order_by("pk"))
        for _ in range(STATEMENTS):
            one, other = sorted(CHANCE.sample(range(VARIANTS), 2))
            Statement.objects.create(
                release=release,
                kind="before",
                variant=variants[one],
                other=variants[other],
                source_kind="makers_notice",
                source="trade sheet",
                author=CHANCE.choice(self.members),
                added_at=START,
            )
        self.releases.append(release)
        self.see(release, SIGHTINGS, self.members)
        return release

    def see(self, release: Any, number: int, members: list[Any], spread: int = 300) -> None:
        """A third of them full counts."""
        from registry.models import CountLine, Sighting

        variants = list(release.variants.order_by("pk"))
        rows = [
            Sighting(
                by=CHANCE.choice(members),
                release=release,
                scope="case" if n % 3 == 0 else "item",
                is_full_count=n % 3 == 0,
                seen_on=date(2026, 1, 1) + timedelta(days=CHANCE.randrange(spread)),
                country=CHANCE.choice(["NL", "DK", "NO"]) if spread > 1 else "NL",
                added_at=START + timedelta(days=1),
            )
            for n in range(number)
        ]
        sightings = Sighting.objects.bulk_create(rows, batch_size=500)
        lines = CountLine.objects.bulk_create(
            [
                CountLine(sighting=row, kind="variant", n=CHANCE.randrange(1, 9) if row.is_full_count else 1)
                for row in sightings
            ],
            batch_size=500,
        )
        through = CountLine.variants.through
        through.objects.bulk_create(
            [through(countline=line, variant=CHANCE.choice(variants)) for line in lines], batch_size=500
        )

    def after_each_new_sighting(self) -> tuple[float, float]:
        release = self.releases[len(self.releases) // 2]
        self.look(release)
        taken = []
        for _ in range(TIMED):
            self.see(release, 1, self.members)
            taken.append(self.look(release))
        return statistics.median(one for one, _ in taken), statistics.median(two for _, two in taken)

    def look(self, release: Any) -> tuple[float, float]:
        """Milliseconds for the order and for the shares."""
        from registry.queries import abundance, order

        order._in_order.cache_clear()
        abundance._shares.cache_clear()
        among = order.siblings(release)
        found = []
        first = timed(lambda: found.append(order.release_sequence(release, TODAY, among)))
        second = timed(lambda: found.append(abundance.release_abundance(release, among)))
        assert found[0].order.conflict is None
        assert found[1].whole.examples > 0
        return first, second


def timed(run: Callable[[], Any]) -> float:
    begun = time.perf_counter()
    run()
    return 1000 * (time.perf_counter() - begun)


if __name__ == "__main__":
    main()
