"""Opened drafts and remarks on them, beside what tests/factories.py makes; and the deeds of opening as calls."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import factory
from factory.django import DjangoModelFactory

from registry import actions
from registry import models as m

from .factories import NOON, MemberFactory, PhotoFactory
from .path import Scene, now
from .pictures import jpeg

Call = Callable[[], Any]
WHERE = (1000, 1000, 2000, 2000)


class RemarkFactory(DjangoModelFactory):
    class Meta:
        model = m.Remark

    photo = factory.SubFactory(PhotoFactory)
    by = factory.SubFactory(MemberFactory)
    at = NOON
    x, y, w, h = WHERE
    sentence = "It has wings."


def a_note(scene: Scene, by: m.Member, **content: Any) -> m.Submission:
    """One picture and one sentence."""
    said = {"note": "The crest looks wider."} | content
    draft = actions.start_draft(by=by, at=now(), release=scene.release, content=said)
    actions.attach_photo(by=by, at=now(), submission=draft, data=jpeg())
    return draft


def an_opened_draft(scene: Scene, by: m.Member, **content: Any) -> m.Submission:
    return actions.open_draft(submission=a_note(scene, by, **content), by=by, at=now())


def opening(scene: Scene, by: m.Member) -> Call:
    return partial(actions.open_draft, submission=a_note(scene, by), by=by, at=now())


def closing(scene: Scene, by: m.Member) -> Call:
    return partial(actions.close_draft, submission=an_opened_draft(scene, by), by=by, at=now())


def remarking(scene: Scene, by: m.Member) -> Call:
    photo = an_opened_draft(scene, scene.author).photos.get()
    return partial(actions.add_remark, photo=photo, by=by, at=now(), xywh=WHERE, state=scene.gull)


def taking_a_remark_away(scene: Scene, by: m.Member) -> Call:
    return partial(actions.remove_remark, remark=remarking(scene, by)(), by=by, at=now())
