from __future__ import annotations

import logging

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QTableView
from pytestqt.qtbot import QtBot

from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.rows_model import RowsModel


class _Halves(RowsModel[int]):
    """Shows 12 / n; the row 0 is one that it cannot show."""

    numbers = frozenset({1})

    def titles(self) -> tuple[str, ...]:
        return ("Number", "Share")

    def words(self, row: int, column: int) -> str:
        return f"{12 / row:g}" if column else str(row)


def shown(model: _Halves, role: int = Qt.ItemDataRole.DisplayRole) -> list[list[object]]:
    rows, columns = range(model.rowCount()), range(model.columnCount())
    return [[model.data(model.index(row, column), role) for column in columns] for row in rows]


def test_one_bad_row_is_shown_as_such_and_logged_once(
    qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    model = _Halves()
    model.show([4, 0, 3])
    table = QTableView()
    qtbot.addWidget(table)
    table.setModel(model)
    with caplog.at_level(logging.ERROR):
        table.show()
        qtbot.waitExposed(table)
        assert shown(model) == [["4", "3"], ["0", "cannot be shown"], ["3", "4"]]
        assert shown(model) == [["4", "3"], ["0", "cannot be shown"], ["3", "4"]]
        assert shown(model, Qt.ItemDataRole.ToolTipRole)[1] == ["0", None]
    assert [record.getMessage() for record in caplog.records] == ["_Halves cannot show a row: 0"]


def test_numbers_stand_at_the_right_below_their_title(qtbot: QtBot) -> None:
    model = _Halves()
    model.show([4])
    role = Qt.ItemDataRole.TextAlignmentRole
    right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
    assert shown(model, role) == [[None, right]]
    assert model.headerData(1, Qt.Orientation.Horizontal, role) == right
    assert model.headerData(0, Qt.Orientation.Horizontal, role) != right
    assert model.headerData(1, Qt.Orientation.Horizontal) == "Share"
    assert model.headerData(0, Qt.Orientation.Vertical) is None
    assert model.row(0) == 4
    assert model.row(1) is None


def test_other_units_are_shown_at_once_in_every_cell(qtbot: QtBot) -> None:
    model = _Halves()
    model.show([4, 3])
    with qtbot.waitSignal(model.dataChanged) as changed:
        model.set_units(US)
    assert changed.args is not None
    last = changed.args[1]
    assert (last.row(), last.column()) == (1, 1)
