"""Plans made at random, for property tests: simple rooms with openings, furniture and fixtures in them."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from core.photometry.web import Web
from core.plan import (
    Combination,
    Finish,
    Fixture,
    Furniture,
    Group,
    JoistZone,
    KeepOut,
    Level,
    Model,
    Note,
    Opening,
    Plan,
    Point,
    PowerSetting,
    Room,
)
from core.plan.settle import settled

LENGTHS = st.integers(1, 400).map(lambda n: settled(n * 0.0254))
PLACES = st.integers(-4000, 4000).map(lambda n: settled(n * 0.0254 / 16))
SHARES = st.integers(0, 95).map(lambda n: n / 100)
TEXTS = st.text(max_size=12)
LETTERS = ("A", "B", "C")


@st.composite
def outlines(draw: st.DrawFn) -> tuple[Point, ...]:
    """A star-shaped polygon: corners at rising angles about its middle, so it never crosses itself."""
    count = draw(st.integers(3, 9))
    radii = [draw(st.integers(150, 900)) / 100 for _ in range(count)]
    turn = draw(st.integers(0, 359))
    return tuple(
        (
            settled(radius * math.cos(math.radians(turn + 360 * i / count))),
            settled(radius * math.sin(math.radians(turn + 360 * i / count))),
        )
        for i, radius in enumerate(radii)
    )


FINISHES = st.builds(Finish, name=TEXTS, reflectance=SHARES)
SETTINGS = st.builds(PowerSetting, watts=st.integers(1, 400).map(float), lumens=st.integers(1, 40_000).map(float))
WEB = Web((0.0, 45.0, 90.0), (0.0,), ((100.0, 70.0, 0.0),))


@st.composite
def rooms(draw: st.DrawFn) -> Room:
    outline = draw(outlines())
    walls = draw(st.lists(st.sampled_from(range(len(outline))), max_size=4))
    openings = []
    for number, wall in enumerate(walls):
        length = math.dist(outline[wall], outline[(wall + 1) % len(outline)])
        width = settled(length / draw(st.integers(2, 5)))
        start = settled((length - width) * draw(st.integers(0, 10)) / 10)
        kind = draw(st.sampled_from(["door", "window", "overhead door"]))
        hinge = draw(st.sampled_from(["start", "end"]))
        swing = draw(st.sampled_from(["in", "out", "along"]))
        openings.append(Opening(f"opening-{number + 1}", kind, wall, start, width, 2.0, hinge=hinge, swing=swing))
    own = st.one_of(st.none(), FINISHES)
    finishes = draw(st.one_of(st.just(()), st.tuples(*[own] * len(outline))))
    keep_outs = tuple(
        KeepOut(f"track-{n + 1}", "track", draw(PLACES), draw(PLACES), draw(LENGTHS), 0.1)
        for n in range(draw(st.integers(0, 2)))
    )
    joists = (JoistZone("joists-1", draw(st.sampled_from([0.0, 90.0]))),) if draw(st.booleans()) else ()
    return Room(
        outline,
        draw(st.integers(20, 50)) / 10,
        draw(FINISHES),
        draw(FINISHES),
        draw(FINISHES),
        finishes,
        tuple(openings),
        keep_outs,
        joists,
    )


@st.composite
def models(draw: st.DrawFn, identity: str) -> Model:
    beam = draw(st.sampled_from(["opal", "cosine power", "web", "all round"]))
    return Model(
        id=identity,
        name=draw(TEXTS),
        kind=draw(st.sampled_from(["strip", "wrap", "panel", "high bay", "downlight", "task lamp"])),
        length=draw(LENGTHS),
        width=draw(LENGTHS),
        body_height=0.08,
        opening=draw(st.sampled_from(["rectangle", "round", "point"])),
        opening_length=0.3,
        opening_width=0.3,
        settings=tuple(draw(st.lists(SETTINGS, min_size=1, max_size=3))),
        colours=tuple(draw(st.lists(st.sampled_from([3000, 4000, 5000]), min_size=1, max_size=3, unique=True))),
        beam=beam,
        web=WEB if beam == "web" else None,
        price=draw(st.integers(0, 50_000)) / 100,
        note=draw(TEXTS),
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    entries = tuple(draw(models(f"model-{n + 1}")) for n in range(draw(st.integers(1, 2))))
    fixtures = []
    for number in range(draw(st.integers(0, 5))):
        entry = draw(st.sampled_from(entries))
        fixtures.append(
            Fixture(
                f"fixture-{number + 1}",
                entry.id,
                draw(PLACES),
                draw(PLACES),
                float(draw(st.integers(0, 359))),
                setting=draw(st.integers(0, len(entry.settings) - 1)),
                colour=draw(st.sampled_from(entry.colours)),
                group=draw(st.sampled_from(LETTERS)),
                height=draw(st.one_of(st.none(), st.just(1.4))),
                name=draw(TEXTS),
            )
        )
    furniture = tuple(
        Furniture(
            f"{kind}-{n + 1}",
            kind,
            draw(TEXTS),
            draw(PLACES),
            draw(PLACES),
            draw(LENGTHS),
            draw(LENGTHS),
            0.9,
        )
        for n, kind in enumerate(draw(st.lists(st.sampled_from(["bench", "machine", "cabinet"]), max_size=4)))
    )
    kept = tuple(
        Combination(f"kept {n}", (Level(draw(st.sampled_from(LETTERS)), draw(SHARES)),))
        for n in range(draw(st.integers(0, 2)))
    )
    return Plan(
        name=draw(TEXTS),
        room=draw(rooms()),
        furniture=furniture,
        models=entries,
        fixtures=tuple(fixtures),
        groups=tuple(Group(letter, draw(TEXTS), draw(st.booleans())) for letter in LETTERS),
        combinations=kept,
        about=draw(TEXTS),
        notes=tuple(
            Note(f"note-{n + 1}", draw(PLACES), draw(PLACES), draw(TEXTS)) for n in range(draw(st.integers(0, 2)))
        ),
    )
