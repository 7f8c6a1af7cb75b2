"""The demo scenario's files agree with each other and tell the story they promise. Needs neither bpy nor a database."""

import json
import re
from collections import Counter
from pathlib import Path

import pytest
import yaml
from PIL import Image, ImageStat

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"
PICTURES = FIXTURES / "pictures"
STANDARD_CHECKS = {
    "body", "print_front", "print_sides", "print_roof", "print_rear", "windows", "interior", "base_material",
    "base_colour", "base_text", "base_country", "wheels_front", "wheels_rear", "tyres",
}  # fmt: skip
PLACES = set(
    "roof bonnet tailgate left_side right_side front rear window windscreen interior base front_wheel rear_wheel "
    "tyre axle rivet body cargo".split()
)
KINDS = set("print colour finish tooling wheel material part count measure text".split())
CAUSES = set(
    "baseline running_change parallel factory_error altered camera_or_light pre_production drift not_known".split()
)
VIEWS = set("seal_all_round rivets axles base front rear left right top raking_light".split())


def read(name: str) -> dict:
    return yaml.safe_load((FIXTURES / "scenario" / name).read_text(encoding="utf-8"))


CATALOGUE, STORY, SHOTS = read("catalogue.yaml"), read("variants.yaml"), read("pictures.yaml")
TRUTH = json.loads((PICTURES / "truth.json").read_text(encoding="utf-8"))
LINE_TRAITS = [t for line in CATALOGUE["lines"] for t in line["standard_checks"]]
TRAITS = {t["key"]: t for t in [*LINE_TRAITS, *(t for c in CATALOGUE["castings"] for t in c["traits"])]}
RELEASES = {r["key"]: r for r in CATALOGUE["releases"]}
VARIANTS = {v["key"]: v for release in RELEASES for v in STORY[release]}
PICTURED = VARIANTS | {
    v["key"]: v for listed in read("happenings.yaml")["more_variants"].values() for v in listed
}
EXAMPLES = {e["key"]: e for e in SHOTS["examples"]}
PROVEN = [v for v in VARIANTS.values() if v["wanted"] in ("verified", "contested")]


def examples_of(variant: dict) -> list[dict]:
    return [e for e in EXAMPLES.values() if e["variant"] == variant["key"]]


def traits_shown(example: str, view: str | None = None) -> set[str]:
    shots = [p for p in SHOTS["pictures"] if view is None or view in p["views"]]
    return {trait for p in shots for trait in p["shows"].get(example, [])}


def differences(variant: dict) -> list[str]:
    return variant["asserts"] if variant["cause"] == "baseline" else variant["difference"]


def wanted(standing: str) -> list[str]:
    return [key for key, v in VARIANTS.items() if v["wanted"] == standing]


def test_keys_are_unique_and_well_formed():
    traits = [t["key"] for t in LINE_TRAITS] + [t["key"] for c in CATALOGUE["castings"] for t in c["traits"]]
    states = [s["key"] for t in TRAITS.values() for s in t["states"]]
    for key in [*traits, *states]:
        assert re.fullmatch(r"[a-z][a-z0-9_]{0,39}", key), key
    lists = [traits, [s["key"] for s in CATALOGUE["castings"]], [r["key"] for r in CATALOGUE["releases"]],
             [p["key"] for p in CATALOGUE["packs"]], [a["key"] for a in CATALOGUE["assortments"]],
             [v["key"] for r in RELEASES for v in STORY[r]], [e["key"] for e in SHOTS["examples"]],
             [p["file"] for p in SHOTS["pictures"]]]  # fmt: skip
    lists += [[s["key"] for s in t["states"]] for t in TRAITS.values()]
    for keys in lists:
        assert [key for key, n in Counter(keys).items() if n > 1] == []


def test_traits_use_the_known_places_and_kinds_and_say_how_to_inspect():
    for trait in TRAITS.values():
        assert trait["place"] in PLACES, trait["key"]
        assert trait["kind"] in KINDS, trait["key"]
        assert trait["inspect"].strip()
        assert isinstance(trait["seen_in_pack"], bool)
        assert isinstance(trait["alterable"], bool)
        assert len(trait["states"]) >= 2, trait["key"]
        for state in trait["states"]:
            assert ("lab" in state) == ("tolerance" in state)
            assert all(isinstance(c, int) for c in state.get("lab", []))
    assert {t["key"] for t in LINE_TRAITS} >= STANDARD_CHECKS


def test_wheelbases_are_those_of_the_rendered_models():
    """fixtures/scenes places the axles: `chassis(m, paint, rear, front, ...)`, in units of 10 mm."""
    placed = {}
    for file in (FIXTURES / "scenes").glob("*.py"):
        found = re.finditer(
            r"def (\w+)\(m, paint\):\n    chassis\(m, paint, (-?[\d.]+), ([\d.]+),", file.read_text()
        )
        placed |= {one[1].replace("_", "-"): round(10_000 * (float(one[3]) - float(one[2]))) for one in found}
    assert {c["key"]: c["wheelbase_um"] for c in CATALOGUE["castings"]} == placed


def test_every_reference_in_the_catalogue_resolves():
    castings = {c["key"]: c for c in CATALOGUE["castings"]}
    assortments = {a["key"] for a in CATALOGUE["assortments"]}
    packs = {p["key"] for p in CATALOGUE["packs"]}
    for release in RELEASES.values():
        own = {t["key"] for t in castings[release["casting"]]["traits"]}
        assert set(release["adopts"]) <= own | {t["key"] for t in LINE_TRAITS}, release["key"]
        assert release["line"] in {line["key"] for line in CATALOGUE["lines"]}
        assert set(release["assortments"]) <= assortments
        for entry in [*release["drift"], *release["fidelity"]]:
            assert entry["trait"] in release["adopts"]
    for pack in CATALOGUE["packs"]:
        assert set(pack["contents"]) <= set(RELEASES)
        assert pack["versions"]
    for fact in CATALOGUE["availability"]:
        assert fact.get("release") in RELEASES or fact.get("pack") in packs
        assert isinstance(fact["region"], str)
        assert fact["on"].year in (2024, 2025)


def test_every_reference_in_the_story_resolves():
    for release, adopts in ((r["key"], set(r["adopts"])) for r in RELEASES.values()):
        known: set[str] = set()
        for variant in STORY[release]:
            assert set(variant["states"]) == adopts, variant["key"]
            for trait, state in [*variant["states"].items(), *variant.get("first_claimed", {}).items()]:
                assert state in {s["key"] for s in TRAITS[trait]["states"]}, (variant["key"], trait)
            assert variant["cause"] in CAUSES
            assert set(variant["asserts"]) <= adopts
            assert (variant["cause"] == "baseline") == (not known), (
                "the first sent is the baseline, and only it"
            )
            if known:
                base = VARIANTS[variant["differs_from"]]
                assert base["key"] in known
                for trait in variant["difference"]:
                    assert trait in variant["asserts"]
                    assert base["states"][trait] != variant["states"][trait], (variant["key"], trait)
            known.add(variant["key"])
    assert all(
        VARIANTS[order[side]]
        for order in STORY["impossible_order"]["statements"]
        for side in ("variant", "other")
    )


def test_no_two_variants_of_a_release_are_the_same():
    for release in RELEASES:
        seen = [tuple(sorted(v["states"].items())) for v in STORY[release]]
        assert len(set(seen)) == len(seen), release


def test_the_scenario_is_large_enough():
    assert len(CATALOGUE["castings"]) >= 14
    assert len(RELEASES) >= 18
    assert max(Counter(r["casting"] for r in RELEASES.values()).values()) >= 2
    assert len(VARIANTS) >= 62
    assert len(wanted("verified")) >= 24
    assert len(wanted("contested")) == 2
    assert {VARIANTS[k]["cause"] for k in wanted("set_apart")} == {"altered", "factory_error", "drift"}
    assert [len(STORY[r]) for r in RELEASES].count(1) == 1


def test_packs_have_every_kind_and_right_check_digits():
    packs = CATALOGUE["packs"]
    assert {"single_card", "two_pack", "play_set", "multi_pack"} <= {p["kind"] for p in packs}
    assert any(len(p["versions"]) >= 2 for p in packs)
    for pack in packs:
        assert re.fullmatch(r"952\d{10}", pack["gtin"]), pack["key"]
        total = sum(int(d) * (3 if k % 2 else 1) for k, d in enumerate(pack["gtin"]))
        assert total % 10 == 0, pack["key"]
    assert max(Counter(p["gtin"] for p in packs).values()) >= 2, "one GTIN covers a whole assortment"
    assert any(fact["kind"] == "pulled" for fact in CATALOGUE["availability"])


def test_the_main_path_and_the_correction_can_be_told():
    main, corrected = VARIANTS[STORY["main_path"]], VARIANTS[STORY["corrected"]]
    assert (main["cause"], main["wanted"]) == ("running_change", "verified")
    assert VARIANTS[main["differs_from"]]["wanted"] == "verified"
    assert VARIANTS[main["differs_from"]]["cause"] == "baseline"
    ((trait, wrong),) = corrected["first_claimed"].items()
    assert trait in corrected["difference"]
    assert wrong not in (corrected["states"][trait], VARIANTS[corrected["differs_from"]]["states"][trait])
    assert set(STORY["mixed_packs"].values()) <= {p["key"] for p in CATALOGUE["packs"]}


@pytest.mark.parametrize("variant", PROVEN, ids=lambda v: v["key"])
def test_a_variant_to_be_verified_has_two_independent_examples_showing_its_differences(variant):
    first, second = examples_of(variant)
    for fact in ("month", "shop", "case"):
        assert first["found"][fact] != second["found"][fact]
    for example in (first, second):
        assert set(differences(variant)) <= traits_shown(example["key"]), example["key"]


@pytest.mark.parametrize("variant", PROVEN, ids=lambda v: v["key"])
def test_a_claim_on_an_alterable_trait_has_a_sealed_example(variant):
    sealed = [e["key"] for e in examples_of(variant) if e["condition"] == "sealed"]
    proven = {trait for e in sealed for trait in traits_shown(e, "seal_all_round")}
    assert {t for t in variant["asserts"] if TRAITS[t]["alterable"]} <= proven


def test_variants_to_be_verified_differ_from_each_other_on_what_both_assert():
    for release in RELEASES:
        proven = [v for v in STORY[release] if v in PROVEN]
        for k, later in enumerate(proven):
            for earlier in proven[:k]:
                claimed = set(earlier["asserts"]) | {
                    t for v in proven if v.get("differs_from") == earlier["key"] for t in v["difference"]
                }
                both = claimed & set(later["asserts"])
                assert any(earlier["states"][t] != later["states"][t] for t in both), (
                    earlier["key"],
                    later["key"],
                )


def test_there_are_enough_pictures_of_each_kind():
    pictures = SHOTS["pictures"]
    assert len(pictures) >= 88
    assert len({EXAMPLES[e]["variant"] for p in pictures for e in p["examples"]}) >= 44
    assert sum("seal_all_round" in p["views"] for p in pictures) >= 18
    assert sum(len(p["examples"]) == 2 for p in pictures) >= 12
    assert {c for p in pictures for c in [p["chart"]]} == {"grey_card", "patches_24", "none"}


def test_pictures_refer_to_known_examples_views_and_traits():
    for picture in SHOTS["pictures"]:
        assert set(picture["views"]) <= VIEWS
        assert set(picture["shows"]) == set(picture["examples"])
        for example in picture["examples"]:
            states = PICTURED[EXAMPLES[example]["variant"]]["states"]
            assert set(picture["shows"][example]) <= set(states)
            assert ("seal_all_round" in picture["views"]) == (EXAMPLES[example]["condition"] == "sealed")


def test_every_picture_exists_in_its_full_size_without_metadata():
    files = {p["file"] for p in SHOTS["pictures"]}
    assert {f.name for f in PICTURES.glob("*.jpg")} == files
    for name in sorted(files):
        with Image.open(PICTURES / name) as picture:
            assert (picture.format, picture.size) == ("JPEG", (1200, 800)), name
            assert not picture.getexif(), name
            assert "comment" not in picture.info, name
    assert sum((PICTURES / name).stat().st_size for name in files) < 18_000_000


def test_the_truth_covers_every_picture_and_lies_within_its_frame():
    assert set(TRUTH["pictures"]) == {p["file"] for p in SHOTS["pictures"]}
    for picture in SHOTS["pictures"]:
        truth = TRUTH["pictures"][picture["file"]]
        for example in picture["examples"]:
            regions = truth["examples"][example]
            assert set(picture["shows"][example]) == set(regions["traits"]), (picture["file"], example)
            for x, y, w, h in (r["box"] for r in [*regions["traits"].values(), *regions["other"].values()]):
                assert min(x, y) >= 0, picture["file"]
                assert min(w, h) > 0, picture["file"]
                assert max(x + w, y + h) <= 100.001, picture["file"]
            for region in regions["traits"].values():
                assert set(region["materials"]) <= set(TRUTH["materials"])


def test_the_seal_rim_lies_wholly_in_each_picture_that_promises_it():
    for picture in (p for p in SHOTS["pictures"] if "seal_all_round" in p["views"]):
        (example,) = picture["examples"]
        x, y, w, h = TRUTH["pictures"][picture["file"]]["examples"][example]["other"]["seal"]["box"]
        assert min(x, y) > 1, picture["file"]
        assert max(x + w, y + h) < 99, picture["file"]


def test_grey_cards_are_neutral_and_neither_black_nor_burnt_out():
    for picture in (p for p in SHOTS["pictures"] if p["chart"] == "grey_card"):
        (patch,) = TRUTH["pictures"][picture["file"]]["chart"]["patches"]
        x, y, w, h = patch["box"]
        middle = (12 * (x + w * 0.4), 8 * (y + h * 0.4), 12 * (x + w * 0.6), 8 * (y + h * 0.6))
        with Image.open(PICTURES / picture["file"]) as image:
            mean = ImageStat.Stat(image.crop(tuple(round(c) for c in middle))).mean
        assert max(mean) - min(mean) < 10, (picture["file"], mean)
        assert 50 < min(mean) <= max(mean) < 200, (picture["file"], mean)


def test_every_reference_colour_in_the_catalogue_is_the_paint_of_the_pictures():
    labs = {(t["key"], s["key"]): s["lab"] for t in TRAITS.values() for s in t["states"] if "lab" in s}
    painted = 0
    for truth in TRUTH["pictures"].values():
        for example, regions in truth["examples"].items():
            states = PICTURED[EXAMPLES[example]["variant"]]["states"]
            for trait in {"body", "interior"} & set(regions["traits"]):
                paints = [TRUTH["materials"][m]["lab_d50"] for m in regions["traits"][trait]["materials"]]
                assert [c / 100 for c in labs[trait, states[trait]]] in paints, (example, trait)
                painted += 1
    assert painted > 100
