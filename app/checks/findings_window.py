"""All findings of one switch setting in a table; beside it bench pictures, details, limits, eyes and cameras.

A row selects on the plan what it is about, and its cause stands in full below the table.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QSplitter,
    QTableWidgetItem,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.checks.background import Background
from app.checks.bench_picture import BenchShadowPicture, save_bench
from app.checks.bench_view import BenchView
from app.checks.faces_table import FacesTable
from app.checks.fields import scrolled
from app.checks.mark_sheet import MarkSheet
from app.checks.places_form import PlacesForm
from app.checks.told_table import ToldTable
from app.checks.wanted_form import WantedForm
from app.document import Document
from app.panels.words import words
from app.reading import Reading
from app.style import restyle
from app.theme import Theme
from core.checks.finding import Finding, Wording
from core.checks.findings import findings_csv
from core.checks.targets import work_target
from core.tables import slug

__all__ = ["FindingsWindow"]

_HEADS = ("", "where", "looked at", "figure", "wanted, and its source", "what to do")
_WIDTHS = (84, 92, 118, 66, 170)
_EMPTY = "Nothing was found yet: draw a room, put a bench and a fixture in it, and turn a switch on."
_WORKS = "Shadows, glare and colour are being worked out…"
_SIGNS = ("▲ to do", "△ to mind", "✓ good")


class FindingsWindow(QDialog):
    """Follows the present switch setting while it is open."""

    def __init__(
        self,
        document: Document,
        reading: Reading,
        background: Background,
        sheet: MarkSheet,
        theme_now: Callable[[], Theme],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._reading, self._background = document, reading, background
        self._sheet, self._theme_now = sheet, theme_now
        self._rows: tuple[Finding, ...] = ()
        self.setWindowTitle("Good to work in? All findings")
        self.about = words("", "small", "muted", wrap=True)
        self.table: ToldTable = self._table()
        self.detail = words("", "small", wrap=True)
        self.detail.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.bench = QComboBox()
        self.bench.setAccessibleName("Bench that is shown")
        self.bench.setToolTip("The bench whose pictures are shown")
        self.bench.currentIndexChanged.connect(self._show_bench)
        self.leaning = QCheckBox("The worker leans in")
        self.left = QCheckBox("Left-handed")
        self.leaning.clicked.connect(lambda on: self._change_worker("Let the worker lean in", leaning=on))
        self.left.clicked.connect(lambda on: self._change_worker("Change hands", hand="left" if on else "right"))
        self.view = BenchView(theme_now())
        self.faces = FacesTable()
        self.wanted = WantedForm(document)
        self.places = PlacesForm(document)
        self.said = words("", "small", "good")
        self._lay_out()
        background.arrived.connect(self.refresh)
        background.busy_changed.connect(self._show_busy)
        document.changed.connect(self._show_worker)
        self.resize(1220, 700)
        self._show_worker()
        self.refresh()

    def _table(self) -> ToldTable:
        table = ToldTable(_EMPTY)
        table.setColumnCount(len(_HEADS))
        table.setHorizontalHeaderLabels(_HEADS)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setAccessibleName("Findings")
        header = table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        for column, width in enumerate(_WIDTHS):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Interactive)
            table.setColumnWidth(column, width)
        table.itemSelectionChanged.connect(self._row_chosen)
        return table

    def _lay_out(self) -> None:
        self.tabs = QTabWidget()
        self.tabs.addTab(self._bench_page(), "Bench")
        self.tabs.addTab(self.faces, "Faces, racks")
        self.tabs.addTab(scrolled(self.wanted), "Limits, worker")
        self.tabs.addTab(scrolled(self.places), "Eyes, cameras")
        told = QWidget()
        list_column = QVBoxLayout(told)
        list_column.setContentsMargins(0, 0, 0, 0)
        list_column.addWidget(self.table, 1)
        list_column.addWidget(self.detail)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(told)
        split.addWidget(self.tabs)
        split.setSizes([740, 440])
        split.setChildrenCollapsible(False)
        save = QPushButton("Save as CSV…")
        save.clicked.connect(self._save_table)
        picture = QPushButton("Save the picture…")
        picture.clicked.connect(self._save_picture)
        close = QPushButton("Close")
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addWidget(self.said, 1)
        for button in (save, picture, close):
            button.setAutoDefault(False)
            foot.addWidget(button)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(16, 16, 16, 16)
        whole.addWidget(self.about)
        whole.addWidget(split, 1)
        whole.addLayout(foot)

    def _bench_page(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 8, 0, 0)
        line = QHBoxLayout()
        line.addWidget(self.bench, 1)
        line.addWidget(self.leaning)
        line.addWidget(self.left)
        column.addLayout(line)
        column.addWidget(self.view, 1)
        return page

    def show_places(self) -> None:
        """Bring the page of eyes and cameras to the front."""
        self.tabs.setCurrentIndex(3)

    def show_limits(self) -> None:
        """Bring the page of limits and the worker to the front."""
        self.tabs.setCurrentIndex(2)

    def refresh(self) -> None:
        """Show what the checks found last."""
        found = self._background.found
        self._rows = found.findings if found is not None else ()
        self.table.blockSignals(True)
        self.table.clearSelection()
        self.table.setRowCount(len(self._rows))
        for row, finding in enumerate(self._rows):
            for column, text in enumerate(_cells(finding)):
                item = QTableWidgetItem(text)
                item.setToolTip(finding.what if column == 2 else text)
                item.setTextAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
                self.table.setItem(row, column, item)
        self.table.blockSignals(False)
        self.table.wrap_rows()
        self._show_detail(None)
        self._fill_benches()
        self._show_busy(self._background.is_busy)

    def _fill_benches(self) -> None:
        study = self._background.found.study if self._background.found is not None else None
        kept = self.bench.currentData()
        self.bench.blockSignals(True)
        self.bench.clear()
        for shadow in study.shadows if study is not None else ():
            item = shadow.stand.item
            self.bench.addItem(item.name or item.id, item.id)
        self.bench.setCurrentIndex(max(0, self.bench.findData(kept)))
        self.bench.blockSignals(False)
        self._show_bench()

    def drawn(self) -> BenchShadowPicture | None:
        """Return what is drawn of the chosen bench; None where nobody stands at any."""
        found, index = self._background.found, self.bench.currentIndex()
        if found is None or found.study is None or not 0 <= index < len(found.study.shadows):
            return None
        study = found.study
        shadow = study.shadows[index]
        mine = [
            f for f in found.findings if f.what.startswith("body shadow") and f.about[:1] == (shadow.stand.item.id,)
        ]
        wording = Wording(study.plan, found.setting, self._reading.factor)
        target = work_target(study.plan, shadow.stand.item).value
        return BenchShadowPicture(
            shadow, study.lighting.shares(found.levels), wording, target, mine[0] if mine else None
        )

    def _show_bench(self) -> None:
        found = self._background.found
        self.view.put(self.drawn(), self._theme_now(), self._background.is_busy)
        study = found.study if found is not None else None
        shares = study.lighting.shares(found.levels) if study is not None and found is not None else None
        self.faces.put(study, shares, Wording(self._document.plan, "", self._reading.factor))

    def _show_busy(self, busy: bool) -> None:
        found = self._background.found
        text = f"Switch setting: {found.setting}. Light is {self._reading.kind}." if found is not None else ""
        if found is not None and found.failure:
            text = found.failure
        self.about.setText(f"{text} {_WORKS}".strip() if busy else text)
        self.table.say_when_empty(_WORKS if busy else found.failure if found is not None and found.failure else _EMPTY)

    def _show_worker(self) -> None:
        worker = self._document.plan.worker
        self.leaning.setChecked(worker.leaning)
        self.left.setChecked(worker.hand == "left")

    def _change_worker(self, text: str, **values: object) -> None:
        plan = self._document.settled_plan
        self._document.apply(text, replace(plan, worker=replace(plan.worker, **values)))  # type: ignore[arg-type]

    def _show_detail(self, finding: Finding | None) -> None:
        self.detail.setText(finding.detail if finding is not None else "")
        self.detail.setVisible(finding is not None)

    def _row_chosen(self) -> None:
        rows = {index.row() for index in self.table.selectedIndexes()}
        for row in rows:
            finding = self._rows[row]
            self._show_detail(finding)
            self._document.select(finding.about)
            self._sheet.point_at(finding.place)
            index = self.bench.findData(finding.about[0]) if finding.about else -1
            if index >= 0:
                self.bench.setCurrentIndex(index)

    def _save_table(self) -> None:
        name = f"{slug(self._document.plan.name)}-findings.csv"
        path, _ = QFileDialog.getSaveFileName(self, "Save the findings", name, "CSV tables (*.csv)")
        if path:
            self._save(Path(path), lambda file: file.write_text(findings_csv(self._rows), encoding="utf-8", newline=""))

    def _save_picture(self) -> None:
        drawn = self.drawn()
        if drawn is None:
            self._say("Nobody stands at a bench: mark a side of one first.", "warn")
            return
        name = f"bench-{slug(drawn.shadow.stand.item.name)}.png"
        path, _ = QFileDialog.getSaveFileName(self, "Save the picture", name, "Pictures (*.png)")
        if path:
            self._save(Path(path), lambda file: save_bench(drawn, file))

    def _save(self, path: Path, write: Callable[[Path], object]) -> None:
        try:
            write(path)
        except OSError as problem:
            self._say(f"Not saved: {problem.strerror or problem}. Try another folder.", "danger")
        else:
            self._say(f"Saved to {path}.")

    def _say(self, text: str, tone: str = "good") -> None:
        self.said.setProperty("role", tone)
        self.said.setText(text)
        restyle(self.said)


def _cells(finding: Finding) -> tuple[str, ...]:
    unit = "" if finding.unit in ("ratio", "share") else f" {finding.unit}"
    figure = "" if finding.figure is None else f"{finding.figure:g} {finding.unit}".strip()
    wanted = f"{finding.target}{unit}" if finding.target else ""
    return (
        _SIGNS[finding.severity],
        finding.where,
        finding.what.split(" (")[0],
        figure,
        "\n".join(part for part in (wanted, finding.source) if part),
        finding.remedy,
    )
