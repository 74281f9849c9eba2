"""A disk that is really full: a small file system of its own, filled up."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]

FILL_AND_SAVE = """
import os, sys
from dataclasses import replace
from pathlib import Path
from core.plan.file import PlanFileError, load_plan, save_plan
from tests.core.plan.test_file import shop
path = Path(sys.argv[1]) / "shop.json"
save_plan(shop(), path)
with open(path.with_name("filler"), "wb", buffering=0) as file:
    try:
        while True:
            file.write(b"x" * 1024)
    except OSError:
        pass
try:
    save_plan(replace(shop(), name="Other"), path)
except PlanFileError as problem:
    print(problem)
print(load_plan(path) == shop(), sorted(os.listdir(path.parent)))
os.unlink(path.with_name("filler"))
save_plan(replace(shop(), name="Other"), path)
print(load_plan(path).name)
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="mounts a small file system as Linux does")
def test_a_full_disk_is_named_and_the_old_file_stays(tmp_path: Path) -> None:
    words = ["unshare", "-rm", "sh", "-c", 'mount -t tmpfs -o size=64k tmpfs "$1" && exec "$2" -c "$3" "$1"', "sh"]
    if shutil.which("unshare") is None or subprocess.run(["unshare", "-rm", "true"], check=False).returncode:
        pytest.skip("this system lets nobody mount a file system of their own")
    given = [*words, str(tmp_path), sys.executable, FILL_AND_SAVE]
    done = subprocess.run(given, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False)
    assert done.stderr == ""
    said, after, then = done.stdout.splitlines()
    assert "the disk is full. Make room, or save it on another disk" in said
    assert after == "True ['filler', 'shop.json']"
    assert then == "Other"
