"""Notes and the picture underneath: they are kept in the file, edited like other things, and refused when damaged."""

from __future__ import annotations

import json
import struct
import zlib
from dataclasses import replace

import pytest

from core.catalogue import blank_plan
from core.plan import Note, Plan, Underlay
from core.plan.edits import added, changed, duplicated, find, moved, removed, turned
from core.plan.file import PlanFileError, plan_from_text, plan_to_text
from core.plan.sheet import MOST_PICTURE_BYTES, data_uri, picture_bytes


def png(noise: int = 0) -> bytes:
    """Return a PNG of one grey pixel (PNG specification, clause 5), with some bytes after it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))
    body = chunk(b"IDAT", zlib.compress(b"\x00\x80"))
    return b"\x89PNG\r\n\x1a\n" + head + body + chunk(b"IEND", b"") + b"\x00" * noise


def with_sheet() -> Plan:
    plan = added(blank_plan("Shop"), Note("note-1", 1.0, 2.0, "Panel here?\nAsk the electrician."))
    return added(plan, Underlay("picture-1", data_uri(png()), 3.0, 2.5, 6.0, 0.75, name="sketch.png"))


def test_the_file_holds_notes_and_picture_and_old_files_have_neither():
    plan = with_sheet()
    assert plan_from_text(plan_to_text(plan)) == plan
    data = json.loads(plan_to_text(blank_plan("Shop")))
    for field in ("notes", "underlay"):
        del data["plan"][field]
    for item in data["plan"]["room"]["keep_outs"]:
        del item["door"]
    assert plan_from_text(json.dumps(data)) == blank_plan("Shop")


@pytest.mark.parametrize(
    "picture",
    [
        "sketch.png",
        "https://example.org/sketch.png",
        "data:image/png;base64,####",
        "data:image/jpeg;base64," + data_uri(png()).partition(",")[2],
        "data:text/html;base64,PGI+",
    ],
)
def test_anything_but_a_picture_in_the_file_is_refused(picture):
    plan = with_sheet()
    text = plan_to_text(replace(plan, underlay=replace(plan.underlay, picture=picture)))
    with pytest.raises(PlanFileError, match="underlay, picture"):
        plan_from_text(text)


def test_pictures_go_in_and_come_out_whole_up_to_their_limit():
    assert picture_bytes(data_uri(png(1000))) == png(1000)
    with pytest.raises(ValueError, match="MB"):
        data_uri(png(MOST_PICTURE_BYTES))
    with pytest.raises(ValueError, match="neither PNG nor JPEG"):
        data_uri(b"GIF89a")


def test_they_are_edited_like_other_things():
    plan = with_sheet()
    there = moved(plan, ["note-1", "picture-1"], 0.5, -0.25)
    assert (there.notes[0].x, there.notes[0].y) == (1.5, 1.75)
    assert (there.underlay.x, there.underlay.y) == (3.5, 2.25)
    assert turned(plan, ["picture-1"], 90.0).underlay.rotation_deg == 90.0
    assert changed(plan, ["note-1"], text="Done").notes[0].text == "Done"
    assert changed(plan, ["picture-1"], strength=0.2).underlay.strength == 0.2
    copied, ids = duplicated(plan, ["note-1", "picture-1"], 1.0, 0.0)
    assert [note.id for note in copied.notes] == ["note-1", *ids]
    assert copied.underlay == plan.underlay
    assert find(plan, "picture-1") == plan.underlay
    assert removed(plan, ["note-1", "picture-1"]) == blank_plan("Shop")


def test_a_locked_picture_stays_where_it_is():
    plan = changed(with_sheet(), ["picture-1"], locked=True)
    assert moved(plan, ["picture-1"], 1.0, 1.0) == plan
    assert turned(plan, ["picture-1"], 10.0) == plan


def test_a_note_takes_the_room_of_its_longest_line():
    note = Note("note-1", 0.0, 0.0, "ab\nabcdef", letter=0.1)
    assert note.size == pytest.approx((0.36, 0.28))
