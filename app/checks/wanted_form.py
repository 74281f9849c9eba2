"""What findings are held against, and who works: the user's limits with their sources, and the worker's build."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidgetItem, QWidget

from app.checks.fields import Fields, units_of
from app.checks.told_table import ToldTable
from app.document import Document
from app.panels.entry import Choice
from app.panels.quantity import Quantity
from app.panels.words import words
from core.checks.finding import Wording
from core.checks.targets import KnownTarget, known_targets
from core.plan import Plan

__all__ = ["WantedForm"]

_TASKS = (
    "joiner's bench, gluing, assembly",
    "woodworking machines",
    "polishing, painting, fancy joinery",
    "veneer selection, marquetry, inlay",
    "quality control",
    "general home workshop",
)


class WantedForm(Fields):
    """Each entry is one step of undo; the findings follow."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self.cri = Quantity("CRI", "whole", 0, 100, "Least colour rendering index of each fixture")
        self.glare = Quantity("UGR limit", "whole", 5, 40, "Most glare, UGR of CIE 117")
        self.loss = Quantity("body shadow", "percent", 0.0, 1.0, "Most light that the body may take at the hands")
        self.meter = Quantity("light meter", "percent", 0.0, 1.0, "How far it may be off, as its maker states it")
        self.tall = Quantity("height", "length", 0.5, 2.5, "The worker's height, shoes included")
        self.wide = Quantity("width", "length", 0.1, 1.5, "Across the shoulders")
        self.deep = Quantity("depth", "length", 0.05, 1.0, "Front to back")
        self.gap = Quantity("off the edge", "length", 0.0, 1.0, "From the body to the edge of the bench")
        self.clothes = Quantity("clothes reflect", "share", 0.0, 0.95, "0.3 is a middling shirt")
        self.hand = Choice("works with", (("the right hand", "right"), ("the left hand", "left")))
        self.pose = Choice("stands", (("upright", False), ("leaning in", True)), "Leaning in from the hips")
        self.table = _known_table()
        self.about = words("", "small", "muted", wrap=True)
        super().__init__(
            ("What findings are held against", (*self._limits(), _sources())),
            ("The worker", (self.tall, self.hand, self.pose, self.wide, self.deep, self.gap, self.clothes)),
            ("Recommended values, to choose from", (self.about, self.table)),
        )
        self._connect()
        document.changed.connect(self.refresh)
        self.refresh()

    def _limits(self) -> tuple[QWidget, ...]:
        return self.cri, self.glare, self.loss, self.meter

    def _connect(self) -> None:
        for row, text, name, make in (
            (self.cri, "Set the CRI wanted", "cri", int),
            (self.glare, "Set the UGR limit", "glare", float),
            (self.loss, "Set the body shadow limit", "loss", float),
            (self.meter, "Set the meter's uncertainty", "meter_share", float),
        ):
            row.entered.connect(lambda value, t=text, n=name, m=make: self._change_checking(t, **{n: m(value)}))
        for field, text, name in (
            (self.tall, "Set the worker's height", "height"),
            (self.wide, "Set the worker's width", "width"),
            (self.deep, "Set the worker's depth", "depth"),
            (self.gap, "Set the worker's distance", "gap"),
            (self.clothes, "Set the worker's clothes", "reflectance"),
        ):
            field.entered.connect(lambda value, t=text, n=name: self._change_worker(t, **{n: value}))
        self.hand.chosen.connect(lambda value: self._change_worker("Change hands", hand=value))
        self.pose.chosen.connect(lambda value: self._change_worker("Let the worker lean in or not", leaning=value))

    def refresh(self) -> None:
        """Show the plan's values."""
        plan = self._document.plan
        checking, worker = plan.checking, plan.worker
        self.set_units(units_of(plan))
        for row, value in (
            (self.cri, checking.cri),
            (self.glare, checking.glare),
            (self.loss, checking.loss),
            (self.meter, checking.meter_share),
            (self.tall, worker.height),
            (self.wide, worker.width),
            (self.deep, worker.depth),
            (self.gap, worker.gap),
            (self.clothes, worker.reflectance),
        ):
            row.set_value(value)
        self.hand.set_value(worker.hand)
        self.pose.set_value(worker.leaning)
        self._fill(plan)

    def _fill(self, plan: Plan) -> None:
        wording = Wording(plan, "")
        self.about.setText(
            "The light wanted is set for the room (select nothing) and for each bench. None of these is law for a shop "
            "at home."
        )
        self.table.setHorizontalHeaderLabels(["work, and the source", wording.light_unit, "UGR", "min / avg", "CRI"])
        for row, known in enumerate(_shown()):
            for column, text in enumerate(_cells(known, wording)):
                self.table.setItem(row, column, QTableWidgetItem(text))
        self.table.wrap_rows()

    def _change_checking(self, text: str, **values: Any) -> None:
        plan = self._document.settled_plan
        self._document.apply(text, replace(plan, checking=replace(plan.checking, **values)))

    def _change_worker(self, text: str, **values: Any) -> None:
        plan = self._document.settled_plan
        self._document.apply(text, replace(plan, worker=replace(plan.worker, **values)))


def _shown() -> list[KnownTarget]:
    return [known for known in known_targets() if known.task in _TASKS]


def _cells(known: KnownTarget, wording: Wording) -> tuple[str, ...]:
    low, high = (round(wording.number(lux)) for lux in (known.lux, known.lux_to))
    return (
        f"{known.task}\n{known.source}; {known.mark}",
        f"{low}" if low == high else f"{low} to {high}",
        "" if known.ugr is None else f"{known.ugr:g}",
        "" if known.evenness is None else f"{known.evenness:g}",
        "" if known.cri is None else f"{known.cri}",
    )


class _KnownTable(ToldTable):
    """As high as its rows: the page scrolls, not the table."""

    def wrap_rows(self) -> None:
        super().wrap_rows()
        tall = sum(self.rowHeight(row) for row in range(self.rowCount()))
        self.setFixedHeight(tall + self.horizontalHeader().sizeHint().height() + 4)


def _known_table() -> _KnownTable:
    table = _KnownTable("")
    table.setRowCount(len(_shown()))
    table.setColumnCount(5)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
    table.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    table.setAccessibleName("Recommended values and their sources")
    header = table.horizontalHeader()
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
    return table


def _sources() -> QWidget:
    return words(
        "CRI: 80 in general, 90 for colour matching (common practice, no source). UGR: EN 12464-1:2011 is recalled as "
        "25 at a joiner's bench, 19 at machines (from memory). Body shadow: common practice, no source. Light meter: "
        "its data sheet.",
        "small",
        "muted",
        wrap=True,
    )
