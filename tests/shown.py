"""Reports with pictures of the demonstration, made small, for tests that compare photographs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from registry import actions
from registry.models import Photo, State, Variant
from tests.path import Scene, now
from tests.pictures import opened, saved

PICTURES = Path(__file__).parents[1] / "fixtures" / "pictures"


def picture(name: str) -> bytes:
    return saved(opened((PICTURES / f"{name}.jpg").read_bytes()).resize((600, 400)), quality=92)


def drafted(scene: Scene, name: str, *states: State, base: Variant | None = None) -> tuple[Any, Photo]:
    """A report not yet sent, with one picture; where the front wheel is, a mark says the first state is seen."""
    kind = "difference" if base else "stated"
    draft = scene.draft(
        base=base,
        claims=[{"trait": s.trait.public_id, "state": s.public_id, "kind": kind} for s in states],
        examples=[{"ref": "e1", "condition": "sealed", "mine": True}],
    )
    photo = actions.attach_photo(by=scene.author, at=now(), data=picture(name), submission=draft)
    mark = {"photo": photo.public_id, "example": "ref:e1", "trait": states[0].trait.public_id}
    content = draft.content | {
        "photos": [{"photo": photo.public_id, "examples": ["ref:e1"], "views": ["left"]}],
        "marks": [{**mark, "of": "variant", "xywh": "percent:23,69,10,13"}],
    }
    return actions.edit_draft(submission=draft, by=scene.author, at=now(), content=content), photo


def sent(scene: Scene, name: str, *states: State, base: Variant | None = None) -> tuple[Variant, Photo]:
    """The same, sent."""
    draft, photo = drafted(scene, name, *states, base=base)
    variant = actions.send_submission(submission=draft, by=scene.author, at=now()).variant
    assert variant is not None
    return variant, Photo.objects.get(pk=photo.pk)
