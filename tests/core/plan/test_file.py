"""What is saved is what is loaded; a file that is no plan gets one line that names the field."""

from __future__ import annotations

import errno
import json
import os
import stat
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.plan import Combination, Fixture, Group, Level, Opening, Plan
from core.plan import file as plan_file
from core.plan.edits import added, hung
from core.plan.file import PlanFileError, load_plan, plan_from_text, plan_to_text, save_plan
from core.plan.migrate import migrate
from tests.core.plan.strategies import plans
from tests.core.plan.test_edits import LAMP, PLAN, STRIP


def shop() -> Plan:
    plan = replace(PLAN, models=(STRIP, LAMP), groups=(Group("A", "Benches"), Group("B", "Door side")))
    for x in (1.0, 2.0, 3.0):
        plan, _ = hung(plan, "strip-4", x, 1.0)
    plan = added(plan, Opening("door-1", "door", 0, 1.0, 0.9, 2.0, name="Side door"))
    return replace(plan, combinations=(Combination("Sweep up", (Level("A", 0.5),)),))


def data() -> dict:
    return json.loads(plan_to_text(shop()))


def trouble(data: object) -> str:
    """The one line that a file with these data gets."""
    with pytest.raises(PlanFileError) as caught:
        plan_from_text(data if isinstance(data, str | bytes) else json.dumps(data))
    assert "\n" not in str(caught.value)
    return str(caught.value)


@given(plans())
@settings(max_examples=60)
def test_loaded_is_what_was_saved(plan):
    text = plan_to_text(plan)
    assert plan_from_text(text) == plan
    assert plan_to_text(plan_from_text(text)) == text


def test_saved_and_loaded_through_a_file(tmp_path):
    path = tmp_path / "Shop größer.json"
    save_plan(shop(), path)
    assert load_plan(path) == shop()
    assert load_plan(str(path)) == shop()
    assert path.read_text(encoding="utf-8") == plan_to_text(shop())


def test_the_file_says_what_it_is_and_keeps_a_corner_on_one_line():
    text = plan_to_text(shop())
    assert text.startswith('{\n "candlebench": 1,\n "plan": {\n  "name": "Shop"')
    assert "[0.0, 4.0]" in text
    assert text.endswith("}\n")


def test_text_that_looks_like_a_list_is_left_alone():
    plan = replace(shop(), about="[ 1,\n 2 ]", name="[\n1.0\n]")
    assert plan_from_text(plan_to_text(plan)) == plan


def set_in(data, path, value):
    *way, last = path
    here = data["plan"]
    for step in way:
        here = here[step]
    if value is None:
        del here[last]
    else:
        here[last] = value
    return data


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (
            ("fixtures", 2, "setting"),
            7,
            "fixtures, number 3 (“4 ft strip”): setting is 7, but the model's settings",
        ),
        (("fixtures", 2, "x"), None, "fixtures, number 3 (“4 ft strip”): x is missing."),
        (
            ("fixtures", 0, "x"),
            "2 ft",
            "fixtures, number 1 (“4 ft strip”): x should be a number, but is “2 ft”.",
        ),
        (("fixtures", 0, "x"), True, "x should be a number, but is true"),
        (("fixtures", 0, "x"), 10**400, "x should be a number that can be handled"),
        (("fixtures", 0, "x"), 1e300, "x is 1e+300; at most 3000 m"),
        (("fixtures", 0, "colour"), 4000.5, "colour should be a whole number, but is 4000.5"),
        (("fixtures", 0, "model"), "gone", "fixtures, number 1 (“fixture-1”): model “gone” is not among"),
        (("fixtures", 0, "group"), "Z", "group “Z” is not among the plan's groups"),
        (
            ("fixtures", 1, "id"),
            "fixture-1",
            "fixtures, number 2: id “fixture-1” is taken already by fixtures, number 1",
        ),
        (("fixtures", 1, "glow"), 1, "fixtures, number 2 (“4 ft strip”): glow is not known to this version"),
        (("fixtures", 1), "strip", "fixtures, number 2 should hold named fields, but is “strip”"),
        (("fixtures",), 3, "fixtures should be a list, but is 3"),
        (
            ("models", 0, "settings"),
            [],
            "models, number 1 (“4 ft strip”): settings should have at least 1 entries",
        ),
        (
            ("models", 0, "settings", 1, "watts"),
            -3,
            "settings, number 2: watts should be more than 0, but is -3",
        ),
        (("models", 0, "beam"), "web", "models, number 1 (“4 ft strip”): web is missing"),
        (
            ("models", 0, "beam"),
            "laser",
            "beam should be 'opal', 'cosine power', 'web' or 'all round', but is “laser”",
        ),
        (("models", 0, "opening_width"), 0, "opening_width should be more than 0 for a rectangle opening"),
        (
            ("models", 0, "web"),
            {"vertical_deg": [0, 90], "horizontal_deg": [0], "candela": [[0, 0]]},
            "no light",
        ),
        (("groups", 0, "letter"), "AB", "groups, number 1 (“Benches”): letter should be one letter"),
        (("groups", 0, "letter"), "3", "letter should be a capital letter, but is “3”"),
        (("groups", 1, "letter"), "A", "groups, number 2 (“Door side”): letter “A” is taken already"),
        (
            ("combinations", 0, "levels", 0, "group"),
            "Q",
            "combinations, number 1 (“Sweep up”): levels: group “Q”",
        ),
        (
            ("combinations", 0, "levels", 0, "share"),
            1.5,
            "levels, number 1: share should be at most 1, but is 1.5",
        ),
        (
            ("room", "openings", 0, "wall"),
            4,
            "room, openings, number 1 (“Side door”): wall is 4, but the walls",
        ),
        (("room", "openings", 0, "start"), 5.5, "start and width reach beyond the end of wall 0 (6.000 m)"),
        (("room", "height"), "high", "room: height should be a number, but is “high”"),
        (("room", "outline"), [[0, 0], [4, 0], [0, 3], [4, 3]], "room, outline: The wall from corner 4"),
        (("room", "outline"), [[0, 0], [0, 3], [4, 3], [4, 0]], "room, outline: the corners run clockwise"),
        (("room", "outline", 1), [1], "room, outline, number 2, number 2 is missing."),
        (("room", "outline", 1, 0), "a", "room, outline, number 2, number 1 should be a number, but is “a”"),
        (("room", "wall_finishes"), [None], "room, wall_finishes: there are 1 entries for 4 walls"),
        (("room",), None, "room is missing."),
        (("ceiling", "reference_walls"), [0, 9], "ceiling, reference_walls: wall 9 is none of the room's"),
        (("wiring", "panel"), {"x": 1e9, "y": 0.0}, "wiring, panel, number 1 (“Panel”): x is 1e+09"),
        (("work_plane",), -1, "work_plane should be at least 0, but is -1"),
    ],
)
def test_the_line_names_the_field(path, value, line):
    assert line in trouble(set_in(data(), path, value))


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", "this is not a Candlebench plan."),
        ("shopping list: 3 strips", "this is not a Candlebench plan."),
        ('{\n "a": 1,, }', "this is not a Candlebench plan, or it is damaged in line 2, column 9"),
        ("[1, 2]", "this is not a Candlebench plan."),
        ('{"type": "FeatureCollection"}', "this is not a Candlebench plan."),
        (b"\x89PNG\r\n\x1a\n\x00\x00\xff\xfe", "not a text file"),
        (b"\x00" * 100, "this is not a Candlebench plan."),
        (
            '{"candlebench": 99, "plan": {"later": 1}}',
            "newer Candlebench (file version 99; this one reads up to 1)",
        ),
        ('{"candlebench": 0, "plan": {}}', "whole number from 1 up"),
        ('{"candlebench": true, "plan": {}}', "whole number from 1 up"),
        ('{"candlebench": "1", "plan": {}}', "whole number from 1 up"),
        ('{"candlebench": 1}', "plan is missing."),
        ('{"candlebench": 1, "plan": []}', "plan should hold named fields."),
        ('{"candlebench": 1, "plan": {}, "more": 1}', "'more' is not known"),
        ('{"candlebench": 1, "plan": {"work_plane": NaN}}', "NaN, which is not a number"),
        ('{"candlebench": 1, "plan": {"work_plane": -Infinity}}', "-Infinity, which is not a number"),
        ('{"candlebench": 1, "plan": {"work_plane": ' + "9" * 5000 + "}}", "thousands of digits"),
        ('{"candlebench": 1, "plan": ' + '{"a":' * 100_000, "nested too deep"),
        ('{"candlebench": 1, "plan": {"a": ' + "[" * 500 + "]" * 500 + "}}", "cannot be understood"),
        ('{"candlebench": 1, "plan": {"name": "\\ud800"}}', "cannot be understood"),
        ('{"candlebench": 1, "plan": {"name": "x",, }}', "damaged in line 1, column 41"),
    ],
)
def test_what_is_no_plan_is_told_apart(text, line):
    assert line in trouble(text)


def test_a_number_beyond_all_bounds_is_no_number():
    text = plan_to_text(shop()).replace('"work_plane": 0.9144', '"work_plane": 1e999')
    assert "work_plane should be a number that can be handled, but is inf" in trouble(text)


def test_a_byte_order_mark_does_no_harm():
    assert plan_from_text(b"\xef\xbb\xbf" + plan_to_text(shop()).encode()) == shop()


def test_a_file_cut_short_anywhere_is_named_as_such():
    text = plan_to_text(shop()).rstrip()
    for end in range(40, len(text), 37):
        assert "its end is missing" in trouble(text[:end]) or "damaged" in trouble(text[:end])
    assert "its end is missing" in trouble(text[:-1])


def test_too_many_things_are_refused():
    plan = shop()
    many = tuple(Fixture(f"f{n}", "strip-4", 1.0, 1.0) for n in range(5001))
    assert "fixtures: 5001 entries are more than" in trouble(plan_to_text(replace(plan, fixtures=many)))


def grown(path, entries):
    return trouble(set_in(data(), path, entries))


def test_what_would_keep_the_program_busy_is_refused_before_it_is_looked_at():
    assert "room" not in grown(("fixtures",), [{"id": "f"}] * 5001)
    assert "outline: 5001 entries" in grown(("room", "outline"), [[0, 0]] * 5001)
    assert "more than 100000 lists" in grown(("models", 0, "settings"), [[[0]] * 400] * 400)
    assert "of different kinds" in grown(("models", 0, "colours"), [4000] * 100 + ["x"])
    assert "not numbers that can be handled" in grown(("models", 0, "colours"), [4000] * 100 + [10**301])
    nested: list = []
    for _ in range(500):
        nested = [nested]
    assert grown(("fixtures",), nested)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "huge.json"
    with path.open("wb") as file:
        file.truncate(plan_file.MOST_BYTES + 1)
    with pytest.raises(PlanFileError, match=r"^huge\.json: the file is larger than 50 MB"):
        load_plan(path)
    assert "larger than 50 MB" in trouble(b" " * (plan_file.MOST_BYTES + 1))


def test_what_cannot_be_read_is_named(tmp_path):
    with pytest.raises(PlanFileError, match=r"^gone\.json: there is no such file"):
        load_plan(tmp_path / "gone.json")
    with pytest.raises(PlanFileError, match="not a file that holds a plan"):
        load_plan(tmp_path)
    with pytest.raises(PlanFileError):
        load_plan("bad\0name.json")
    os.mkfifo(tmp_path / "pipe.json")
    with pytest.raises(PlanFileError, match="not a file that holds a plan"):
        load_plan(tmp_path / "pipe.json")


KINDS = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=5), st.just([]), st.just({}))


def assert_loads_or_gives_one_line(text: str | bytes) -> None:
    said = ""
    try:
        plan = plan_from_text(text)
    except PlanFileError as error:
        said = str(error)
    if said:
        assert len(said.splitlines()) == 1
    else:
        assert plan_from_text(plan_to_text(plan)) == plan


def mutated(draw, here):
    """Walk to some place of JSON data and put something else there, drop it, or double it."""
    if isinstance(here, dict) and here:
        key = draw(st.sampled_from(sorted(here)))
    elif isinstance(here, list) and here:
        key = draw(st.integers(0, len(here) - 1))
    else:
        return draw(KINDS)
    action = draw(st.sampled_from(["deeper"] * 6 + ["replace", "drop", "double"]))
    if action == "drop":
        here.pop(key)
    elif action == "double" and isinstance(here, list):
        here.append(here[key])
    else:
        here[key] = mutated(draw, here[key]) if action == "deeper" else draw(KINDS)
    return here


@given(st.data())
@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
def test_changed_data_load_or_give_one_line(drawn):
    broken = data()
    for _ in range(drawn.draw(st.integers(1, 3))):
        broken = mutated(drawn.draw, broken)
    assert_loads_or_gives_one_line(json.dumps(broken))


@given(st.data())
@settings(max_examples=300)
def test_changed_bytes_load_or_give_one_line(drawn):
    raw = bytearray(plan_to_text(shop()).encode())
    for _ in range(drawn.draw(st.integers(1, 4))):
        at = drawn.draw(st.integers(0, len(raw) - 1))
        raw[at : at + drawn.draw(st.integers(0, 3))] = drawn.draw(st.binary(max_size=3))
    assert_loads_or_gives_one_line(bytes(raw))


def test_a_plan_that_could_not_be_opened_again_is_not_saved(tmp_path):
    path = tmp_path / "shop.json"
    save_plan(shop(), path)
    broken = replace(shop(), fixtures=(Fixture("f", "strip-4", 1.0, 1.0, group="Z"),))
    with pytest.raises(PlanFileError, match=r"not saved.*group “Z”"):
        save_plan(broken, path)
    with pytest.raises(PlanFileError, match="not saved"):
        save_plan(replace(shop(), work_plane=float("nan")), path)
    assert load_plan(path) == shop()


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full. Make room"),
        (errno.EACCES, "you may not write there. Save it in a folder of yours"),
        (errno.EROFS, "the disk is read-only"),
        (errno.EIO, "Save it under another name"),
    ],
)
@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_failed_write_leaves_the_old_file_and_nothing_beside_it(tmp_path, monkeypatch, number, words, call):
    path = tmp_path / "shop.json"
    save_plan(shop(), path)

    def fail(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, call, fail)
    with pytest.raises(PlanFileError, match=words):
        save_plan(replace(shop(), name="Other"), path)
    monkeypatch.undo()
    assert load_plan(path) == shop()
    assert os.listdir(tmp_path) == ["shop.json"]


def test_places_that_cannot_be_written_are_named(tmp_path):
    for place, words in [
        (tmp_path / "gone" / "shop.json", "the folder does not exist"),
        (tmp_path, "there is a folder of that name"),
        (tmp_path / ("x" * 300 + ".json"), "the name is too long"),
        ("bad\0name.json", "could not be saved"),
    ]:
        with pytest.raises(PlanFileError, match=words):
            save_plan(shop(), place)


def test_saving_keeps_permissions_and_follows_a_link(tmp_path):
    path, link = tmp_path / "shop.json", tmp_path / "link.json"
    save_plan(shop(), path)
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask
    path.chmod(0o640)
    link.symlink_to(path)
    save_plan(replace(shop(), name="Other"), link)
    assert link.is_symlink()
    assert load_plan(path).name == "Other"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_what_a_killed_run_left_is_swept_away_later(tmp_path):
    path = tmp_path / "shop.json"
    old, new = tmp_path / ".shop.json.abc.saving", tmp_path / ".shop.json.def.saving"
    for left in (old, new):
        left.write_text("half")
    os.utime(old, (1.0, 1.0))
    save_plan(shop(), path)
    assert not old.exists()
    assert new.exists()


def test_old_versions_go_through_every_step():
    steps = {
        1: lambda plan: {**plan, "two": plan["one"] + 1},
        2: lambda plan: {**plan, "three": plan["two"] + 1},
    }
    assert migrate({"candlebench": 1, "plan": {"one": 1}}, steps, newest=3) == {
        "one": 1,
        "two": 2,
        "three": 3,
    }
    assert migrate({"candlebench": 3, "plan": {"one": 1}}, steps, newest=3) == {"one": 1}
