"""The search for dead rings of objects waits for the end of a gesture, and only as long."""

import gc
from dataclasses import replace

from app.collecting import Collecting
from app.document import Document
from tests.core.light.rooms import rectangle, room_of


def test_it_waits_while_a_gesture_lasts(qapp: object) -> None:
    usual = gc.get_threshold()
    plan = room_of(rectangle(4.0, 3.0), 2.5, 0.8, 0.5, 0.2)
    document = Document(plan)
    collecting = Collecting(document)
    document.preview(replace(plan, name="under way"))
    assert gc.get_threshold()[:2] == usual[:2]
    assert gc.get_threshold()[2] > 1000
    document.apply("Rename", replace(plan, name="done"))
    assert gc.get_threshold() == usual
    document.preview(replace(plan, name="again"))
    document.cancel()
    assert gc.get_threshold() == usual
    collecting.deleteLater()
